"""What a drag with the pointer does: move things, drag a handle, scale what is selected, or draw a band."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.affinity import scale, translate

from gardenwater.desktop.plan.events import XY, Pointer
from gardenwater.desktop.plan.geometry import bounds_of, corners_of, distance, rounded, touch_shape
from gardenwater.desktop.plan.handles import Handle, HandleKind, dragged
from gardenwater.desktop.plan.live import NOTHING, Band, Ghost, Live, Sight, Slip, SlipLine
from gardenwater.desktop.plan.picking import Picker
from gardenwater.desktop.plan.placing import Misplaced, misplaced
from gardenwater.desktop.plan.slips import Before, dragged_lines, misplaced_lines
from gardenwater.desktop.plan.snapping import Snapper
from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Thing

_SNAPS_TO: dict[str, tuple[str, ...]] = {
    "downpipe": ("roof",),
    "gutter": ("roof", "downpipe"),
    "diverter": ("downpipe",),
}


def _called(things: Sequence[Thing]) -> str:
    return called(things[0]) if len(things) == 1 else f"{len(things)} things"


class Gesture:
    """One drag, from press to release. It changes the site by a tentative one, and makes one edit at its end."""

    def __init__(self, sight: Sight) -> None:
        self._sight = sight
        self._wrong = ""

    @property
    def live(self) -> Live:
        """What it shows."""
        return NOTHING

    @property
    def dragged(self) -> frozenset[str]:
        """Ids of the things that it changes."""
        return frozenset()

    def move(self, event: Pointer) -> None:
        """The pointer moved."""

    def finish(self, event: Pointer) -> None:
        """The button went up: make the edit."""

    def cancel(self) -> None:
        """Esc: nothing was done."""
        self._sight.desk.tentative(None)

    def _try(self, change: Site | None) -> None:
        """Show a tentative site; None shows the one before the drag, the gesture going on."""
        desk = self._sight.desk
        desk.tentative(desk.present if change is None else change)

    def _commit(self, label: str) -> None:
        """Make the edit, unless what is under the hand now cannot be."""
        desk = self._sight.desk
        if self._wrong:
            desk.tentative(None)
            desk.noticed.emit(f"{self._wrong.rstrip('.')}: it went back.")
        else:
            desk.commit(label)


class MoveGesture(Gesture):
    """Moves the selected things with what hangs on them."""

    def __init__(self, sight: Sight, ids: tuple[str, ...], start: Pointer) -> None:
        super().__init__(sight)
        site = sight.desk.present
        self._ids = ids
        self._start = start
        self._shift: XY = (0.0, 0.0)
        self._misplaced: Misplaced | None = None
        self._things = tuple(thing for thing_id in ids if (thing := site.get(thing_id)) is not None)
        self._old = tuple(touch_shape(thing) for thing in self._things)
        self._middle = _middle_of(self._things)
        self._anchor = self._anchor_near(start.at)
        self._before = Before.of(sight, self._things)
        self._snapper = Snapper(site, leave_out=_moving(site, ids), prefer=self._prefer(), reach_px=8.0)

    @property
    def dragged(self) -> frozenset[str]:
        """The selected things."""
        return frozenset(self._ids)

    @property
    def live(self) -> Live:
        """The old outline, the way that it went, and the answer now and before on a slip."""
        old, from_at, (dx, dy) = self._old, self._middle, self._shift
        to_at = from_at[0] + dx, from_at[1] + dy
        new = tuple(translate(shape, dx, dy) for shape in old) if self._misplaced else ()
        lines = misplaced_lines(self._misplaced) if self._misplaced else dragged_lines(self._sight, self._before)
        return Live(ghost=Ghost(old, from_at, to_at, self._misplaced, new), slip=Slip(to_at, lines) if lines else None)

    def move(self, event: Pointer) -> None:
        """Show the site with the things where the pointer has them."""
        self._shift = self._shift_for(event)
        present = self._sight.desk.present
        try:
            site = edits.move(present, self._ids, *self._shift)
        except EditError as error:
            self._wrong, self._misplaced = error.what, Misplaced(error.what.rstrip("."), None, 0.0, "")
            self._try(None)
            return
        self._misplaced = misplaced(site, self._ids)
        self._wrong = self._misplaced.why if self._misplaced else ""
        self._try(None if self._misplaced else site)

    def finish(self, event: Pointer) -> None:
        """One edit; a thing that cannot be there goes back."""
        self.move(event)
        self._commit(f"Move {_called(self._things)}")

    def _shift_for(self, event: Pointer) -> XY:
        dx, dy = event.at[0] - self._start.at[0], event.at[1] - self._start.at[1]
        if event.held.shift:
            dx, dy = (dx, 0.0) if abs(dx) >= abs(dy) else (0.0, dy)
        elif not event.held.alt and self._anchor is not None:
            to = self._snapper.snap((self._anchor[0] + dx, self._anchor[1] + dy), self._sight.px_per_m)
            return to.at[0] - self._anchor[0], to.at[1] - self._anchor[1]
        return rounded((dx, dy))

    def _anchor_near(self, at: XY) -> XY | None:
        """What snaps: the corner nearest to where it was taken; nothing for point things that hang on no roof."""
        if len(self._things) != 1 or (self._things[0].geometry == "Point" and self._things[0].kind not in _SNAPS_TO):
            return None
        return min(corners_of(self._things[0].shape), key=lambda corner: distance(corner, at))

    def _prefer(self) -> tuple[str, ...]:
        return _SNAPS_TO.get(self._things[0].kind, ()) if len(self._things) == 1 else ()


def _middle_of(things: Sequence[Thing]) -> XY:
    west, south, east, north = bounds_of(things)
    return (west + east) / 2, (south + north) / 2


def _moving(site: Site, ids: tuple[str, ...]) -> set[str]:
    """Ids of what goes along, found by moving it a little."""
    moved = edits.move(site, ids, 0.01, 0.0)
    return {thing.id for thing in moved if thing is not site.get(thing.id)}


class HandleGesture(Gesture):
    """Drags a corner, adds one, or changes the size of a tank."""

    def __init__(self, sight: Sight, handle: Handle) -> None:
        super().__init__(sight)
        self._handle = handle
        self._at = handle.at
        thing = sight.desk.present.get(handle.thing)
        self._called = called(thing) if thing is not None else ""
        self._snapper = Snapper(sight.desk.present, leave_out=(handle.thing,), grid_m=sight.grid_m)

    @property
    def dragged(self) -> frozenset[str]:
        """The thing whose handle it is."""
        return frozenset((self._handle.thing,))

    @property
    def live(self) -> Live:
        """Why the shape cannot be, where that is so."""
        if not self._wrong:
            return NOTHING
        return Live(
            slip=Slip(
                self._at, (SlipLine(self._wrong, "unsafe", strong=True), SlipLine("Let go: it goes back", "ink_soft"))
            )
        )

    def move(self, event: Pointer) -> None:
        """Show the site with the handle where the pointer has it."""
        free = event.held.alt or self._handle.kind is HandleKind.SIZE
        self._at = rounded(event.at) if free else self._snapper.snap(event.at, self._sight.px_per_m).at
        try:
            self._try(dragged(self._sight.desk.present, self._handle, self._at, self._sight.px_per_m))
            self._wrong = ""
        except EditError as error:
            self._wrong = error.what

    def finish(self, event: Pointer) -> None:
        """One edit."""
        self.move(event)
        self._commit(f"{'Resize' if self._handle.kind is HandleKind.SIZE else 'Reshape'} {self._called}")


class ScaleGesture(Gesture):
    """Drags a handle of the common box of several things: all are scaled about the handle opposite."""

    def __init__(self, sight: Sight, ids: tuple[str, ...], handle: XY, opposite: XY) -> None:
        super().__init__(sight)
        self._ids, self._handle, self._opposite = ids, handle, opposite

    @property
    def dragged(self) -> frozenset[str]:
        """The selected things."""
        return frozenset(self._ids)

    def move(self, event: Pointer) -> None:
        """Show the site with everything scaled."""
        factors = [self._factor(axis, event.at) for axis in (0, 1)]
        try:
            self._try(scaled(self._sight.desk.present, self._ids, (factors[0], factors[1]), self._opposite))
            self._wrong = ""
        except EditError as error:
            self._wrong = error.what

    def finish(self, event: Pointer) -> None:
        """One edit."""
        self.move(event)
        self._commit(f"Scale {len(self._ids)} things")

    def _factor(self, axis: int, at: XY) -> float:
        span = self._handle[axis] - self._opposite[axis]
        return max((at[axis] - self._opposite[axis]) / span, 0.05) if abs(span) > 1e-9 else 1.0


def scaled(site: Site, ids: Sequence[str], factors: XY, about: XY) -> Site:
    """The site with the shapes of things scaled about a spot. Raises EditError for locked things."""
    for thing_id in ids:
        thing = site.get(thing_id)
        if thing is not None:
            site = edits.reshape(site, thing_id, scale(thing.shape, *factors, origin=about))
    return site


class BandGesture(Gesture):
    """Draws a box and selects the things inside it."""

    def __init__(self, sight: Sight, start: Pointer, picker: Picker, kept: tuple[str, ...]) -> None:
        super().__init__(sight)
        self._start, self._end = start, start.at
        self._picker = picker
        self._kept = kept

    @property
    def live(self) -> Live:
        """The box."""
        return Live(band=Band(self._start.at, self._end))

    def move(self, event: Pointer) -> None:
        """The box goes to the pointer."""
        self._end = event.at

    def finish(self, event: Pointer) -> None:
        """Select what lies in the box, beside what was selected with Shift."""
        inside = self._picker.within(self._start.at, event.at, touching=event.held.alt)
        self._sight.desk.select((*self._kept, *inside))

    def cancel(self) -> None:
        """The selection stays as it was."""
