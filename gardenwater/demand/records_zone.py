"""The records that the kernels of demand work on: a bed on a day, a bed, its state, and what became of it."""

from __future__ import annotations

from enum import IntEnum
from typing import Any

import numpy as np

Records = Any
"""An array of records; numba reads and writes their fields by name, which numpy's types do not know."""
Number = Any
"""A field of a record."""


class Asks(IntEnum):
    """What a bed asks for on a day.

    Nothing; its depletion, once the readily available water is used; its depletion, whatever it is; a fixed depth.
    """

    NOTHING = 0
    WHEN_DRY = 1
    FILL_UP = 2
    FIXED = 3


DAY = np.dtype(
    [
        ("water_mm", np.float64),
        ("transpiration_mm", np.float64),
        ("drying_mm", np.float64),
        ("drying_bare_mm", np.float64),
        ("bare", np.float64),
        ("available_mm", np.float64),
        ("readily_mm", np.float64),
        ("roots_take", np.float64),
        ("asks", np.int64),
    ],
    align=True,
)
"""One bed on one day. water_mm: rain and thaw that reach its soil. transpiration_mm: full transpiration, Kcb ET0.
drying_mm: evaporation of a wet surface as far as there is heat for it, (Kc max - Kcb) ET0; drying_bare_mm: of a wet and
wholly bare one, Kc max ET0; both under its mulch. bare: share of the soil that no leaf covers. available_mm,
readily_mm: of the root zone, TAW and RAW. roots_take: share of the deep soil's depletion that today's new roots take
over; negative: share of the root zone's that is given back. asks: an `Asks`."""

BED = np.dtype(
    [
        ("evaporable_mm", np.float64),
        ("readily_evaporable_mm", np.float64),
        ("by_hand", np.float64),
        ("fixed_mm", np.float64),
    ],
    align=True,
)
"""One bed. evaporable_mm, readily_evaporable_mm: what its surface can lose, and as fast as the sun drives it, TEW and
REW. by_hand: share of the surface that watering wets. fixed_mm: the depth of `Asks.FIXED`."""

STATE = np.dtype(
    [
        ("surface_mm", np.float64),
        ("root_mm", np.float64),
        ("deep_mm", np.float64),
        ("wetted", np.float64),
    ],
    align=True,
)
"""One bed at the end of a day. surface_mm: depletion of the surface where it is bare and wetted; root_mm, deep_mm: of
the root zone and of the deep soil below it. wetted: share of the surface that was wetted last."""

PAST = np.dtype(
    [
        ("need_mm", np.float64),
        ("evaporated_mm", np.float64),
        ("transpired_mm", np.float64),
        ("passed_mm", np.float64),
        ("depletion_mm", np.float64),
        ("deep_mm", np.float64),
    ],
    align=True,
)
"""What became of one bed on one day. passed_mm: below the deepest roots. depletion_mm, deep_mm: at its end."""
