"""Signs of what was measured: level peg, slope arrow."""

from __future__ import annotations

import numpy as np

from gardenwater.report.drawing import Cap, Fill, Join, Pen, Points, Shape, Strokes
from gardenwater.report.paths import heads, left_of, run
from gardenwater.report.signs.context import Drafting, Order, Sign
from gardenwater.site.things import LevelPeg, SlopeArrow

_PEN = Pen("earth", 1.5, cap=Cap.ROUND, join=Join.MITRE)
_LEAST_ARROW_PX = 40.0


def level_peg(thing: LevelPeg, on: Drafting) -> Sign:
    """A triangle on its point; its foot stands at the measured spot."""
    x, y = on.spot(thing.shape)
    triangle = run(((x - 6, y - 14), (x + 6, y - 14), (x, y - 4)), closed=True)
    foot = np.array((((x, y - 4), (x, y)),))
    return [
        (Order.LEVEL_PEG, Strokes(foot, _PEN)),
        (Order.LEVEL_PEG, Shape((triangle,), Fill("paper"), _PEN)),
    ]


def arrow_run(thing: SlopeArrow, on: Drafting) -> Points:
    """Upper and lower end in px; made as long as such an arrow is ever drawn at least."""
    ends = on.line(thing.shape)[[0, -1]]
    step = ends[1] - ends[0]
    length = max(float(np.hypot(*step)), 1e-9)
    if length >= _LEAST_ARROW_PX:
        return ends
    middle, half = ends.mean(axis=0), step / length * _LEAST_ARROW_PX / 2
    return np.stack((middle - half, middle + half))


def slope_arrow(thing: SlopeArrow, on: Drafting) -> Sign:
    """From a cross tick at its upper end to an open head at its lower end."""
    ends = arrow_run(thing, on)
    direction = ((ends[1] - ends[0]) / max(float(np.hypot(*(ends[1] - ends[0]))), 1e-9))[None]
    tick = left_of(direction) * 6.0
    strokes = np.concatenate((
        ends[None],
        np.stack((ends[:1] - tick, ends[:1] + tick), axis=1),
        heads(ends[1:], direction, 7.5, 5.0),
    ))  # fmt: skip
    return [(Order.SLOPE_ARROW, Strokes(strokes, _PEN, casing=Pen("paper", 4.5, cap=Cap.ROUND)))]
