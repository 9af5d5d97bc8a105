"""Why a spot is, or is not, in reach."""

from __future__ import annotations

from enum import IntEnum


class Reason(IntEnum):
    """Class of a cell in `ReachMap.reason`, the first that holds from above.

    IN_REACH: the wanted flow gets there and has head to spare, or just enough.
    SLOW: standing water gets there, and what flows then is less than is wanted, but a can is filled within a day.
    NO_DATA: the ground has no level here.
    BARRIER: a barrier takes up the cell.
    TOO_HIGH: not even standing water comes up to the spot: the ground with the line's height, or with lift and least
    head, is at the water level or above it.
    TOO_FAR: standing water gets there, but over such a way that friction leaves less than a can in a day.
    BARRIER, NO_DATA: the spot is low enough, but barriers (or ground without a level) close it off from all sides.
    RIDGE: the spot is low enough and not closed off, but all ways to it lead over ground above the water level.
    """

    IN_REACH = 0
    SLOW = 1
    RIDGE = 2
    TOO_HIGH = 3
    TOO_FAR = 4
    BARRIER = 5
    NO_DATA = 6


SLOWEST_MIN_PER_CAN = 1440.0
"""A can that takes more than a day to fill counts as no water (ours, no source)."""
