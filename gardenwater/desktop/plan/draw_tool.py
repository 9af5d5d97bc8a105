"""Drawing a new thing: points by clicks, a rectangle by a drag, lengths and bearings typed."""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from gardenwater.desktop.plan.events import XY, Button, Pointer
from gardenwater.desktop.plan.geometry import bearing_deg, distance, polar, rectangle, touch_shape
from gardenwater.desktop.plan.live import NOTHING, Draft, Live, Sight
from gardenwater.desktop.plan.making import ENDS_AT_SECOND, PREFERRED, made
from gardenwater.desktop.plan.placing import misplaced
from gardenwater.desktop.plan.snapping import Snap, SnapKind, Snapper
from gardenwater.desktop.plan.tool import PointsTool
from gardenwater.desktop.plan.typed import FieldKind
from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import BY_KIND, Tank
from gardenwater.units import Quantity, text

RECTANGLES = ("bed", "building", "roof", "soakaway", "keep_dry", "boundary", "pond", "rain_garden", "earthwork")
"""Kinds that a drag draws as a rectangle."""

_DRAG_PX = 6.0
_SAME_POINT_PX = 3.0


class DrawTool(PointsTool[Snap]):
    """Draws one thing of a kind, then gives way to the pointer with that thing selected."""

    def __init__(self, sight: Sight, kind: str) -> None:
        super().__init__(sight)
        self.kind = kind
        self._geometry = BY_KIND[kind].geometry
        self._snap: Snap | None = None
        self._pressed: tuple[Pointer, Snap] | None = None
        self._boxed = self._by_keys = False
        self._length_m: float | None = None
        self._bearing: float | None = None
        self._snapper = self._new_snapper()

    @property
    def live(self) -> Live:
        """The draft: points that stand, and the one to come."""
        if not self._points and self._snap is None:
            return NOTHING
        points = tuple(snap.at for snap in self._points)
        if self._boxed and self._pressed is not None and self._snap is not None:
            corners = self._box(self._pressed[1], self._snap)
            return Live(
                draft=Draft((corners[0].at, corners[1].at, corners[3].at), self._snap, closed=True, rectangle=True)
            )
        outline = self._outline() if self._geometry == "Point" else None
        return Live(draft=Draft(points, self._snap, self._geometry == "Polygon", outline=outline))

    @property
    def busy(self) -> bool:
        """Whether a point was set or a rectangle begun."""
        return bool(self._points) or self._pressed is not None

    @property
    def spoken(self) -> str:
        """Length and bearing of the side to come, and what it was snapped to."""
        if self._snap is None:
            return BY_KIND[self.kind].word
        parts = [self._snap.words] if self._snap.words else []
        if self._points and self._snap.at != self._points[-1].at:
            start = self._points[-1].at
            parts.insert(0, text(distance(start, self._snap.at), Quantity.LENGTH_M, self._desk.units))
            parts.insert(1, f"{bearing_deg(start, self._snap.at):.0f} degrees")
        return ", ".join([BY_KIND[self.kind].word, *parts])

    @property
    def field(self) -> FieldKind | None:
        """Digits give the next side's length and bearing, once there is a point to measure from."""
        return FieldKind.LENGTH_BEARING if self._points else None

    def press(self, event: Pointer) -> None:
        """Begin a point, or the corner of a rectangle."""
        if event.button is Button.MAIN:
            self._pressed = event, self._snapped(event)

    def move(self, event: Pointer) -> None:
        """Show where the next point would be."""
        self._snap, self._by_keys = self._snapped(event), event.by_keys
        if self._pressed is not None and not self._points and self.kind in RECTANGLES:
            self._boxed = self._boxed or distance(event.px, self._pressed[0].px) > _DRAG_PX

    def release(self, event: Pointer) -> None:
        """Set the point, or finish the rectangle."""
        if self._pressed is None:
            return
        (_, start), boxed = self._pressed, self._boxed
        self._pressed, self._boxed = None, False
        if boxed:
            self._finish(self._box(start, self._snapped(event)))
        else:
            self._place(self._snapped(event))

    def leave(self) -> None:
        """Show no next point while the pointer is away."""
        self._snap = None

    def typed(self, first: float | None, second: float | None) -> None:
        """Hold the next side to a length, a bearing or both."""
        self._length_m, self._bearing = first, second
        if self._snap is not None:
            self._snap = self._held(self._snap)

    def enter(self) -> bool:
        """Set the point that the typed length and bearing give."""
        if not self._points or (self._length_m is None and self._bearing is None):
            return False
        start = self._points[-1].at
        towards = self._snap or (Snap(polar(start, 1.0, self._bearing)) if self._bearing is not None else None)
        if towards is None:
            return False
        snap = self._held(towards)
        self._length_m = self._bearing = None
        self._place(snap)
        return True

    def site_changed(self) -> None:
        """Snap to the site as it is now."""
        self._snapper = self._new_snapper()

    def give_up(self) -> None:
        """Let go of all points."""
        self._points.clear()
        self._snap = self._pressed = self._length_m = self._bearing = None
        self._boxed = False

    def _new_snapper(self) -> Snapper:
        return Snapper(self._desk.present, prefer=PREFERRED.get(self.kind, ()), grid_m=self._sight.grid_m)

    def _snapped(self, event: Pointer) -> Snap:
        if event.held.alt:
            snap = Snap((round(event.at[0], 2), round(event.at[1], 2)))
        else:
            drawn = [snap.at for snap in self._points]
            closing = self._geometry == "Polygon"
            snap = self._snapper.snap(
                event.at, self._sight.px_per_m, drawn=drawn, square=event.held.shift, closing=closing
            )
        return self._held(snap)

    def _held(self, snap: Snap) -> Snap:
        """The place after the typed length and bearing were laid on it."""
        if not self._points or (self._length_m is None and self._bearing is None):
            return snap
        start = self._points[-1].at
        length_m = distance(start, snap.at) if self._length_m is None else self._length_m
        bearing = bearing_deg(start, snap.at) if self._bearing is None else self._bearing
        return Snap(polar(start, length_m, bearing), SnapKind.FREE, "as typed")

    def _place(self, snap: Snap) -> None:
        if snap.kind is SnapKind.FIRST or self._is_last(snap.at):
            self._finish(self._points)
            return
        self._points.append(snap)
        done = self._geometry == "Point" or (self.kind in ENDS_AT_SECOND and len(self._points) == 2)
        if done:
            self._finish(self._points)
            if self._geometry == "Point":
                self._points.clear()

    def _is_last(self, at: XY) -> bool:
        """Whether a point is set on the last one again: that is how a double click ends a line."""
        return bool(self._points) and distance(at, self._points[-1].at) * self._sight.px_per_m < _SAME_POINT_PX

    def _done(self) -> None:
        """With the cross of the keys away from the last point it sets one there; on it, or by hand, all is done."""
        crossed = self._by_keys or self._geometry == "Point"
        if crossed and self._snap is not None and not self._is_last(self._snap.at):
            self._place(self._snap)
        else:
            self._finish(self._points)

    def _box(self, start: Snap, end: Snap) -> list[Snap]:
        corners = rectangle(start.at, end.at, start.along or (1.0, 0.0))
        return [start, Snap(corners[1]), end, Snap(corners[3])]

    def _finish(self, drawn: list[Snap]) -> None:
        kind, snaps = self.kind, tuple(drawn)
        if self._desk.put(f"Draw {BY_KIND[kind].word.lower()}", lambda site: self._with_new(site, snaps)):
            self.give_up()
            self._desk.draw("")

    def _with_new(self, site: Site, snaps: tuple[Snap, ...]) -> Site:
        thing = made(site, self.kind, snaps, self._sight.level_at)
        after = edits.put(site, thing)
        wrong = misplaced(after, (thing.id,))
        if wrong is not None:
            raise EditError(
                f"{wrong.why}.", where=thing.name, mend=f"Nearest place that can be: {wrong.away_m:.1f} m {wrong.way}."
            )
        return after

    def _outline(self) -> BaseGeometry | None:
        if self._snap is None or self.kind != Tank.kind:
            return None
        try:
            return touch_shape(made(self._desk.present, self.kind, [self._snap], self._sight.level_at))
        except EditError:
            return None
