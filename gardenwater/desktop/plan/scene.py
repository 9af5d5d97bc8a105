"""What the plan shows, as a drawing: made by the report room, and kept until something that it shows has changed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.look import Look, measure
from gardenwater.findings import Question
from gardenwater.report.look import PlanLook
from gardenwater.report.plan import plan_layers
from gardenwater.report.plan_drawing import PlanDrawing
from gardenwater.report.view import View


@dataclass(frozen=True, slots=True)
class Held:
    """What the plan has in hand.

    dragged: ids of things that are being dragged; keyboard: keys were used last; stepping: the hand of the
    year or of the rain moves, and labels are carried along until it rests.
    """

    dragged: frozenset[str] = frozenset()
    keyboard: bool = False
    stepping: bool = False


class Scene:
    """Makes the drawing that a paint needs. held: asked for what is in the hand.

    The plan goes on showing the question that was answered last until the next one is, so that nothing is drawn of
    answers to another question.
    """

    def __init__(self, desk: Desk, look: Look, held: Callable[[], Held]) -> None:
        self._desk = desk
        self._look = look
        self._held = held
        self._settled = True
        self._last: PlanDrawing | None = None
        self._made_of: tuple[object, ...] = ()

    @property
    def settled(self) -> bool:
        """Whether the view has rested for a while."""
        return self._settled

    @property
    def last(self) -> PlanDrawing | None:
        """The drawing that was made last."""
        return self._last

    def settle(self) -> None:
        """Nothing has changed for a while: labels are placed anew."""
        self._settled = True

    def stir(self) -> None:
        """Something moves: labels are carried along."""
        self._settled = False

    def forget(self) -> None:
        """Make everything anew (colours or type have changed)."""
        self._last = None

    def drawing(self, view: View) -> PlanDrawing:
        """The drawing for a view; the last one where nothing that it shows has changed."""
        desk = self._desk
        shown = desk.answered
        question = desk.question if shown is None else shown.question
        look = self._plan_look("" if shown is None else shown.focus)
        made_of = (desk.site, desk.answers, desk.pictures, view, question, look)
        if self._last is None or not _same(made_of, self._made_of):
            self._made_of = made_of
            self._last = plan_layers(
                desk.site,
                desk.answers,
                view,
                question=question,
                look=look,
                pictures=desk.pictures,
                before=self._last,
            )
        return self._last

    def part(self, view: View) -> PlanDrawing:
        """The drawing of a part that comes into sight while the sheet is moved; words are left to the next rest."""
        desk = self._desk
        shown = desk.answered
        return plan_layers(
            desk.site,
            desk.answers,
            view,
            question=desk.question if shown is None else shown.question,
            look=replace(self._plan_look("" if shown is None else shown.focus), sheets=False),
            pictures=desk.pictures,
        )

    def _plan_look(self, focus: str) -> PlanLook:
        desk, held = self._desk, self._held()
        shown = desk.answered
        by_day = (desk.question if shown is None else shown.question) is Question.LASTING
        return PlanLook(
            day=desk.day_state if by_day else None,
            selection=desk.selection,
            hover=desk.hovered,
            keyboard=held.keyboard,
            finding=desk.finding,
            dragged=held.dragged,
            focus_tank=focus,
            spot=desk.standing.spot,
            overflow=desk.spilling.look,
            units=desk.units,
            measure=measure,
            text_factor=self._look.factor,
            settled=self._settled and not held.dragged and not held.stepping,
        )


def _same(old: tuple[object, ...], new: tuple[object, ...]) -> bool:
    """Sites, answers and pictures by identity (they are values that are never changed); the rest by what they say."""
    same_values = all(a is b for a, b in zip(old[:3], new[:3], strict=True)) if len(old) == len(new) else False
    return same_values and old[3:] == new[3:]
