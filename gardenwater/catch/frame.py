"""A plane of a roof seen down its fall."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from shapely import Polygon

from gardenwater.catch.skeleton import Place, corners_of

Side = tuple[float, float, float, float]

_DIGITS = 9  # a nanometre: corners straight below each other are so in spite of rounding


class Frame:
    """Places by how far across a fall and up it they lie, m from `origin` (near by, so that digits are kept)."""

    def __init__(self, fall: Place, origin: Place) -> None:
        self._fall = fall
        self._origin = origin

    def across(self, place: Sequence[float]) -> float:
        """How far across the fall, m."""
        return (place[1] - self._origin[1]) * self._fall[0] - (place[0] - self._origin[0]) * self._fall[1]

    def height(self, place: Sequence[float]) -> float:
        """How far up the fall on the plan, m."""
        return -(place[0] - self._origin[0]) * self._fall[0] - (place[1] - self._origin[1]) * self._fall[1]

    def place(self, across: float, height: float) -> Place:
        """The place that lies so."""
        fx, fy = self._fall
        return self._origin[0] - across * fy - height * fx, self._origin[1] + across * fx - height * fy

    def slices(self, polygon: Polygon, cuts: Iterable[float]) -> Iterator[Polygon]:
        """The polygon cut down the fall at each cut and at each of its corners, into pieces with two straight ends.

        By hand and not by an overlay: cuts through corners are what overlays round wrongly, and areas must add up.
        """
        sides = [side for ring in (polygon.exterior, *polygon.interiors) for side in self._sides(corners_of(ring))]
        places = sorted({place for side in sides for place in (side[0], side[2])})
        inside = (round(cut, _DIGITS) for cut in cuts if places[0] < cut < places[-1])
        places = sorted({*places, *inside})
        for start, end in pairwise(places):
            middle = (start + end) / 2
            over = sorted((side for side in sides if side[0] < middle < side[2]), key=lambda side: _at(side, middle))
            for low, high in zip(over[::2], over[1::2], strict=True):
                corners = ((start, low), (end, low), (end, high), (start, high))
                piece = Polygon([self.place(across, _at(side, across)) for across, side in corners])
                if piece.area > 0:
                    yield piece

    def _sides(self, corners: list[Place]) -> Iterator[Side]:
        """The sides of a ring that are not straight down, from left to right: across and height of both ends."""
        seen = [(round(self.across(corner), _DIGITS), self.height(corner)) for corner in corners]
        for one, other in pairwise(seen):
            if one[0] != other[0]:
                yield (*one, *other) if one[0] < other[0] else (*other, *one)


def _at(side: Side, across: float) -> float:
    """How high a side is at a place across; exact at its ends."""
    left, low, right, high = side
    share = (across - left) / (right - left)
    return low * (1 - share) + high * share
