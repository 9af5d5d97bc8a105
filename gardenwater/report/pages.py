"""Printed sheets: the plan at a whole scale with all that is needed to read it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gardenwater.assess import Answers
from gardenwater.findings import Question
from gardenwater.report.drawing import Align, Drawing, Layer, LayerName, Mark, Pen, Rect, Shape, Text
from gardenwater.report.keys import key_groups
from gardenwater.report.levels_page import STRIP_MM as LEVELS_MM
from gardenwater.report.levels_page import has_levels, levels_on
from gardenwater.report.look import PlanLook
from gardenwater.report.overflow_look import PLAIN, OverflowLook
from gardenwater.report.page_blocks import (
    BODY,
    SLANTED,
    SMALL,
    SUBJECT,
    TITLE,
    Writer,
    findings_block,
    key_block,
    signs_block,
    table_block,
)
from gardenwater.report.page_paper import A4, PX_PER_MM, Paper, page_view, scale_words
from gardenwater.report.page_words import (
    answer_rows,
    facts_of,
    finding_words,
    numbered_findings,
    signs_used,
    site_bounds,
    state_of,
    subject_of,
)
from gardenwater.report.paths import run
from gardenwater.report.pictures import Pictures, pictures_of
from gardenwater.report.plan import plan_layers
from gardenwater.report.plan_things import seen_things
from gardenwater.report.sheets import bar_length_m, bar_marks, north_marks
from gardenwater.report.text import length_words
from gardenwater.report.typeface import measure
from gardenwater.report.view import View
from gardenwater.report.year.page import STRIP_MM, TellingDay, strip_on, telling_day
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem

_MARGIN_MM = 10.0
_OUTLINE, _INNER = Pen("ink", 1.4), Pen("ink", 0.8)
_TEXT_FACTOR = 1.03  # so that the least type on the plan, 11 px, is 8 pt
_INSET_PX, _FOOT_PX = 18.0, 34.0
_TABLE_SHARE = 0.5  # of what lies below the plan on an upright sheet
_CAUTION = (
    "Distances to buildings and what may be led off the site are for the local code and a licensed practitioner "
    "to decide."
)


@dataclass(frozen=True, slots=True, eq=False)
class _Sheet:
    """One sheet in the making.

    outer: its outline, px. map: where the plan with its margins lies. year: in Lasting, the day that is shown; its
    strip stands between the plan and what is below it. levels: in Reach, whether the levels of the tank stand there;
    only where the plan is as large with them.
    """

    site: Site
    answers: Answers | None
    question: Question
    focus_tank: str
    overflow: OverflowLook
    paper: Paper
    outer: Rect
    map: Rect
    pictures: Pictures | None
    year: TellingDay | None
    levels: bool

    @property
    def foot(self) -> float:
        """Where what stands below the plan begins, px."""
        return self.map.bottom + _strip_mm(self.year, levels=self.levels) * PX_PER_MM

    @property
    def units(self) -> UnitSystem:
        """The units of the site's people."""
        return self.site.settings.units


def plan_page(
    site: Site,
    answers: Answers | None,
    *,
    question: Question,
    paper: Paper = A4,
    focus_tank: str = "",
    overflow: OverflowLook = PLAIN,
    date: str = "",
    number: str = "",
) -> Drawing:
    """A sheet with the plan to the largest whole scale at which the site fits, and all that is needed to read it.

    One px of it is 0.25 mm of paper. focus_tank: whose reach it shows; empty: the best of all tanks. date, number:
    words at its foot ("14 July 2026", "sheet 3 of 7"). overflow: how Overflow is looked at (ground underfoot, a mend).
    """
    sheet = _sheet(site, answers, question, paper, focus_tank, overflow)
    view, scale = page_view(sheet.map, site_bounds(site, answers), paper, sheet.units)
    writer = Writer(0.0, 0.0, 0.0, measure, _lines(sheet))
    blocks = _Blocks(sheet, view, scale, writer)
    (blocks.below if paper.upright else blocks.beside)(date, number)
    look = PlanLook(
        focus_tank=focus_tank,
        overflow=overflow,
        units=sheet.units,
        measure=measure,
        text_factor=_TEXT_FACTOR,
        sheets=False,
        in_print=True,
        day=None if sheet.year is None else sheet.year.state,
        findings=blocks.listed > 0,
        numbered=numbered_findings(answers, question)[: blocks.listed],
    )
    plan = plan_layers(site, answers, view, question=question, look=look, pictures=sheet.pictures)
    page = Layer(LayerName.PAGE, tuple(writer.marks))
    return Drawing(plan.width_px, plan.height_px, (*plan.layers, page))


def _sheet(
    site: Site, answers: Answers | None, question: Question, paper: Paper, focus_tank: str, overflow: OverflowLook
) -> _Sheet:
    margin = _MARGIN_MM * PX_PER_MM
    width, height = paper.width_mm * PX_PER_MM, paper.height_mm * PX_PER_MM
    outer = Rect(margin, margin, width - 2 * margin, height - 2 * margin)
    column, band = paper.column_mm * PX_PER_MM, paper.band_mm * PX_PER_MM
    year = telling_day(answers) if question is Question.LASTING else None
    band += _strip_mm(year, levels=False) * PX_PER_MM
    area = Rect(outer.x, outer.y, outer.width - column, outer.height - band)
    lower = area._replace(height=area.height - LEVELS_MM * PX_PER_MM)
    levels = has_levels(answers, question, focus_tank) and _as_large(lower, area, site, answers, paper)
    area = lower if levels else area
    made = None
    if answers is not None:
        made = pictures_of(answers, question, focus_tank=focus_tank, units=site.settings.units)
    return _Sheet(site, answers, question, focus_tank, overflow, paper, outer, area, made, year, levels)


def _as_large(lower: Rect, area: Rect, site: Site, answers: Answers | None, paper: Paper) -> bool:
    """Whether the plan has the same scale in a lower part of the sheet: the plan comes first."""
    bounds, units = site_bounds(site, answers), site.settings.units
    return page_view(lower, bounds, paper, units)[1] == page_view(area, bounds, paper, units)[1]


def _strip_mm(year: TellingDay | None, *, levels: bool) -> float:
    """Height of what stands between the plan and its tables: a year, or the levels of a tank."""
    return STRIP_MM if year is not None else LEVELS_MM if levels else 0.0


def _lines(sheet: _Sheet) -> list[Mark]:
    """The outline of a sheet and the lines between its parts; the strip of the year, where it has one."""
    outer, area = sheet.outer, sheet.map
    inner = [run([(outer.x, y), (area.right, y)]) for y in sorted({area.bottom, sheet.foot})]
    if not sheet.paper.upright:
        inner.append(run([(area.right, outer.y), (area.right, outer.bottom)]))
    lines: list[Mark] = [Shape(tuple(inner), pen=_INNER), Shape((outer.outline(),), pen=_OUTLINE)]
    if sheet.levels and sheet.answers is not None:
        box = Rect(area.x + _INSET_PX, area.bottom + 8.0, area.width - 2 * _INSET_PX, sheet.foot - area.bottom - 16.0)
        return [*levels_on(box, sheet.answers, sheet.focus_tank, sheet.units, factor=_TEXT_FACTOR), *lines]
    if sheet.year is None:
        return lines
    strip = Rect(area.x, area.bottom + 6.0, area.width, sheet.foot - area.bottom - 8.0)
    return [*strip_on(strip, sheet.year, sheet.units, factor=_TEXT_FACTOR), *lines]


class _Blocks:
    """Writes the blocks of a sheet. listed: how many findings found room; these are numbered on the plan."""

    def __init__(self, sheet: _Sheet, view: View, scale: int, writer: Writer) -> None:
        self._sheet, self._view, self._scale, self._writer = sheet, view, scale, writer
        self.listed = 0

    def beside(self, date: str, number: str) -> None:
        """A column at the right; findings and a table below the plan."""
        outer, area = self._sheet.outer, self._sheet.map
        self._column(area.right + _INSET_PX, outer.y + _INSET_PX, outer.right - area.right - 2 * _INSET_PX)
        self._title()
        self._writer.rule()
        self._key()
        self._writer.rule()
        self._signs(outer.bottom - _FOOT_PX - self._height(self._scale_and_facts))
        self._writer.rule()
        self._scale_and_facts()
        self._foot(date, number, outer.right - _INSET_PX)
        half = area.width / 2
        foot = self._sheet.foot + 8.0
        self._column(area.x + 26.0, foot, half - 20.0)
        self._findings(outer.bottom - 10.0)
        self._column(area.x + half + 26.0, foot, half - 52.0)
        self._table(outer.bottom - 10.0)

    def below(self, date: str, number: str) -> None:
        """Three blocks below the plan."""
        outer = self._sheet.outer
        third = outer.width / 3
        width, top = third - 30.0, self._sheet.foot + 10.0
        self._column(outer.x + _INSET_PX, top, width)
        self._title()
        self._writer.rule()
        self._key()
        self._column(outer.x + third + 10.0, top, width)
        self._signs(outer.bottom - _INSET_PX - self._height(self._scale_and_facts))
        self._writer.rule()
        self._scale_and_facts()
        self._column(outer.x + 2 * third + 5.0, top, width)
        self._findings(outer.bottom - _TABLE_SHARE * (outer.bottom - top))
        self._writer.rule()
        self._table(outer.bottom - _FOOT_PX)
        self._foot(date, number, outer.right - _INSET_PX)

    def _height(self, block: Callable[[], None]) -> float:
        """How high a block and the rule above it will be, px."""
        kept = self._writer
        self._writer = Writer(kept.x, 0.0, kept.width, kept.measure, [])
        self._writer.rule()
        block()
        height = self._writer.y
        self._writer = kept
        return height

    def _column(self, x: float, y: float, width: float) -> None:
        self._writer.x, self._writer.y, self._writer.width = x, y, width

    def _title(self) -> None:
        sheet, writer = self._sheet, self._writer
        writer.line(sheet.site.name, TITLE)
        stand = None if sheet.pictures is None or sheet.pictures.stand is None else sheet.pictures.stand.answer
        subject = subject_of(sheet.site, sheet.question, sheet.focus_tank, stand)
        writer.line("Ground underfoot" if sheet.overflow.underfoot else subject, SUBJECT)
        state = state_of(sheet.site, sheet.answers, sheet.question, sheet.units, sheet.focus_tank)
        if state:
            writer.line(state, SLANTED, "ink_soft")

    def _key(self) -> None:
        sheet = self._sheet
        seen = sheet.overflow.underfoot
        groups = key_groups(sheet.site, sheet.question, sheet.pictures, sheet.units, sheet.focus_tank, underfoot=seen)
        if sheet.year is not None:
            day = sheet.year.state
            groups = key_groups(sheet.site, sheet.question, sheet.pictures, sheet.units, sheet.focus_tank, day=day)
        key_block(self._writer, groups)

    def _signs(self, bottom: float) -> None:
        sheet = self._sheet
        things = seen_things(sheet.site, self._view, sheet.question)
        spill = sheet.question is Question.OVERFLOW and sheet.answers is not None and sheet.answers.overflow is not None
        signs_block(self._writer, signs_used(things, spill=spill), bottom)

    def _scale_and_facts(self) -> None:
        self._scale_block()
        self._writer.rule()
        self._facts()

    def _scale_block(self) -> None:
        sheet, writer, view = self._sheet, self._writer, self._view
        writer.space(32.0)
        bar = bar_length_m(view, sheet.units, longest_px=writer.width - 56.0)
        writer.marks += bar_marks(view, writer.x, writer.y, bar, sheet.units)
        writer.marks += north_marks(writer.x + writer.width - 14.0, writer.y - 38.0)
        writer.space(8.0)
        words = scale_words(self._scale, sheet.paper, sheet.units)
        if sheet.pictures is not None and sheet.pictures.ground.step_m > 0:
            words += f", contours each {length_words(sheet.pictures.ground.step_m, sheet.units)}"
        writer.line(words, BODY)

    def _facts(self) -> None:
        sheet, writer = self._sheet, self._writer
        for name, value in facts_of(sheet.site, sheet.answers, sheet.question, sheet.units):
            writer.pair(name, value, 52.0)
        writer.space(6.0)
        writer.line(_CAUTION, SLANTED, "ink_soft")

    def _findings(self, bottom: float) -> None:
        sheet = self._sheet
        listed = numbered_findings(sheet.answers, sheet.question)
        rows = [(each, finding_words(each, sheet.site, sheet.units)) for each in listed]
        self.listed = findings_block(self._writer, rows, bottom)

    def _table(self, bottom: float) -> None:
        sheet = self._sheet
        title, rows = answer_rows(sheet.site, sheet.answers, sheet.question, sheet.units, sheet.focus_tank)
        if rows:
            table_block(self._writer, title, rows, bottom)

    def _foot(self, date: str, number: str, right: float) -> None:
        base = self._sheet.outer.bottom - 12.0
        self._writer.marks.append(Text(self._writer.x, base, date, SMALL, "ink_soft"))
        self._writer.marks.append(Text(right, base, number, SMALL, "ink_soft", Align.RIGHT))
