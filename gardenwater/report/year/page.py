"""The year on paper: the strip of a sheet of Lasting, and as a picture of its own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from gardenwater.assess.answers import Answers
from gardenwater.errors import InputError
from gardenwater.report.drawing import Drawing, Fill, Layer, LayerName, Mark, Rect, Shape, Text, TextStyle
from gardenwater.report.palette import Scheme, palette
from gardenwater.report.typeface import measure
from gardenwater.report.year.day import DayState, day_of
from gardenwater.report.year.days import YearDays
from gardenwater.report.year.hand import hand_marks
from gardenwater.report.year.layout import StripForm, layout_of
from gardenwater.report.year.of_answers import year_days
from gardenwater.report.year.reading import strip_words
from gardenwater.report.year.strip import strip_marks
from gardenwater.units import UnitSystem

SIZE_PX = (1264.0, 330.0)
"""Size of the picture: as wide as that of the plan, as high as the strip in a large window."""

STRIP_MM = 50.0
"""Height of the strip on a sheet of paper."""

_TITLE = TextStyle(15.0, semibold=True)
_SAID = TextStyle(13.0)
_HEAD_PX, _SIDE_PX = 62.0, 16.0
_SAID_BASE_PX, _TITLE_BASE_PX = 48.0, 26.0


@dataclass(frozen=True, slots=True, eq=False)
class TellingDay:
    """A year and the day of it that a sheet shows: the first dry one, or else that of the lowest store."""

    days: YearDays
    day: int
    state: DayState


def telling_day(answers: Answers | None, key: str = "") -> TellingDay | None:
    """The day that a sheet shows; None where Lasting is not answered. key: of the year, empty for the driest."""
    if answers is None or answers.lasting is None:
        return None
    days = year_days(answers.lasting, key)
    state = day_of(answers, key, days.date(days.telling))
    return None if state is None else TellingDay(days, days.telling, state)


def strip_on(box: Rect, shown: TellingDay, units: UnitSystem, *, factor: float = 1.0) -> list[Mark]:
    """The open strip with its hand inside a rectangle, px."""
    layout = layout_of(
        StripForm.OPEN, box.width, box.height, measure=measure, factor=factor, left_px=box.x, top_px=box.y
    )
    days = shown.days
    return [*strip_marks(days, layout, units=units), *hand_marks(days, shown.day, layout, units=units)]


def year_picture(answers: Answers, *, key: str = "", size_px: tuple[float, float] = SIZE_PX) -> Drawing:
    """The year as a picture of its own: what it is called, what it comes to, and the strip on its telling day.

    Raises InputError where Lasting is not answered, or for a key that there is not.
    """
    shown = telling_day(answers, key)
    if shown is None:
        raise InputError("There is no year to draw.", where="answers", mend="Give the site weather, a tank and a bed.")
    site, (width, height) = answers.site, size_px
    units, whole = site.settings.units, Rect(0.0, 0.0, *size_px)
    said = strip_words(shown.days, shown.day, units=units).partition(": ")[2]
    marks: list[Mark] = [
        Shape((whole.outline(),), Fill("slip")),
        Text(_SIDE_PX, _TITLE_BASE_PX, f"{site.name}, the year: {shown.days.name}", _TITLE, "ink"),
        Text(_SIDE_PX, _SAID_BASE_PX, f"{said[:1].upper()}{said[1:]}.", _SAID, "ink_soft"),
        *strip_on(Rect(0.0, _HEAD_PX, width, height - _HEAD_PX), shown, units),
    ]
    return Drawing(width, height, (Layer(LayerName.PAGE, tuple(marks)),), ground="slip")


def write_year_picture(
    answers: Answers, path: Path, *, key: str = "", scheme: Scheme = Scheme.LIGHT, dpi: float = 192.0, kind: str = ""
) -> None:
    """Write the year to a PNG, PDF or SVG, by the path's ending unless `kind` is given."""
    from gardenwater.report.paper import SCREEN_PX_PER_INCH, write_drawing

    drawing = year_picture(answers, key=key)
    write_drawing(drawing, palette(scheme), path, px_per_inch=SCREEN_PX_PER_INCH, dpi=dpi, kind=kind or path.suffix[1:])
