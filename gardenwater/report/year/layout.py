"""Where the parts of the year strip stand, px: names at the left, greatest values at the right, rows, months."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from gardenwater.report.drawing import Measure, Rect, TextStyle

NAME = TextStyle(13.0, semibold=True)
UNIT = TextStyle(12.5)
VALUE = TextStyle(12.0)
MONTH = TextStyle(12.0)
FOLDED_NAME = TextStyle(13.0, semibold=True)
FOLDED_YEAR = TextStyle(12.0, italic=True)

_NAMES = ("litres in tanks", "US gal in tanks")
_SIDE_PX, _GAP_PX, _RIGHT_PX = 16.0, 12.0, 16.0
_MONTH_PX, _GRIP_PX = 20.0, 18.0
_LEAST_TALL_PX = 150.0
_LEAST_PLOT_PX = 120.0


class StripForm(StrEnum):
    """How much of the strip is shown.

    OPEN: rain, store, need, with names and values. FOLDED: rain hangs from the top, store below it. LOW: the same
    without months' room to spare. WORDS: one line of words.
    """

    OPEN = "open"
    FOLDED = "folded"
    LOW = "low"
    WORDS = "words"


@dataclass(frozen=True, slots=True)
class StripLayout:
    """The rows of a strip, px.

    top_px: its upper edge. plot: left and right edge of all rows, from the hand's grip to the axis of the months. need:
    None where the strip is folded. months_y: base line of the months' names.
    """

    form: StripForm
    top_px: float
    factor: float
    plot: Rect
    rain: Rect
    store: Rect
    need: Rect | None
    months_y: float

    def x_of(self, day: float, count: int) -> float:
        """The middle of a day, px."""
        return self.plot.x + (day + 0.5) / max(count, 1) * self.plot.width

    def day_at(self, x: float, count: int) -> int:
        """The day at a place, the first or last beyond the ends."""
        return min(max(int((x - self.plot.x) / self.plot.width * count), 0), count - 1)


def layout_of(
    form: StripForm,
    width_px: float,
    height_px: float,
    *,
    measure: Measure,
    factor: float = 1.0,
    left_px: float = 0.0,
    top_px: float = 0.0,
) -> StripLayout:
    """The layout of a strip in a form that has a picture (all but WORDS).

    width_px, height_px: of the picture, without the line of buttons over an open one. factor: the user's text size.
    left_px, top_px: where it stands in a larger drawing.
    """
    opened = form is StripForm.OPEN
    left = (_open_left if opened else _folded_left)(measure, factor)
    right = measure("88,888", VALUE.scaled(factor))[0] + _GAP_PX + _RIGHT_PX if opened else _RIGHT_PX
    width = max(width_px - left - right, _LEAST_PLOT_PX)
    months = _MONTH_PX * factor
    top = (_GRIP_PX * factor if height_px >= _LEAST_TALL_PX * factor else 4.0) if opened else 7.0
    plot = Rect(left_px + left, top_px + top, width, max(height_px - top - months, 12.0))
    rain, store, need = _open_rows(plot) if opened else _folded_rows(plot)
    return StripLayout(
        form=form,
        top_px=top_px,
        factor=factor,
        plot=plot,
        rain=rain,
        store=store,
        need=need,
        months_y=plot.bottom + months * 0.74,
    )


def _open_left(measure: Measure, factor: float) -> float:
    return max(measure(words, UNIT.scaled(factor))[0] for words in _NAMES) + _SIDE_PX + _GAP_PX


def _folded_left(measure: Measure, factor: float) -> float:
    return measure("driest of 100", FOLDED_YEAR.scaled(factor))[0] + _SIDE_PX + _GAP_PX


def _open_rows(plot: Rect) -> tuple[Rect, Rect, Rect]:
    """Rain a fifth, store nearly half, need a quarter, with room between them for the ticks of the spill."""
    rain = Rect(plot.x, plot.y, plot.width, plot.height * 0.19)
    top = rain.bottom + plot.height * 0.085
    store = Rect(plot.x, top, plot.width, plot.height * 0.42)
    top = store.bottom + plot.height * 0.085
    return rain, store, Rect(plot.x, top, plot.width, plot.bottom - top)


def _folded_rows(plot: Rect) -> tuple[Rect, Rect, None]:
    """Rain hangs in the upper third, the store stands below it."""
    rain = plot._replace(height=plot.height * 0.31)
    top = rain.bottom + plot.height * 0.06
    return rain, Rect(plot.x, top, plot.width, plot.bottom - top), None
