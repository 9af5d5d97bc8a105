"""Several maps at once, one on each core: the kernels run without the interpreter's lock."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import TypeVar

T = TypeVar("T")

_MOST = 8
"""Each map under way holds some 50 bytes a cell; more of them at a time would want too much memory."""


def side_by_side(works: Sequence[Callable[[], T]]) -> tuple[T, ...]:
    """The answers of several pieces of work, such as `water_reach` of each tank, in the order of the works.

    As many run at a time as there are cores; they must not touch each other. The first error passes through when all
    that had begun have ended; what had not is given up.
    """
    at_once = min(len(works), os.cpu_count() or 1, _MOST)
    if at_once < 2:
        return tuple(work() for work in works)
    with ThreadPoolExecutor(at_once, thread_name_prefix="gardenwater-reach") as pool:
        waiting = [pool.submit(work) for work in works]
        try:
            return tuple(each.result() for each in waiting)
        finally:
            for each in waiting:
                each.cancel()
