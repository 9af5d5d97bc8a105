"""What was worked out, kept by the content of what it was worked out from, up to a budget of memory."""

from __future__ import annotations

import dataclasses
import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Mapping
from typing import Any, TypeVar, cast

import numpy as np

T = TypeVar("T")

_LEAST_BYTES = 256


def weight(value: Any) -> int:
    """Bytes that a result holds: its arrays, each counted once, and a little for everything else."""
    seen: set[int] = set()

    def weigh(part: Any) -> int:
        if id(part) in seen:
            return 0
        seen.add(id(part))
        if isinstance(part, np.ndarray):
            return weigh(part.base) if isinstance(part.base, np.ndarray) else part.nbytes
        if dataclasses.is_dataclass(part) and not isinstance(part, type):
            return sum(weigh(getattr(part, each.name)) for each in dataclasses.fields(part))
        if isinstance(part, Mapping):
            return sum(weigh(each) for each in part.values())
        if isinstance(part, tuple | list | frozenset | set):
            return sum(weigh(each) for each in part)
        slots = [name for kind in type(part).__mro__ for name in getattr(kind, "__slots__", ())]
        return sum(weigh(getattr(part, name, None)) for name in slots if not name.startswith("__"))

    return weigh(value) + _LEAST_BYTES


class Store:
    """Results by key; the least recently used go first when they hold more than the budget.

    One lock round the dictionary and none round the work: two threads that want the same at the same time both work it
    out, and get equal results.
    """

    def __init__(self, budget_bytes: int) -> None:
        self.budget_bytes = budget_bytes
        self._lock = threading.Lock()
        self._held: OrderedDict[Hashable, tuple[Any, int]] = OrderedDict()
        self._bytes = 0

    @property
    def held_bytes(self) -> int:
        """Bytes of all that is held."""
        return self._bytes

    def __len__(self) -> int:
        return len(self._held)

    def get(self, key: Hashable, work: Callable[[], T]) -> T:
        """The result kept under the key, or else what `work` gives, kept from now on.

        Errors of `work` pass through, and nothing is kept then. A result larger than the whole budget is not kept.
        """
        with self._lock:
            if key in self._held:
                self._held.move_to_end(key)
                return cast("T", self._held[key][0])
        result = work()
        self._keep(key, result, weight(result))
        return result

    def _keep(self, key: Hashable, result: Any, size: int) -> None:
        with self._lock:
            if key in self._held or size > self.budget_bytes:
                return
            self._held[key] = (result, size)
            self._bytes += size
            while self._bytes > self.budget_bytes:
                _, (_, gone) = self._held.popitem(last=False)
                self._bytes -= gone
