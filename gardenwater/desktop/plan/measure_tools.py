"""Tools that draw no thing: set the underlay to scale, trace a contour, lay a profile."""

from __future__ import annotations

import dataclasses
import math

from shapely import LineString

from gardenwater.desktop.plan.events import XY, Button, Pointer
from gardenwater.desktop.plan.geometry import distance, rounded
from gardenwater.desktop.plan.live import NOTHING, Draft, Live, Sight
from gardenwater.desktop.plan.snapping import Snap, Snapper
from gardenwater.desktop.plan.tool import PointsTool
from gardenwater.desktop.plan.typed import FieldKind
from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.model import Contour, Site

_SAME_POINT_PX = 3.0
_LEAST_SPAN_M = 1e-6


class _LineTool(PointsTool[XY]):
    """A line of points, taken as it is clicked."""

    most_points = 1000

    def __init__(self, sight: Sight) -> None:
        super().__init__(sight)
        self._at: XY | None = None
        self._value: float | None = None

    @property
    def live(self) -> Live:
        """The line so far."""
        if not self._points and self._at is None:
            return NOTHING
        open_end = len(self._points) < self.most_points
        snap = Snap(self._at, words=self._hint()) if self._at is not None and open_end else None
        return Live(draft=Draft(tuple(self._points), snap, closed=False))

    @property
    def busy(self) -> bool:
        """Whether a point was set."""
        return bool(self._points)

    def move(self, event: Pointer) -> None:
        """Show where the next point would be."""
        self._at = self._place_of(event)

    def release(self, event: Pointer) -> None:
        """Set a point."""
        if event.button is not Button.MAIN:
            return
        at = self._place_of(event)
        if self._points and distance(at, self._points[-1]) * self._sight.px_per_m < _SAME_POINT_PX:
            self._done()
        elif len(self._points) < self.most_points:
            self._points.append(at)
            if len(self._points) == self.most_points:
                self._done()

    def leave(self) -> None:
        """Show no next point while the pointer is away."""
        self._at = None

    def typed(self, first: float | None, second: float | None) -> None:
        """Keep what stands in the field."""
        self._value = first

    def give_up(self) -> None:
        """Let go of all points."""
        self._points.clear()
        self._at = self._value = None

    def _place_of(self, event: Pointer) -> XY:
        return event.at

    def _hint(self) -> str:
        return ""

    def _done(self) -> None:
        """All points are set."""


class ScaleTool(_LineTool):
    """Two spots on the underlay, and how far apart they truly are."""

    most_points = 2

    @property
    def field(self) -> FieldKind | None:
        """The distance, once both spots are there."""
        return FieldKind.DISTANCE if len(self._points) == 2 else None

    def enter(self) -> bool:
        """Set the underlay to scale."""
        if len(self._points) != 2 or self._value is None or self._value <= 0:
            return False
        first, second, length_m = self._points[0], self._points[1], self._value
        if self._desk.edit("Set the picture to scale", lambda site: rescaled(site, first, second, length_m)):
            self.give_up()
            self._desk.draw("")
            return True
        return False

    def _hint(self) -> str:
        return "first spot" if not self._points else "second spot, then type how far apart they are"


def rescaled(site: Site, first: XY, second: XY, length_m: float) -> Site:
    """The site with its underlay as large as makes two spots `length_m` apart; the first spot stays.

    Raises EditError when there is no underlay, or the two spots are one.
    """
    if site.underlay is None:
        raise EditError("There is no picture under the plan.", mend="Import one first.")
    now_m = distance(first, second)
    if now_m < _LEAST_SPAN_M:
        raise EditError("The two spots are one.", where="Underlay", mend="Choose spots far apart.")
    share = length_m / now_m
    a, b, c, d, e, f = site.underlay.transform
    moved_c, moved_f = first[0] + (c - first[0]) * share, first[1] + (f - first[1]) * share
    transform = (a * share, b * share, moved_c, d * share, e * share, moved_f)
    return edits.set_underlay(site, dataclasses.replace(site.underlay, transform=transform))


class ContourTool(_LineTool):
    """A line traced along a contour of the underlay, and its level."""

    @property
    def field(self) -> FieldKind | None:
        """Its level, once it has two points."""
        return FieldKind.LEVEL if len(self._points) >= 2 else None

    def enter(self) -> bool:
        """Keep the contour."""
        if len(self._points) < 2 or self._value is None:
            return False
        contour = Contour(LineString([rounded(at) for at in self._points]), self._value)

        def kept(site: Site) -> Site:
            survey = dataclasses.replace(site.survey, contours=(*site.survey.contours, contour))
            return edits.set_survey(site, survey)

        taken = self._desk.edit("Trace a contour", kept)
        if taken:
            self.give_up()
        return taken

    def _hint(self) -> str:
        return "follow one contour, then type its level" if len(self._points) < 2 else ""


class ProfileTool(_LineTool):
    """Two spots between which the ground is shown from the side; the card shows it, also after the tool is done."""

    most_points = 2

    def __init__(self, sight: Sight) -> None:
        super().__init__(sight)
        self._snapper = Snapper(self._desk.present, grid_m=sight.grid_m)

    def move(self, event: Pointer) -> None:
        """The profile follows the pointer."""
        super().move(event)
        if len(self._points) == 1 and self._at is not None and self._at != self._points[0]:
            self._desk.lay_profile(LineString([self._points[0], self._at]))

    def _place_of(self, event: Pointer) -> XY:
        return event.at if event.held.alt else self._snapper.snap(event.at, self._sight.px_per_m).at

    def _hint(self) -> str:
        return "from here" if not self._points else "to here"

    def _done(self) -> None:
        if len(self._points) == 2 and math.dist(*self._points) > 0:
            self._desk.lay_profile(LineString(self._points))
            self.give_up()
            self._desk.draw("")
