"""Editing the corners of one thing by keys: Tab to the next, arrows move, Insert adds, Delete removes."""

from __future__ import annotations

from gardenwater.desktop.plan.events import ARROWS, Key, PlanKey, Pointer, arrow_step_m
from gardenwater.desktop.plan.geometry import corners_of, is_closed, middle, with_corners
from gardenwater.desktop.plan.handles import without_corner
from gardenwater.desktop.plan.live import NOTHING, Live, Sight
from gardenwater.desktop.plan.tool import Tool
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Thing

LEAST_CORNERS = {"Polygon": 3, "LineString": 2}


class CornerTool(Tool):
    """The keyboard is at one corner of the thing; Esc or Enter goes back to the pointer."""

    def __init__(self, sight: Sight, thing_id: str) -> None:
        super().__init__(sight)
        self.thing_id = thing_id
        self._index = 0
        self.done = False

    @property
    def live(self) -> Live:
        """A ring round the corner."""
        thing = self._thing
        if thing is None:
            return NOTHING
        corners = corners_of(thing.shape)
        return Live(corner=corners[self._index % len(corners)])

    @property
    def busy(self) -> bool:
        """Esc leaves the corners."""
        return True

    @property
    def spoken(self) -> str:
        """Where the keyboard is, for those who listen."""
        thing = self._thing
        if thing is None:
            return ""
        return f"Corner {self._index + 1} of {len(corners_of(thing.shape))} of {called(thing)}"

    def press(self, event: Pointer) -> None:
        """A hand on the plan ends the editing by keys."""
        self.done = True

    def key(self, key: Key) -> bool:
        """Tab, arrows, Insert, Delete, Esc."""
        thing = self._thing
        if thing is None or key.key in (PlanKey.ESCAPE, PlanKey.ENTER):
            self.done = True
            return True
        if key.key in (PlanKey.TAB, PlanKey.BACK_TAB):
            self._index = (self._index + (1 if key.key is PlanKey.TAB else -1)) % len(corners_of(thing.shape))
        elif key.key is not None and key.key in ARROWS:
            self._move(thing, key)
        elif key.key is PlanKey.INSERT:
            self._insert(thing)
        elif key.key in (PlanKey.DELETE, PlanKey.BACKSPACE):
            self._delete(thing)
        else:
            return False
        return True

    def site_changed(self) -> None:
        """The thing may have gone, or lost corners."""
        thing = self._thing
        if thing is None:
            self.done = True
        else:
            self._index %= len(corners_of(thing.shape))

    @property
    def _thing(self) -> Thing | None:
        return self._desk.site.get(self.thing_id)

    def _move(self, thing: Thing, key: Key) -> None:
        assert key.key is not None
        east, north = ARROWS[key.key]
        step, index = arrow_step_m(key.held), self._index

        def moved(site: Site) -> Site:
            corners = corners_of(thing.shape)
            x, y = corners[index]
            corners[index] = (round(x + east * step, 4), round(y + north * step, 4))
            return edits.reshape(site, thing.id, with_corners(thing.shape, corners))

        self._desk.edit(f"Reshape {called(thing)}", moved, f"corner {index} of {thing.id}")

    def _insert(self, thing: Thing) -> None:
        corners, index = corners_of(thing.shape), self._index
        if index + 1 == len(corners) and not is_closed(thing.shape):
            index -= 1
        corners.insert(index + 1, middle(corners[index], corners[(index + 1) % len(corners)]))
        shape = with_corners(thing.shape, corners)
        if self._desk.edit(f"Add a corner to {called(thing)}", lambda site: edits.reshape(site, thing.id, shape)):
            self._index = index + 1

    def _delete(self, thing: Thing) -> None:
        if len(corners_of(thing.shape)) <= LEAST_CORNERS[thing.geometry]:
            self._desk.noticed.emit(f"{called(thing)} needs all the corners that it has.")
            return
        index = self._index
        self._desk.edit(f"Take a corner from {called(thing)}", lambda site: without_corner(site, thing.id, index))
