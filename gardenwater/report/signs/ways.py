"""Signs of what leads water over the site: watering line, overflow pipe."""

from __future__ import annotations

import numpy as np

from gardenwater.report.drawing import Cap, Fill, Mark, Pen, Points, Shape, Strokes
from gardenwater.report.paths import at_lengths, circle, each, heads, left_of, lengths, run
from gardenwater.report.signs.context import Drafting, Order, Sign, under
from gardenwater.site.things import Overflow, WateringLine

_TICK_EACH_M = 5.0
_LEAST_TICK_PX = 20.0
_PIPE = Pen("spill", 2.2, cap=Cap.ROUND)
_DRY_STRENGTH = 0.45


def line_marks(points: Points, *, washed: bool, px_per_m: float, best_way: bool = False) -> list[Mark]:
    """A watering line by its points in px; dotted when it is only a best way."""
    role = "water_line" if washed else "water"
    dash = (0.1, 5.0) if best_way else ()
    pen = Pen(role, 2.0, dash=dash, cap=Cap.ROUND)
    marks: list[Mark] = [Shape((run(points),), pen=pen, casing=Pen("paper", 5.0, cap=Cap.ROUND))]
    step = _TICK_EACH_M * px_per_m
    step *= max(1, int(np.ceil(_LEAST_TICK_PX / max(step, 1e-9))))
    if not best_way:
        at, direction = each(points, step, first_px=step)
        half = 3.5 * left_of(direction)
        if len(at):
            marks.append(Strokes(np.stack((at - half, at + half), axis=1), Pen(role, 1.2, cap=Cap.ROUND)))
    x, y = points[-1]
    ring = Pen(role, 1.75)
    marks.append(Shape((circle(float(x), float(y), 3.4),), Fill("paper"), ring, casing=under(ring)))
    return marks


def watering_line(thing: WateringLine, on: Drafting) -> Sign:
    """The line as it is laid, with a cross tick each 5 m and an open ring where it delivers."""
    points = on.line(thing.shape)
    marks = line_marks(points, washed=on.washed, px_per_m=on.px_per_m)
    return [(Order.WATERING_LINE, mark) for mark in marks]


def overflow(thing: Overflow, on: Drafting) -> Sign:
    """The pipe of an overflow, with one arrow head; on a day on which it does not run it stands back."""
    points = on.line(thing.shape)
    total = float(lengths(points)[-1])
    dry = on.running is not None and thing.tank not in on.running
    pipe = Pen("spill", 1.4, cap=Cap.ROUND, strength=_DRY_STRENGTH) if dry else _PIPE
    sign: Sign = [(Order.ROUTE, Shape((run(points),), pen=pipe, casing=under(pipe)))]
    if total >= 12:
        at, direction = at_lengths(points, [max(total / 2, total - 14.0) + 3.0])
        head = Pen("spill", 1.6, cap=Cap.ROUND, strength=pipe.strength)
        sign.append((Order.ROUTE, Strokes(heads(at, direction, 5.0, 4.2), head)))
    return sign
