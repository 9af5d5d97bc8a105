"""Arrays of records for the kernels, which read and write their fields by name.

The compiler knows such fields in any array of records; without it (`NUMBA_DISABLE_JIT=1`, to try kernels step by step)
numpy does in a record array only.
"""

from __future__ import annotations

import os

import numpy as np

from gardenwater.overflow.records import Records

_COMPILED = os.environ.get("NUMBA_DISABLE_JIT", "0") in ("", "0")


def new_records(count: int, kind: np.dtype[np.void]) -> Records:
    """So many records of a kind, all zero."""
    made = np.zeros(count, dtype=kind)
    return made if _COMPILED else made.view(np.recarray)
