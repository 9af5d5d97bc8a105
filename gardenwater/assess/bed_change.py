"""A change that would let a tank serve a bed, and how far cans are carried where none does."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum


class ChangeKind(StrEnum):
    """What would be changed."""

    WIDER = "wider"
    MOVE = "move"


@dataclass(frozen=True, slots=True, kw_only=True)
class BedChange:
    """One change to one tank that serves a bed with half the tank's litres.

    moved_m, at: for MOVE, how far and to where (x, y, m), on its stand as it is. bore: for WIDER, a row of
    `line_bores`.
    """

    kind: ChangeKind
    bed: str
    tank: str
    moved_m: float = math.nan
    at: tuple[float, float] | None = None
    bore: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carry:
    """The shortest way to carry cans to a bed: from which tank or tap, round buildings and walls, m."""

    bed: str
    source: str
    distance_m: float
