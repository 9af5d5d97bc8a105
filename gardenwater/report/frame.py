"""The sheet's edge: margins, neat line, metre ticks with their numbers, grid crosses."""

from __future__ import annotations

import math

import numpy as np

from gardenwater.report.drawing import Align, Fill, Join, Mark, Pen, Points, Shape, Strokes, Text
from gardenwater.report.paths import crosses
from gardenwater.report.styles import TICK
from gardenwater.report.view import View
from gardenwater.units import FOOT_M, UnitSystem

_NEAT = Pen("ink", 1.6, join=Join.MITRE)
_OUTER = Pen("ink", 0.7, join=Join.MITRE)
_TICK = Pen("ink", 1.0)
_GRID = Pen("ink_soft", 0.8, strength=0.6)
_OUT_PX = 5.0
_CROSS_PX = 8.0
_LEAST_TICK_PX = 66.0
_LONG_DIGITS = 10_000.0


def unit_m(units: UnitSystem) -> float:
    """The unit of the margin's numbers, m."""
    return FOOT_M if units is UnitSystem.US else 1.0


def round_step(least: float) -> float:
    """The least of 1, 2, 5 times a power of ten that is not less than `least`."""
    power = 10.0 ** math.floor(math.log10(least))
    return next(digit * power for digit in (1.0, 2.0, 5.0, 10.0) if digit * power >= least * (1 - 1e-9))


def grid_step_m(view: View, units: UnitSystem) -> float:
    """How far grid crosses and numbered ticks stand apart, m: a round length that takes 66 px or more."""
    unit = unit_m(units)
    return round_step(_LEAST_TICK_PX * view.metres_per_px / unit) * unit


def grid_crosses(view: View, units: UnitSystem) -> list[Mark]:
    """Small crosses at round metres."""
    step = grid_step_m(view, units)
    west, south, east, north = view.bounds
    x = np.arange(math.ceil(west / step), math.floor(east / step) + 1) * step
    y = np.arange(math.ceil(south / step), math.floor(north / step) + 1) * step
    if len(x) == 0 or len(y) == 0:
        return []
    across, down = np.meshgrid(x, y)
    points = view.all_to_px(np.column_stack((across.ravel(), down.ravel())))
    return [Strokes(crosses(points, _CROSS_PX, upright=True), _GRID)]


def frame(view: View, units: UnitSystem, *, margin_role: str = "sheet", text_factor: float = 1.0) -> list[Mark]:
    """Margins, neat line, and ticks with numbers above and at the left."""
    sheet = view.sheet
    outer = sheet.grown(_OUT_PX)
    whole = sheet._replace(x=0.0, y=0.0, width=view.width_px, height=view.height_px)
    return [
        Shape((whole.outline(), outer.outline()), Fill(margin_role)),
        Shape((outer.outline(), sheet.outline()), Fill("paper")),
        Shape((outer.outline(),), pen=_OUTER),
        Shape((sheet.outline(),), pen=_NEAT),
        *_ticks(view, units, text_factor),
    ]


def _ticks(view: View, units: UnitSystem, text_factor: float) -> list[Mark]:
    """Ticks on all four sides at each half step; numbers at whole steps, above and at the left."""
    step, unit = grid_step_m(view, units), unit_m(units)
    west, south, east, north = view.bounds
    sheet, style = view.sheet, TICK.scaled(text_factor)
    ends: list[Points] = []
    marks: list[Mark] = []
    for number in range(math.ceil(2 * west / step), math.floor(2 * east / step) + 1):
        x, _ = view.to_px(number * step / 2, south)
        for edge, out in ((sheet.y, -1.0), (sheet.bottom, 1.0)):
            ends.append(np.array(((x, edge), (x, edge + out * _OUT_PX))))
        if number % 2 == 0:
            words = _number(number * step / 2 / unit, step / unit)
            marks.append(Text(x, sheet.y - 9.0, words, style, "ink_soft", Align.MIDDLE))
    for number in range(math.ceil(2 * south / step), math.floor(2 * north / step) + 1):
        _, y = view.to_px(west, number * step / 2)
        for edge, out in ((sheet.x, -1.0), (sheet.right, 1.0)):
            ends.append(np.array(((edge, y), (edge + out * _OUT_PX, y))))
        if number % 2 == 0:
            words = _number(number * step / 2 / unit, step / unit)
            marks.append(Text(sheet.x - 9.0, y + 4.0, words, style, "ink_soft", Align.RIGHT))
    return [Strokes(np.stack(ends), _TICK), *marks] if ends else marks


def _number(value: float, step: float) -> str:
    """The number of a tick; of coordinates with many digits the last ones, as on a map's edge."""
    if abs(value) >= _LONG_DIGITS:
        whole = 10.0 ** max(3, math.ceil(math.log10(step)) + 2)
        value = value % whole
    return f"{value:.10g}".replace("-", "\u2212")
