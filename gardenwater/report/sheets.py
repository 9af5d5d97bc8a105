"""The sheets laid over the plan: key of the wash, scale bar, north; and where they slide to."""

from __future__ import annotations

import math
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from gardenwater.report.drawing import (
    Align,
    Cap,
    Dots,
    Fill,
    Group,
    Join,
    Mark,
    Measure,
    Pen,
    Rect,
    Shape,
    Strokes,
    Subpath,
    Text,
)
from gardenwater.report.frame import unit_m
from gardenwater.report.paths import hatch, heads, run
from gardenwater.report.styles import KEY_TITLE, KEY_WORD, TICK
from gardenwater.report.text import length_words
from gardenwater.report.view import View
from gardenwater.units import UnitSystem

KEY_HEIGHT_PX, KEY_MOST_PX = 66.0, 700.0
NO_KEY_UNDER_PX = 900.0
_FROM_EDGE_PX = 12.0
_SIDE_PX, _BETWEEN_PX = 18.0, 22.0
_SWATCH_PX, _LEAST_SWATCH_PX, _SWATCH_HIGH_PX = 72.0, 34.0, 13.0
_LONGEST_BAR_PX = 270.0
_LONGEST_BAR_SHARE = 0.28
NORTH_SIZE = (34.0, 58.0)
_SLIDE_STEP_PX = 24.0
_DOUBLE_PX = 4.0
_HAIR = Pen("ink", 0.8, join=Join.MITRE)


@dataclass(frozen=True, slots=True)
class Swatch:
    """One entry of the key: how its sample is drawn in a rectangle, and its word. touching: it joins the one before."""

    words: str
    draw: Callable[[Rect], list[Mark]]
    touching: bool = True


@dataclass(frozen=True, slots=True)
class KeyGroup:
    """A group of entries under a title. note: second words at the right of the title."""

    title: str
    swatches: tuple[Swatch, ...]
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Sheet:
    """A sheet laid over the plan: its rectangle, how its marks are made, and what they are made of.

    The marks wait until they are asked for: while a plan is dragged about, its sheets mostly stay as they are.
    """

    box: Rect
    draw: Callable[[], list[Mark]]
    made_of: Hashable

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Its marks."""
        return tuple(self.draw())


def filled(role: str) -> Callable[[Rect], list[Mark]]:
    """A sample of a wash."""
    return lambda box: [Shape((box.outline(),), Fill(role), _HAIR)]


def slanted(role: str, line: str) -> Callable[[Rect], list[Mark]]:
    """A sample of a wash under slanted lines."""

    def draw(box: Rect) -> list[Mark]:
        strokes = hatch([box.outline().points], 6.0 * math.sqrt(0.5), -45.0)
        outline = (box.outline(),)
        return [Shape(outline, Fill(role)), Strokes(strokes, Pen(line, 0.9)), Shape(outline, pen=_HAIR)]

    return draw


def dotted(role: str, dot: str, each_px: float, dot_px: float) -> Callable[[Rect], list[Mark]]:
    """A sample of a wash under dots."""

    def draw(box: Rect) -> list[Mark]:
        x = np.arange(box.x + each_px / 2, box.right - 1, each_px)
        y = np.arange(box.y + each_px / 2, box.bottom - 1, each_px)
        points = np.column_stack([axis.ravel() for axis in np.meshgrid(x, y)])
        outline = (box.outline(),)
        return [Shape(outline, Fill(role)), Dots(points, dot_px, dot), Shape(outline, pen=_HAIR)]

    return draw


def ruled(role: str, line: Pen, each_px: float) -> Callable[[Rect], list[Mark]]:
    """A sample of a fill under upright lines."""

    def draw(box: Rect) -> list[Mark]:
        x = np.arange(box.x + each_px, box.right - 1, each_px)
        ends = np.stack(
            (np.column_stack((x, np.full_like(x, box.y))), np.column_stack((x, np.full_like(x, box.bottom)))), 1
        )
        outline = (box.outline(),)
        return [Shape(outline, Fill(role)), Strokes(ends, line), Shape(outline, pen=_HAIR)]

    return draw


def struck(role: str) -> Callable[[Rect], list[Mark]]:
    """A sample of ground that is too steep: short strokes."""
    return lambda box: _in_rows(box, role, (8.0, 7.0), (1.6, 3.1), Pen("ink_soft", 1.1))


def levelled(role: str) -> Callable[[Rect], list[Mark]]:
    """A sample of ground where the feed is too low: broken level lines."""
    return lambda box: _in_rows(box, role, (16.0, 5.0), (4.5, 0.0), Pen("ink_soft", 1.0, strength=0.6))


def _in_rows(box: Rect, role: str, each_px: tuple[float, float], half: tuple[float, float], pen: Pen) -> list[Mark]:
    """A sample under strokes in staggered rows."""
    y = np.arange(box.y + each_px[1] / 2 + 0.5, box.bottom - 1, each_px[1])
    x = np.arange(box.x, box.right + each_px[0], each_px[0])
    across = x[None, :] + (np.arange(len(y)) % 2)[:, None] * each_px[0] / 2
    at = np.column_stack((across.ravel(), np.broadcast_to(y[:, None], across.shape).ravel()))
    ends = np.stack((at - half, at + half), axis=1)
    outline = (box.outline(),)
    return [
        Shape(outline, Fill(role)),
        Group((Strokes(ends, pen),), outline),
        Shape(outline, pen=_HAIR),
    ]


def lined(pen: Pen, *, headed: bool = False) -> Callable[[Rect], list[Mark]]:
    """A sample of a line, with an arrow head at its middle."""

    def draw(box: Rect) -> list[Mark]:
        y = box.y + box.height / 2
        points = np.array(((box.x + box.width * 0.22, y), (box.x + box.width * 0.78, y)))
        marks: list[Mark] = [Shape((run(points),), pen=pen)]
        if headed:
            tip = np.array(((box.x + box.width * 0.54, y),))
            marks.append(Strokes(heads(tip, np.array(((1.0, 0.0),)), 6.0, 4.6), Pen(pen.role, 1.6, cap=Cap.ROUND)))
        return marks

    return draw


def slip(box: Rect) -> list[Mark]:
    """The ground of a sheet: a slip with a double ink line."""
    return [
        Shape((box.outline(),), Fill("slip"), Pen("ink", 1.0, join=Join.MITRE)),
        Shape((box.grown(-_DOUBLE_PX).outline(),), pen=Pen("ink", 0.6, join=Join.MITRE, strength=0.75)),
    ]


def key_width(groups: Sequence[KeyGroup], measure: Measure, swatch_px: float = _SWATCH_PX) -> float:
    """How wide a key is with swatches of this width."""
    return (
        sum(_group_width(group, measure, swatch_px) for group in groups)
        + 2 * _SIDE_PX
        + _BETWEEN_PX * (len(groups) - 1)
    )


def _swatch_width(swatch: Swatch, measure: Measure, swatch_px: float) -> float:
    return max(swatch_px, measure(swatch.words, KEY_WORD)[0] + 8.0)


def _group_width(group: KeyGroup, measure: Measure, swatch_px: float) -> float:
    samples = sum(_swatch_width(swatch, measure, swatch_px) for swatch in group.swatches)
    samples += sum(10.0 for swatch in group.swatches[1:] if not swatch.touching)
    title = measure(group.title, KEY_TITLE)[0] + (measure(group.note, KEY_WORD)[0] + 18.0 if group.note else 0.0)
    return max(samples, title)


def fitting_swatch(groups: Sequence[KeyGroup], measure: Measure, room_px: float) -> float | None:
    """The widest swatch with which the key fits; None where even the narrowest does not."""
    for swatch_px in (_SWATCH_PX, 60.0, 50.0, 42.0, _LEAST_SWATCH_PX):
        if key_width(groups, measure, swatch_px) <= room_px:
            return swatch_px
    return None


def key(groups: Sequence[KeyGroup], left: float, top: float, measure: Measure, swatch_px: float) -> Sheet:
    """The key in one row: a title over each group of swatches, a word under each."""
    box = Rect(left, top, key_width(groups, measure, swatch_px), KEY_HEIGHT_PX)
    words = tuple((group.title, group.note, tuple(each.words for each in group.swatches)) for group in groups)
    return Sheet(box, lambda: _key_marks(groups, box, measure, swatch_px), ("key", box, words))


def _key_marks(groups: Sequence[KeyGroup], box: Rect, measure: Measure, swatch_px: float) -> list[Mark]:
    marks = slip(box)
    x, top = box.x + _SIDE_PX, box.y
    for group in groups:
        width = _group_width(group, measure, swatch_px)
        marks.append(Text(x, top + 20.0, group.title, KEY_TITLE, "ink"))
        if group.note:
            marks.append(Text(x + width, top + 20.0, group.note, KEY_WORD, "ink_soft", Align.RIGHT))
        marks += _swatches(group, x, top, width, measure, swatch_px)
        x += width + _BETWEEN_PX
    return marks


def _swatches(group: KeyGroup, left: float, top: float, width: float, measure: Measure, swatch_px: float) -> list[Mark]:
    marks: list[Mark] = []
    widths = [_swatch_width(swatch, measure, swatch_px) for swatch in group.swatches]
    gaps = [0.0 if index == 0 or swatch.touching else 10.0 for index, swatch in enumerate(group.swatches)]
    spare = (width - sum(widths) - sum(gaps)) / max(len(widths), 1)
    x = left
    for swatch, own, gap in zip(group.swatches, widths, gaps, strict=True):
        x += gap
        box = Rect(x, top + 27.0, own + max(spare, 0.0), _SWATCH_HIGH_PX)
        marks += swatch.draw(box)
        marks.append(Text(box.x + box.width / 2, top + 54.0, swatch.words, KEY_WORD, "ink", Align.MIDDLE))
        x = box.right
    return marks


def bar_length_m(view: View, units: UnitSystem, *, longest_px: float | None = None) -> float:
    """The round length of the scale bar, m: 1, 2 or 4 times a power of ten, so that its quarter is round too.

    longest_px: None for a bar on the plan, which is never longer than 0.28 of the plan's width.
    """
    unit = unit_m(units)
    if longest_px is None:
        longest_px = min(_LONGEST_BAR_PX, view.sheet.width * _LONGEST_BAR_SHARE)
    longest = longest_px * view.metres_per_px / unit
    power = 10.0 ** math.floor(math.log10(longest))
    return max(digit * power for digit in (1.0, 2.0, 4.0) if digit * power <= longest * (1 + 1e-9)) * unit


def scale_bar(view: View, left: float, top: float, units: UnitSystem, measure: Measure) -> Sheet:
    """The scale bar on a sheet of its own."""
    length_m = bar_length_m(view, units)
    box = Rect(left, top, *bar_size(view, units, measure))

    def draw() -> list[Mark]:
        return [*slip(box), *bar_marks(view, left + 18.0, top + 33.0, length_m, units)]

    return Sheet(box, draw, ("scale", box, length_m, units))


def bar_size(view: View, units: UnitSystem, measure: Measure) -> tuple[float, float]:
    """Width and height of the scale bar's sheet."""
    length_m = bar_length_m(view, units)
    return length_m * view.px_per_m + 18.0 + 16.0 + measure(length_words(length_m, units), TICK)[0] / 2, 44.0


def bar_marks(view: View, x: float, y: float, length_m: float, units: UnitSystem) -> list[Mark]:
    """A bar with its first quarter solid; numbers at nothing, a quarter, a half and the whole."""
    length = length_m * view.px_per_m
    stops = (0.0, 0.25, 0.5, 1.0)
    ticks = np.array([((x + share * length, y), (x + share * length, y - 6.0)) for share in stops])
    marks: list[Mark] = [
        Strokes(ticks, Pen("ink", 1.0)),
        Shape((run(((x, y), (x + length, y))),), pen=Pen("ink", 1.0)),
        Shape((run(((x, y - 1.0), (x + length / 4, y - 1.0))),), pen=Pen("ink", 3.4)),
    ]
    for share in stops:
        number = f"{length_m * share / unit_m(units):g}"
        words = length_words(length_m, units) if share == 1.0 else number
        marks.append(Text(x + share * length, y - 10.0, words, TICK, "ink", Align.MIDDLE))
    return marks


def north(left: float, top: float) -> Sheet:
    """The arrow to the north on a sheet of its own."""
    box = Rect(left, top, *NORTH_SIZE)
    return Sheet(box, lambda: [*slip(box), *north_marks(left + box.width / 2, top)], ("north", box))


def north_marks(x: float, top: float) -> list[Mark]:
    """An arrow to the north: the plan is always north up."""
    y = top + 24.0
    right = Subpath(np.array(((x, y), (x + 6.0, y + 26.0), (x, y + 20.0))), closed=True)
    whole = Subpath(np.array(((x, y), (x + 6.0, y + 26.0), (x, y + 20.0), (x - 6.0, y + 26.0))), closed=True)
    return [
        Text(x, top + 18.0, "N", KEY_TITLE, "ink", Align.MIDDLE),
        Shape((right,), Fill("ink")),
        Shape((whole,), pen=Pen("ink", 0.9, join=Join.MITRE)),
    ]


def slide(
    size: tuple[float, float], home: tuple[bool, bool], sheet: Rect, avoid: Sequence[Rect], taken: Sequence[Rect]
) -> Rect:
    """`_slid`, kept: it is asked the same for each day of the year's hand."""
    return _slid(size, home, sheet, tuple(avoid), tuple(taken))


@lru_cache(maxsize=32)
def _slid(
    size: tuple[float, float], home: tuple[bool, bool], sheet: Rect, avoid: tuple[Rect, ...], taken: tuple[Rect, ...]
) -> Rect:
    """Where a sheet stands: at home, else along its edge, else along the opposite one; at home where all is in the way.

    home: whether at the right, whether at the bottom. avoid: what it must not hide. taken: other sheets.
    """
    width, height = size
    inner = sheet.grown(-_FROM_EDGE_PX)
    shifts = np.arange(0.0, max(inner.width - width, 0.0) + 1e-6, _SLIDE_STEP_PX)
    first: Rect | None = None
    for at_bottom in (home[1], not home[1]):
        y = inner.bottom - height if at_bottom else inner.y
        for shift in shifts:
            x = inner.right - width - shift if home[0] else inner.x + shift
            box = Rect(float(x), y, width, height)
            if any(box.meets(other.grown(8.0)) for other in taken):
                continue
            first = first or box
            if not any(box.meets(other.grown(4.0)) for other in avoid):
                return box
    return first or Rect(inner.right - width if home[0] else inner.x, inner.bottom - height, width, height)
