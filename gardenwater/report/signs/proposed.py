"""Things that are proposed, and a water that is followed: the two uses of plum on the plan besides what is selected."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from gardenwater.assess.following import Step
from gardenwater.report.drawing import Cap, Dots, Fill, Group, Mark, Pen, Rect, Shape, Strokes
from gardenwater.report.paths import circle, run
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.states import bounds, outline_of
from gardenwater.site.things import Thing

_CASING_PX = 5.0
_LINE = Pen("mark_over", 1.7, dash=(5.0, 3.0))
_SHORT = Pen("mark_over", 1.2)
_STEP, _WAY = Pen("mark_over", 2.4, cap=Cap.ROUND), Pen("mark_over", 1.2, dash=(2.0, 3.0))
_STEP_CASING = Pen("paper", 7.4, cap=Cap.ROUND)
_SPOT_PX = 8.0


def proposed(thing: Thing, marks: Iterable[Mark], on: Drafting) -> list[Mark]:
    """A thing that is proposed: paper casing, the wash of the mark inside, its sign's lines dashed."""
    path = outline_of(thing, on)
    closed = path[0].closed
    casing = Shape(path, pen=Pen("paper", 2 * _CASING_PX + _LINE.width_px, cap=Cap.ROUND))
    ground = [Shape(path, Fill("mark_wash"))] if closed else []
    return [casing, *ground, *(_redrawn(mark) for mark in marks), Shape(path, pen=_LINE)]


def _redrawn(mark: Mark) -> Mark:
    """A mark of a sign in the colours of what is proposed."""
    if isinstance(mark, Shape):
        fill = Fill("mark_wash") if mark.fill is not None else None
        return Shape(mark.path, fill, _LINE if mark.pen is not None else None)
    if isinstance(mark, Strokes):
        return Strokes(mark.ends, _SHORT)
    if isinstance(mark, Dots):
        return Dots(mark.points, mark.diameter_px, "mark_over")
    if isinstance(mark, Group):
        return Group(tuple(_redrawn(each) for each in mark.marks), mark.clip)
    return mark


def proposed_box(things: Iterable[Thing], on: Drafting) -> Rect:
    """The box that proposed things take, px."""
    return bounds([part for thing in things for part in outline_of(thing, on)])


def followed(steps: tuple[Step, ...], at_step: int, on: Drafting) -> list[Mark]:
    """The ways of a water that is followed; the chosen step in full."""
    marks: list[Mark] = []
    for number, step in enumerate(steps):
        if step.line is not None and number != at_step:
            marks.append(Shape((run(on.line(step.line)),), pen=_WAY, casing=Pen("paper", 4.2, strength=0.8)))
    if at_step < len(steps):
        chosen = steps[at_step]
        if chosen.line is not None:
            marks.append(Shape((run(on.line(chosen.line)),), pen=_STEP, casing=_STEP_CASING))
        x, y = (float(value) for value in on.px(np.asarray(chosen.at)))
        marks.append(Shape((circle(x, y, _SPOT_PX),), pen=Pen("mark_over", 2.0), casing=Pen("paper", 5.0)))
    return marks
