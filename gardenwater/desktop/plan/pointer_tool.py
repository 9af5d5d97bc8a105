"""The pointer: looking, selecting, moving, dragging handles, and what keys do with the selection."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gardenwater.desktop.plan.events import ARROWS, XY, Button, Key, PlanKey, Pointer, arrow_step_m
from gardenwater.desktop.plan.geometry import bounds_of, distance
from gardenwater.desktop.plan.gestures import BandGesture, Gesture, HandleGesture, MoveGesture, ScaleGesture
from gardenwater.desktop.plan.handles import REACH_PX, Handle, handle_at, handles_of
from gardenwater.desktop.plan.live import NOTHING, Live, Sight
from gardenwater.desktop.plan.picking import Picker, hidden_kinds, in_plan_order
from gardenwater.desktop.plan.tool import Tool
from gardenwater.desktop.spilling import water_at
from gardenwater.desktop.standing import spot_at
from gardenwater.findings import Question
from gardenwater.site.model import Site

if TYPE_CHECKING:
    from gardenwater.assess import ProposedTank

_DRAG_PX = 4.0
_RAISE_M, _RAISE_FAST_M = 0.05, 0.25


class PointerTool(Tool):
    """What the pointer does when nothing is being drawn."""

    def __init__(self, sight: Sight) -> None:
        super().__init__(sight)
        self._gesture: Gesture | None = None
        self._pressed: Pointer | None = None
        self._pressed_on = ""
        self._spot: ProposedTank | None = None
        self._picker: tuple[Site, frozenset[str], Picker] | None = None

    @property
    def live(self) -> Live:
        """What the drag shows."""
        return NOTHING if self._gesture is None else self._gesture.live

    @property
    def busy(self) -> bool:
        """Whether something is being dragged."""
        return self._gesture is not None

    @property
    def dragged(self) -> frozenset[str]:
        """Ids of the things that are being dragged."""
        return frozenset() if self._gesture is None else self._gesture.dragged

    @property
    def handles(self) -> list[Handle]:
        """The handles of the one selected thing."""
        chosen = self._desk.selected
        return handles_of(chosen[0], self._sight.px_per_m) if len(chosen) == 1 else []

    def press(self, event: Pointer) -> None:
        """Take hold of a handle, of a thing, or of the empty plan."""
        if event.button is not Button.MAIN or self._gesture is not None:
            return
        self._pressed = event
        self._spot = spot_at(self._desk.answers, event.at, self._sight.px_per_m)
        if self._spot is not None:
            self._pressed_on = ""
            return
        if handle_at(self.handles, event.at, self._sight.px_per_m) or self._box_handle(event.at):
            self._pressed_on = ""
            return
        thing = self._pick(event.at)
        self._pressed_on = thing
        if not event.held.shift and self._follow_water(event.at, thing):
            self._pressed = None
            return
        if thing and event.held.shift:
            self._toggle(thing)
        elif thing and thing not in self._desk.selection:
            self._desk.select((thing,))
        if thing and event.clicks == 2 and not event.held.shift:
            self._sight.to_card()

    def move(self, event: Pointer) -> None:
        """Drag what was taken hold of, or tell what is under the pointer."""
        if self._gesture is not None:
            self._gesture.move(event)
        elif self._spot is not None:
            return
        elif self._pressed is None:
            self._desk.hover("" if self._over_spot(event.at) else self._pick(event.at))
        elif distance(event.px, self._pressed.px) > _DRAG_PX:
            gesture = self._begin(self._pressed)
            gesture.move(event)
            self._gesture = gesture

    def release(self, event: Pointer) -> None:
        """End the drag with one edit; a click on the empty plan lets go of the selection."""
        gesture, pressed, spot = self._gesture, self._pressed, self._spot
        self._gesture = self._pressed = self._spot = None
        if spot is not None:
            self._desk.put_on_spot(spot.rank)
            return
        if gesture is not None:
            gesture.finish(event)
        elif pressed is not None and not pressed.held.shift:
            if self._pressed_on:
                self._desk.select((self._pressed_on,))
            elif not self._on_handle(pressed.at):
                self._desk.select(())

    def leave(self) -> None:
        """Nothing is under the pointer."""
        self._desk.hover("")

    def key(self, key: Key) -> bool:
        """Keys that act on the selection; while something is dragged only Esc, which gives it up."""
        if self._gesture is not None:
            if key.key is PlanKey.ESCAPE:
                self.give_up()
            return True
        if key.key is None:
            return False
        if key.key in ARROWS:
            return self._nudge(key)
        return self._act(key)

    def give_up(self) -> None:
        """Cancel the drag."""
        gesture, self._gesture, self._pressed = self._gesture, None, None
        if gesture is not None:
            gesture.cancel()

    def step(self, by: int) -> bool:
        """Select the next or last thing in the order of the Tab key; False beyond either end."""
        order = [thing.id for thing in in_plan_order(self._desk.site)]
        chosen = self._desk.selection
        at = order.index(chosen[-1]) + by if chosen else (0 if by > 0 else len(order) - 1)
        if not 0 <= at < len(order):
            return False
        self._desk.select((order[at],))
        return True

    def _act(self, key: Key) -> bool:
        desk = self._desk
        raise_m = _RAISE_FAST_M if key.held.shift else _RAISE_M
        match key.key:
            case PlanKey.TAB | PlanKey.BACK_TAB:
                return self.step(1 if key.key is PlanKey.TAB else -1)
            case PlanKey.ESCAPE if desk.selection:
                desk.select(())
            case PlanKey.DELETE | PlanKey.BACKSPACE if desk.selection:
                desk.delete_selected()
            case PlanKey.PAGE_UP if desk.selection:
                desk.raise_selected(raise_m)
            case PlanKey.PAGE_DOWN if desk.selection:
                desk.raise_selected(-raise_m)
            case PlanKey.ENTER if desk.selection and key.held.ctrl:
                self._sight.edit_corners()
            case PlanKey.ENTER if desk.selection:
                self._sight.to_card()
            case _:
                return False
        return True

    def _nudge(self, key: Key) -> bool:
        if not self._desk.selection or key.key is None:
            return False
        east, north = ARROWS[key.key]
        step = arrow_step_m(key.held)
        self._desk.nudge(east * step, north * step)
        return True

    def _follow_water(self, at: XY, thing: str) -> bool:
        """Follow the water whose way is under a point, in Overflow; signs and drawn lines go before it."""
        answers, drawn = self._desk.answers, self._desk.site.get(thing)
        if self._desk.question is not Question.OVERFLOW or (drawn is not None and drawn.geometry != "Polygon"):
            return False
        owner = water_at(answers, at, REACH_PX / self._sight.px_per_m)
        if owner:
            self._desk.select(())
            self._desk.spilling.follow(owner, answers)
        return bool(owner)

    def _pick(self, at: XY) -> str:
        thing = self._picker_now().at(at, self._sight.px_per_m)
        return "" if thing is None else thing.id

    def _picker_now(self) -> Picker:
        """The picker of what is shown; kept while that is the same."""
        site, hidden = self._desk.site, hidden_kinds(self._desk.question, self._sight.px_per_m)
        if self._picker is None or self._picker[0] is not site or self._picker[1] != hidden:
            self._picker = site, hidden, Picker(site, hidden)
        return self._picker[2]

    def _over_spot(self, at: XY) -> bool:
        """Whether a proposed spot is under the pointer; it is looked at then."""
        spot = spot_at(self._desk.answers, at, self._sight.px_per_m)
        if spot is not None:
            self._desk.standing.look_at(spot.rank)
        return spot is not None

    def _toggle(self, thing: str) -> None:
        chosen = self._desk.selection
        rest = tuple(one for one in chosen if one != thing)
        self._desk.select(rest if thing in chosen else (*chosen, thing))

    def _begin(self, start: Pointer) -> Gesture:
        """The press has become a drag."""
        handle = handle_at(self.handles, start.at, self._sight.px_per_m)
        pair = self._box_handle(start.at)
        chosen = self._desk.selection
        if handle is not None:
            return HandleGesture(self._sight, handle)
        if pair is not None:
            return ScaleGesture(self._sight, chosen, *pair)
        if self._pressed_on and self._pressed_on in chosen:
            self._desk.hover("")
            return MoveGesture(self._sight, chosen, start)
        kept = chosen if start.held.shift else ()
        return BandGesture(self._sight, start, self._picker_now(), kept)

    def _on_handle(self, at: XY) -> bool:
        return handle_at(self.handles, at, self._sight.px_per_m) is not None or self._box_handle(at) is not None

    def _box_handle(self, at: XY) -> tuple[XY, XY] | None:
        """The handle of the common box under a point, and the one opposite; None with less than two things."""
        chosen = self._desk.selected
        if len(chosen) < 2:
            return None
        spots = box_spots(bounds_of(chosen))
        away = [distance(at, spot) * self._sight.px_per_m for spot in spots]
        nearest = min(range(8), key=away.__getitem__)
        return (spots[nearest], spots[(nearest + 4) % 8]) if away[nearest] <= REACH_PX else None


def box_spots(bounds: tuple[float, float, float, float]) -> list[XY]:
    """The eight handles of a box, going round from its south-west corner."""
    west, south, east, north = bounds
    middle_x, middle_y = (west + east) / 2, (south + north) / 2
    return [
        (west, south), (middle_x, south), (east, south), (east, middle_y),
        (east, north), (middle_x, north), (west, north), (west, middle_y),
    ]  # fmt: skip
