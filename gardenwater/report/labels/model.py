"""What the label placer takes and gives."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from gardenwater.report.drawing import Align, Points, Rect, TextStyle

SIDE_PX, ABOVE_PX = 4.0, 2.0
"""Room round the words in their box."""


class Line(NamedTuple):
    """One line of a label."""

    words: str
    style: TextStyle
    role: str


@dataclass(frozen=True, slots=True, eq=False)
class Label:
    """A block of words that belongs to a sign.

    key: of the thing or result; stable, so that a label keeps its place. rank: 0 (first) to 6. size: the larger first,
    px². sign: the box that the sign takes, px. areas: outlines that it may stand in, px; none for points and lines.
    pole: a point well inside the outlines, px. owner: of the hurdles whose ground is its own; `key` unless given.
    inside_only: it is left out where it does not fit into its areas.
    """

    key: str
    rank: int
    lines: tuple[Line, ...]
    sign: Rect
    size: float = 0.0
    areas: tuple[Points, ...] = ()
    pole: tuple[float, float] | None = None
    owner: str = ""
    inside_only: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Hurdle:
    """What a label may lie on, at a cost: a line (`closed` False), an outline, or a ground (`ground` True)."""

    points: Points
    cost: float
    owner: str = ""
    closed: bool = False
    ground: bool = False


class Leader(NamedTuple):
    """A straight line from the edge of a label's box to its sign, px."""

    from_x: float
    from_y: float
    to_x: float
    to_y: float


@dataclass(frozen=True, slots=True, eq=False)
class Placed:
    """A label in its place.

    lines: those that were kept. place: number of the place in the list. cost: of the place and of what it lies on.
    """

    label: Label
    lines: tuple[Line, ...]
    box: Rect
    align: Align
    place: int
    cost: float
    leader: Leader | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """Where labels may stand.

    sheet: inside the neat line, px. never: boxes that no label touches. hurdles: what they may lie on, at a cost.
    """

    sheet: Rect
    never: tuple[Rect, ...] = ()
    hurdles: tuple[Hurdle, ...] = ()
