"""The question's own card, when nothing is selected."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from gardenwater.assess.bed_service import BedService, services_of
from gardenwater.assess.event import has_water
from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.desktop.card.of_catch import catch_question
from gardenwater.desktop.card.of_lasting import lasting_question
from gardenwater.desktop.card.of_overflow import account_table, overflow_figures
from gardenwater.desktop.card.of_tank import bed_cell, reach_figures
from gardenwater.findings import Question
from gardenwater.ground import relief, slope
from gardenwater.report.event_words import event_words
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Roof, Tank
from gardenwater.units import Quantity, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, ReachAnswer
    from gardenwater.report.year.day import DayState

_NEEDS = {
    "tank": "{question} needs a tank. Pick Tank in the drawing tray, or press Insert and type ta.",
    "bed": "{question} needs a bed. Pick Bed in the drawing tray, or press Insert and type be.",
    "roof": "{question} needs a roof. Pick Roof in the drawing tray, or press Insert and type ro.",
    "weather": "{question} needs weather: daily rain and temperatures, or twelve monthly figures from the local weather"
    " office. Twelve figures are enough for every answer, and the answers say how far to trust them.",
}
_LATER = {
    Question.NEXT_STEP: "Next step ranks changes by what they cost and what they add. This version does not; the curve"
    " in Lasting shows what another tank or more roof would add, and findings have their mends.",
    Question.ROUNDS: "Rounds lays out a day's watering. This version does not; Lasting says what each bed wants on each"
    " day of a year, in cans.",
}


def question_contents(
    question: Question, site: Site, answers: Answers | None, year: str = "", day: DayState | None = None
) -> Contents:
    """The card of a question. year, day: in Lasting, the year on the strip and the day under its hand."""
    if question in _LATER:
        return Contents(title=question.value, place="whole site", needs=_LATER[question])
    if answers is None:
        return Contents(title=question.value, place="whole site", about="Working out the first answers.")
    if question is Question.LASTING:
        return _lasting(site, answers, year, day)
    made = {
        Question.GROUND: _ground,
        Question.CATCH: _catch,
        Question.REACH: _reach,
        Question.OVERFLOW: _overflow,
    }[question]
    return made(site, answers)


def _lasting(site: Site, answers: Answers, year: str, day: DayState | None) -> Contents:
    if site.weather is None and site.monthly is None:
        return _needs(Question.LASTING, "weather")
    if not site.of(Tank):
        return _needs(Question.LASTING, "tank")
    if not site.of(Bed):
        return _needs(Question.LASTING, "bed")
    return lasting_question(site, answers, year, day)


def _needs(question: Question, what: str) -> Contents:
    return Contents(title=question.value, place="whole site", needs=_NEEDS[what].format(question=question.value))


def _ground(site: Site, answers: Answers) -> Contents:
    units, ground = site.settings.units, answers.ground.ground
    low, high = relief(ground)
    fall, _ = slope(ground)
    steep = float(np.nanmedian(fall)) if np.isfinite(fall).any() else 0.0
    figures = [Figure(text(high - low, Quantity.HEIGHT_M, units), "of fall")]
    if steep > 1e-4:
        figures.append(Figure(text(1 / steep, Quantity.ONE_IN, units), "usual slope"))
    figures.append(Figure(f"± {text(answers.ground.level_error_m, Quantity.HEIGHT_M, units)}", "levels good to"))
    west, south, east, north = ground.bounds
    more = (
        ("Lowest level", text(low, Quantity.LEVEL_M, units)),
        ("Highest level", text(high, Quantity.LEVEL_M, units)),
        ("Cells", f"{ground.shape[1]} by {ground.shape[0]}"),
        ("One cell", text(ground.cell_x_m, Quantity.LENGTH_M, units)),
        ("West to east", text(east - west, Quantity.LENGTH_M, units)),
        ("South to north", text(north - south, Quantity.LENGTH_M, units)),
    )
    about = answers.ground.notices[0] if answers.ground.notices else ""
    return Contents(
        title="Ground",
        place="whole site",
        about=about,
        figures=tuple(figures),
        more=more,
        sources=("Slope: Horn 1981, from the eight neighbours of each cell.", *answers.ground.notices[1:]),
    )


def _catch(site: Site, answers: Answers) -> Contents:
    if not site.of(Roof):
        return _needs(Question.CATCH, "roof")
    return catch_question(site, answers)


def _reach(site: Site, answers: Answers) -> Contents:
    if not site.of(Tank):
        return _needs(Question.REACH, "tank")
    if not site.of(Bed):
        return _needs(Question.REACH, "bed")
    reach, units = answers.reach, site.settings.units
    if reach is None:
        return Contents(title="Reach", place="whole site", about="Working out.")
    rows = tuple(_bed_row(row, site) for row in services_of(answers))
    water = sum(tank.water_l for tank in site.of(Tank))
    figures = (
        Figure(f"{reach.beds_reached} of {len(reach.beds)}", "beds reached"),
        Figure(text(water, Quantity.VOLUME_L, units), "in the tanks"),
    )
    return Contents(
        title="Reach",
        place="whole site",
        about="Each tank at the water it holds now. The plan shows the best at each spot; press a tank for its map.",
        figures=figures,
        tables=(
            Table(("Bed", "best tank", "tanks", "area", "a can"), rows, gives_way=(2, 3)),
            _tank_table(reach, site),
        ),
        sources=("Darcy-Weisbach with Colebrook's friction factor along the way that the line takes over the ground.",),
    )


def _bed_row(row: BedService, site: Site) -> TableRow:
    """A bed with its best tank, how many tanks reach it, the share of its area, and a can; else how far to carry it."""
    units, best = site.settings.units, row.best
    time, _, _ = bed_cell(best, units)
    carried = not math.isnan(row.carry_m)
    cells = (
        name_of(site, row.bed),
        name_of(site, best.tank) if best.reached else "no tank",
        f"{len(row.reached_by)} of {row.tanks}",
        text(best.share_in_reach, Quantity.SHARE, units),
        f"carry {text(row.carry_m, Quantity.LENGTH_M, units)}" if carried else time,
    )
    return TableRow(cells, row.bed, "ink" if best.reached else "ink_soft")


def _tank_table(reach: ReachAnswer, site: Site) -> Table:
    """Each tank with what it holds, how many beds it reaches and its slowest can; pressing one shows its own map."""
    rows = []
    for tank in reach.tanks:
        water = text(site.thing(tank.tank, Tank).water_l, Quantity.VOLUME_L, site.settings.units)
        beds, *slowest = reach_figures(tank, site)
        cells = (name_of(site, tank.tank), water, beds.value, slowest[0].value if slowest else "none")
        rows.append(TableRow(cells, tank.tank, "ink" if tank.beds_reached else "ink_soft"))
    return Table(("Tank, its own map", "holds", "beds", "slowest can"), tuple(rows))


def _overflow(site: Site, answers: Answers) -> Contents:
    if not has_water(site):
        return _needs(Question.OVERFLOW, "roof")
    overflow, units = answers.overflow, site.settings.units
    if overflow is None:
        return Contents(title="Overflow", place="whole site", about="Working out.")
    return Contents(
        title="Overflow",
        place="whole site",
        about=event_words(site),
        figures=overflow_figures(site, answers.findings, overflow),
        tables=(account_table(overflow.account, units),),
        sources=(
            "Routes: D-infinity facets of one continuous surface (Tarboton 1997), soaking at the soil's rate.",
            "Hollows: depression hierarchy, fill, spill, merge (Barnes, Callaghan and Wickert 2020, 2021).",
        ),
    )
