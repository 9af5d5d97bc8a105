"""The share of the need that is met, against more or less tank, roof or bed: a small picture with honest axes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from gardenwater.assess.answers import StoreCurve, StoreSizes
from gardenwater.report.drawing import Align, Fill, Mark, Measure, Pen, Points, Rect, Shape, Subpath, Text, TextStyle
from gardenwater.report.frame import round_step
from gardenwater.report.paths import circle, run
from gardenwater.report.styles import CASING
from gardenwater.units import Quantity, UnitSystem, text, unit_word

_WORD = TextStyle(11.5)
_NAME = TextStyle(11.5, italic=True)
_FIRM = TextStyle(12.0, semibold=True)
_LINE, _MORE_ROOF = Pen("water", 1.8), Pen("water", 1.6, dash=(4.0, 2.6))
_GRID, _AXIS = Pen("hairline", 0.9), Pen("ink", 0.9)
_WANTED = Pen("rule", 1.0, dash=(2.0, 2.5))
_EDGE_PX, _TOP_PX, _FOOT_PX = 8.0, 24.0, 36.0
_SAMPLE_PX = 18.0
_MET, _THESE = "% met", "these roofs"
_MORE = ("half as much roof again", "half more roof", "more roof")
_STEP_PERCENT = 20


class Against(StrEnum):
    """What the share is drawn against."""

    TANKS = "tanks"
    ROOFS = "roofs"
    BEDS = "beds"


MORE_ROOF = "tanks with more roof"
_ABOUT = {
    Against.TANKS: (Quantity.VOLUME_L, "{unit} of tank in all"),
    Against.ROOFS: (Quantity.AREA_M2, "{unit} of roof led to tanks"),
    Against.BEDS: (Quantity.AREA_M2, "{unit} of beds"),
}


@dataclass(frozen=True, slots=True)
class _Axes:
    """Where the picture's axes lie, px, and what they run from and to."""

    box: Rect
    largest: float
    lowest_percent: int

    def points(self, curve: StoreCurve) -> Points:
        """A curve on them, from its first size to the end of the axis; float64 (n, 2), px."""
        inside = np.asarray(curve.sizes) < self.largest
        sizes = np.append(np.asarray(curve.sizes)[inside], self.largest)
        shares = np.interp(sizes, curve.sizes, curve.share_volume)
        return np.column_stack((self.box.x + sizes / self.largest * self.box.width, self.y(shares)))

    def y(self, share: float | np.ndarray) -> np.ndarray:
        """The height of a share."""
        span = 100 - self.lowest_percent
        above = (np.clip(share, 0.0, 1.0) * 100 - self.lowest_percent) / span
        height: np.ndarray = self.box.bottom - np.maximum(above, 0.0) * self.box.height
        return height


def curve_marks(
    sizes: StoreSizes,
    against: Against,
    *,
    width_px: float,
    height_px: float,
    units: UnitSystem,
    measure: Measure,
    factor: float = 1.0,
) -> list[Mark]:
    """The picture, `width_px` by `height_px`; empty where there is no such curve. factor: the user's text size."""
    curve = sizes.curve(against)
    if curve is None:
        return []
    more = sizes.curve(MORE_ROOF) if against is Against.TANKS else None
    drawn = [curve] if more is None else [curve, more]
    axes = _axes(drawn, _largest(curve, sizes, against), width_px, height_px, measure, factor)
    marks: list[Mark] = [Shape((Rect(0, 0, width_px, height_px).outline(),), Fill("paper"))]
    marks += _grid(axes, against, units, factor)
    marks += _wanted(axes, sizes, against, units, factor)
    if more is not None:
        marks.append(Shape((Subpath(axes.points(more)),), pen=_MORE_ROOF))
    marks.append(Shape((Subpath(axes.points(curve)),), pen=_LINE))
    marks += _now(axes, curve, factor)
    marks += _legend(more is not None, width_px, measure, factor)
    return [*marks, Shape((Rect(0.5, 0.5, width_px - 1, height_px - 1).outline(),), pen=Pen("rule", 1.0))]


def _largest(curve: StoreCurve, sizes: StoreSizes, against: Against) -> float:
    """The size that the axis goes to: four times today's, or as far as the wished share asks for, or the whole run."""
    wanted = 4.0 * now_of(curve)[0]
    if against is Against.TANKS and math.isfinite(sizes.least_store_l):
        wanted = max(wanted, 1.2 * sizes.least_store_l)
    return min(wanted, max(curve.sizes))


def _axes(
    curves: list[StoreCurve], largest: float, width: float, height: float, measure: Measure, factor: float
) -> _Axes:
    least = min(min(curve.share_volume) for curve in curves) * 100
    lowest = min(int(least // _STEP_PERCENT) * _STEP_PERCENT, 100 - _STEP_PERCENT)
    left = measure("100", _WORD.scaled(factor))[0] + _EDGE_PX + 6.0
    top = _TOP_PX * factor
    box = Rect(left, top, width - left - 14.0, height - top - _FOOT_PX * factor)
    return _Axes(box, largest, lowest)


def _grid(axes: _Axes, against: Against, units: UnitSystem, factor: float) -> list[Mark]:
    """Levels of the share with their numbers; sizes below, with their unit."""
    box, style = axes.box, _WORD.scaled(factor)
    marks: list[Mark] = [Text(_EDGE_PX, 15.0 * factor, _MET, style, "ink_soft")]
    for percent in range(axes.lowest_percent, 101, _STEP_PERCENT):
        y = float(axes.y(percent / 100))
        pen = _AXIS if percent == axes.lowest_percent else _GRID
        marks.append(Shape((run(((box.x, y), (box.right, y))),), pen=pen))
        marks.append(Text(box.x - 6.0, y + 4.0 * factor, str(percent), style, "ink_soft", Align.RIGHT))
    quantity, words = _ABOUT[against]
    unit_si = _unit_si(quantity, units)
    step = round_step(axes.largest / unit_si / 5.5) * unit_si
    for number in range(1, math.floor(axes.largest / step + 1e-9) + 1):
        x = box.x + number * step / axes.largest * box.width
        marks.append(Shape((run(((x, box.bottom), (x, box.bottom + 4.0))),), pen=_AXIS))
        shown = text(number * step, quantity, units, unit=False)
        align = Align.RIGHT if x > box.right - 12.0 else Align.MIDDLE
        marks.append(
            Text(
                x + (6.0 if align is Align.RIGHT else 0.0), box.bottom + 16.0 * factor, shown, style, "ink_soft", align
            )
        )
    unit = "litres" if (quantity, units) == (Quantity.VOLUME_L, UnitSystem.METRIC) else unit_word(quantity, units)
    marks.append(
        Text(box.right + 6.0, box.bottom + 30.0 * factor, words.format(unit=unit), style, "ink_soft", Align.RIGHT)
    )
    return marks


def _unit_si(quantity: Quantity, units: UnitSystem) -> float:
    if units is UnitSystem.METRIC:
        return 1.0
    return 3.785411784 if quantity is Quantity.VOLUME_L else 0.09290304


def _wanted(axes: _Axes, sizes: StoreSizes, against: Against, units: UnitSystem, factor: float) -> list[Mark]:
    """The share that is wished for, and the least store that meets it where it lies on the picture."""
    y, box = float(axes.y(sizes.wanted_share)), axes.box
    marks: list[Mark] = [Shape((run(((box.x, y), (box.right, y))),), pen=_WANTED)]
    least = sizes.least_store_l
    if against is Against.TANKS and math.isfinite(least) and 0 < least <= axes.largest:
        x = box.x + least / axes.largest * box.width
        marks.append(Shape((run(((x, y), (x, box.bottom))),), pen=_WANTED))
        words = f"{text(least, Quantity.VOLUME_L, units)} for {text(sizes.wanted_share, Quantity.SHARE, units)}"
        align = Align.RIGHT if x > box.x + box.width / 2 else Align.LEFT
        side = -5.0 if align is Align.RIGHT else 5.0
        marks.append(Text(x + side, box.bottom - 6.0, words, _NAME.scaled(factor), "ink_soft", align, CASING))
    return marks


def _now(axes: _Axes, curve: StoreCurve, factor: float) -> list[Mark]:
    """A ring where the site is now."""
    size, share = now_of(curve)
    x, y = axes.box.x + size / axes.largest * axes.box.width, float(axes.y(share))
    at_right = x < axes.box.right - 40.0 * factor
    ring = circle(x, y, 4.2)
    return [
        Shape((ring,), Fill("paper"), Pen("mark", 2.0)),
        Text(
            x + (9.0 if at_right else -9.0),
            min(y + 14.0 * factor, axes.box.bottom - 3.0),
            "now",
            _FIRM.scaled(factor),
            "mark",
            Align.LEFT if at_right else Align.RIGHT,
            CASING,
        ),
    ]


def now_of(curve: StoreCurve) -> tuple[float, float]:
    """Size and share of the site as it is: where the factor is 1, between its neighbours where that was not run."""
    return (
        float(np.interp(1.0, curve.factors, curve.sizes)),
        float(np.interp(1.0, curve.factors, curve.share_volume)),
    )


def _legend(with_more: bool, width: float, measure: Measure, factor: float) -> list[Mark]:
    """What the two lines are, from the right; in fewer words where they would run into those at the left."""
    if not with_more:
        return []
    style, y, x = _NAME.scaled(factor), 15.0 * factor, width - 10.0
    least_x = _EDGE_PX + measure(_MET, _WORD.scaled(factor))[0] + 8.0
    samples = 2 * (_SAMPLE_PX + 5.0) + 12.0
    most = x - least_x - samples - measure(_THESE, style)[0]
    more = next((words for words in _MORE if measure(words, style)[0] <= most), _MORE[-1])
    marks: list[Mark] = []
    for words, pen in ((more, _MORE_ROOF), (_THESE, _LINE)):
        marks.append(Text(x, y, words, style, "water", Align.RIGHT))
        x -= measure(words, style)[0] + 5.0
        marks.append(Shape((run(((x - _SAMPLE_PX, y - 4.0), (x, y - 4.0))),), pen=pen))
        x -= _SAMPLE_PX + 12.0
    return marks
