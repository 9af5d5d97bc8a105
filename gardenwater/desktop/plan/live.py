"""What a tool shows while it works, in metres of the site: drafts, ghosts, bands, slips."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from shapely.geometry.base import BaseGeometry

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.placing import Misplaced
from gardenwater.desktop.plan.snapping import Snap


@dataclass(frozen=True, slots=True)
class SlipLine:
    """One line of words on a slip; the strong one is the answer, the soft one stands back."""

    words: str
    role: str = "ink"
    strong: bool = False


@dataclass(frozen=True, slots=True)
class Slip:
    """Words on a sheet of their own beside a place."""

    at: XY
    lines: tuple[SlipLine, ...]


@dataclass(frozen=True, slots=True)
class Draft:
    """What is being drawn. points: set already; snap: where the next would be set, None while there is no pointer.

    closed: an area (a line else). free_sides: whether sides show their length (not for a rectangle's two equal ones).
    outline: of a point thing that would be put, at `snap`.
    """

    points: tuple[XY, ...]
    snap: Snap | None
    closed: bool
    rectangle: bool = False
    outline: BaseGeometry | None = None


@dataclass(frozen=True, slots=True)
class Ghost:
    """What is being dragged: where it was, how far it went, and why it cannot be there, where that is so.

    old: outlines before; new: outlines now, drawn only when it cannot be there.
    """

    old: tuple[BaseGeometry, ...]
    start: XY
    end: XY
    misplaced: Misplaced | None = None
    new: tuple[BaseGeometry, ...] = ()


@dataclass(frozen=True, slots=True)
class Band:
    """A box that is drawn over the plan to select what lies in it."""

    corner: XY
    other: XY


@dataclass(frozen=True, slots=True)
class Live:
    """All that a tool shows."""

    draft: Draft | None = None
    ghost: Ghost | None = None
    band: Band | None = None
    slip: Slip | None = None
    corner: XY | None = None
    """The corner that the keyboard is at."""


NOTHING = Live()


class Sight(Protocol):
    """What tools ask of the plan that they work on."""

    @property
    def px_per_m(self) -> float:
        """How many px a metre takes."""

    @property
    def grid_m(self) -> float:
        """Distance of the grid's crosses, m."""

    @property
    def desk(self) -> Desk:
        """The desk that gestures go to."""

    def level_at(self, x: float, y: float) -> float:
        """Level of the ground, m; NaN where there is none."""

    def to_card(self) -> None:
        """Go to the card of what is selected."""

    def edit_corners(self) -> None:
        """Edit the corners of what is selected by keys."""
