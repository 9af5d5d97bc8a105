"""Cells by level, lowest first: a radix sort on the bits of float32 levels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from gardenwater.work import kernel

DIGIT_BITS = 11

_SIGN = np.uint32(0x80000000)
_ALL = np.uint32(0xFFFFFFFF)
_DIGITS = 1 << DIGIT_BITS
_CELL_BITS = np.uint64(32)


@kernel
def pack(bits: NDArray[np.uint32], level: NDArray[np.float32], packed: NDArray[np.uint64]) -> tuple[int, int]:
    """Pack key and number of each finite cell; how many there are, and the bits that their keys differ in.

    bits: the same memory as level. Flipping the sign of positive and all bits of negative floats makes their order
    that of whole numbers (Herf, Radix Tricks, 2001).
    """
    least, most, count = _ALL, np.uint32(0), 0
    for cell in range(level.size):
        if np.isfinite(level[cell]):
            key = bits[cell] ^ (_ALL if bits[cell] & _SIGN else _SIGN)
            least, most = min(least, key), max(most, key)
            packed[count] = (np.uint64(key) << _CELL_BITS) | np.uint64(cell)
            count += 1
    if count == 0:
        return 0, 0
    span = most - least
    width = 0
    while width < 32 and (span >> np.uint32(width)) > 0:
        width += 1
    base = np.uint64(least) << _CELL_BITS
    for at in range(count):
        packed[at] -= base
    return count, width


@kernel
def sort_digit(packed: NDArray[np.uint64], into: NDArray[np.uint64], shift: int) -> None:
    """One pass: stable by the digit of the key that begins at bit `shift`."""
    starts = np.zeros(_DIGITS + 1, dtype=np.int64)
    move, mask = np.uint64(32 + shift), np.uint64(_DIGITS - 1)
    for at in range(packed.size):
        starts[np.int64((packed[at] >> move) & mask) + 1] += 1
    for digit in range(_DIGITS):
        starts[digit + 1] += starts[digit]
    for at in range(packed.size):
        place = int((packed[at] >> move) & mask)
        into[starts[place]] = packed[at]
        starts[place] += 1


@kernel
def unpack(packed: NDArray[np.uint64], order: NDArray[np.int32]) -> None:
    """The cells' numbers alone."""
    for at in range(packed.size):
        order[at] = np.int32(packed[at] & np.uint64(_ALL))
