"""Words of a printed sheet: its subject, where levels come from, its tables, its signs; and how much it shows."""

from __future__ import annotations

import math
from collections.abc import Iterable

import shapely

from gardenwater.assess import Answers, BedReach, ProposedTank, StandAnswer
from gardenwater.assess.bed_service import BedService, services_of
from gardenwater.assess.mends import place_of
from gardenwater.findings import Finding, Question
from gardenwater.findings.wording import sentence
from gardenwater.ground import GroundOrigin
from gardenwater.report.event_words import event_words
from gardenwater.report.overflow_words import mend_figures, mend_title
from gardenwater.report.text import bed_words, litres, pool_words
from gardenwater.report.year.page import telling_day
from gardenwater.report.year.reading import day_words
from gardenwater.report.year.rows import lasting_rows
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import BY_KIND, KINDS, Boundary, LevelPeg, Tank, Thing
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, text

Bounds = tuple[float, float, float, float]
Rows = tuple[tuple[str, str], ...]

_ORIGINS = {
    GroundOrigin.RASTER: "a raster of levels",
    GroundOrigin.CONTOURS: "traced contours",
    GroundOrigin.ARROWS: "slope arrows",
    GroundOrigin.MIXED: "level pegs and traced contours",
    GroundOrigin.FLAT: "none, the ground is taken as flat",
}
_ROOM_SHARE = 0.008
_PART = 0.05
"""Of a bed's area: on paper less counts as none, and as much less than all as all."""


def site_bounds(site: Site, answers: Answers | None) -> Bounds:
    """West, south, east, north of what a sheet shows, m: the boundary, else all things, else the ground."""
    edges = site.of(Boundary)
    shapes = [thing.shape for thing in (edges or site.things)]
    if shapes:
        west, south, east, north = (float(value) for value in shapely.total_bounds(shapes))
    elif answers is not None:
        west, south, east, north = answers.ground.ground.bounds
    else:
        west, south, east, north = 0.0, 0.0, 40.0, 30.0
    room = _ROOM_SHARE * max(east - west, north - south, 1.0)
    return west - room, south - room, east + room, north + room


def subject_of(site: Site, question: Question, focus_tank: str, stand: StandAnswer | None = None) -> str:
    """What the sheet is about: "Reach of Shed tank", "Where overflow goes"."""
    if stand is not None:
        known = site.get(stand.model.id)
        return f"Where {name_of(site, known.id)} could stand" if known is not None else "Where a tank could stand"
    if question is Question.REACH:
        return f"Reach of {name_of(site, focus_tank)}" if focus_tank else "Reach of all tanks"
    if question is Question.OVERFLOW:
        return "Where overflow goes"
    return {
        Question.GROUND: "The lie of the land",
        Question.CATCH: "What the roofs catch",
        Question.LASTING: "Whether the store lasts",
    }.get(question, question.value)


def state_of(site: Site, answers: Answers | None, question: Question, units: UnitSystem, focus_tank: str) -> str:
    """The state that the sheet holds for: the water in the tank, the rain of the day."""
    if question is Question.REACH and answers is not None and answers.stand is not None:
        model = answers.stand.model
        share = text(answers.stand.ask.share, Quantity.SHARE, units)
        return f"{litres(model.capacity_l, units)}, {share} of them for {len(answers.stand.beds)} beds"
    tank = site.get(focus_tank)
    if question is Question.REACH and isinstance(tank, Tank):
        chains = answers.chains if answers is not None else ()
        level = next((chain.water_level_m for chain in chains if chain.tank == tank.id), None)
        words = f"at {litres(tank.water_l, units)}"
        return words if level is None else f"{words}, water level {text(level, Quantity.LEVEL_M, units)}"
    if question is Question.REACH:
        return "with the water that they hold now"
    settings = site.settings
    if question is Question.OVERFLOW:
        words = event_words(site)
        return words[0].lower() + words[1:]
    year = telling_day(answers) if question is Question.LASTING else None
    if year is not None:
        return f"on {day_words(year.state.date)} in the {year.days.name}"
    if question is Question.CATCH and settings.rain_year_mm is not None:
        return f"{text(settings.rain_year_mm, Quantity.RAIN_MM, units)} of rain a year"
    return ""


def facts_of(site: Site, answers: Answers | None, question: Question, units: UnitSystem) -> Rows:
    """Where levels come from and how good they are, the line, the soil."""
    rows: list[tuple[str, str]] = []
    if answers is not None:
        ground = answers.ground
        pegs = len(site.of(LevelPeg))
        origin = f"{pegs} pegs" if ground.origin is GroundOrigin.PEGS else _ORIGINS[ground.origin]
        good = "" if ground.origin is GroundOrigin.FLAT else f", good to {_height(ground.level_error_m, units)}"
        rows.append(("Levels", f"{origin}{good}"))
        rows.append(("Datum", site.crs or "the site's own"))
    if question is Question.REACH:
        line = site.settings.line
        wanted = text(line.wanted_l_min, Quantity.FLOW_L_MIN, units)
        rows.append(("Line", f"{table('line_bores').row(line.bore).name}, {wanted} at least"))
    if question is Question.LASTING and answers is not None and answers.lasting is not None:
        rows.append(("Weather", answers.lasting.source))
    if question is Question.OVERFLOW:
        soil = table("soils").row(site.settings.soil)
        rows.append(("Soil", f"{soil.name}, soaks {text(soil.soak_mm_h, Quantity.SOAK_MM_H, units)}"))
    return tuple(rows)


def _height(height_m: float, units: UnitSystem) -> str:
    return text(height_m, Quantity.HEIGHT_M, units)


def answer_rows(
    site: Site, answers: Answers | None, question: Question, units: UnitSystem, focus_tank: str
) -> tuple[str, Rows]:
    """The table of a sheet: its title, and a name and an answer in each row."""
    if answers is None:
        return "", ()
    if question is Question.REACH and answers.stand is not None:
        return "The best spots", tuple((each.name, _spot_words(each, site, units)) for each in answers.stand.proposals)
    if question is Question.REACH and answers.reach is not None:
        tank = answers.reach.tank(focus_tank) if focus_tank else None
        if tank is None:
            rows = tuple((name_of(site, row.bed), _served_words(row, units)) for row in services_of(answers))
            return "A can at each bed, and tanks that reach it", rows
        title = f"Beds from {name_of(site, focus_tank)}"
        return title, tuple((name_of(site, bed.bed), _share_words(bed, units)) for bed in tank.beds)
    if question is Question.OVERFLOW and answers.overflow is not None:
        return "Where the water goes", _water_rows(answers, units)
    if question is Question.LASTING and answers.lasting is not None:
        return "Does it last?", lasting_rows(site, answers.lasting)
    if question is Question.CATCH and answers.catch is not None and answers.catch.year is not None:
        pipes = answers.catch.year.pipes
        return "Litres a year by pipe", tuple(
            (name_of(site, key), litres(each.runs_l, units)) for key, each in pipes.items()
        )
    return "", ()


def _share_words(bed: BedReach, units: UnitSystem) -> str:
    """What a tank does for a bed; for how much of its area, where that is part of it."""
    share = text(bed.share_in_reach, Quantity.SHARE, units)
    part = _PART < bed.share_in_reach < 1.0 - _PART
    return f"{bed_words(bed, units)}, {share} of it" if part else bed_words(bed, units)


def _served_words(row: BedService, units: UnitSystem) -> str:
    """What the best tank does for a bed, how many tanks reach it; else how far cans are carried. Two fit abreast."""
    if not row.reached_by and not math.isnan(row.carry_m):
        share, part = text(row.best.share_in_reach, Quantity.SHARE, units), row.best.share_in_reach > _PART
        carry = f"carry {text(row.carry_m, Quantity.LENGTH_M, units)}"
        return f"{share}, {carry}" if part else carry
    words = _share_words(row.best, units).replace(" a can", "")
    tanks = len(row.reached_by)
    return f"{words}, {tanks or 'no'} tank{'' if tanks == 1 else 's'}"


def _spot_words(proposed: ProposedTank, site: Site, units: UnitSystem) -> str:
    """A spot in a row: its stand, its beds, its feeder."""
    stand = "no stand" if proposed.stand_m <= 0 else f"stand {_height(proposed.stand_m, units)}"
    feeder = text(proposed.spot.feeder_m, Quantity.LENGTH_M, units)
    beds = len(proposed.spot.beds)
    served = f"{beds} bed{'' if beds == 1 else 's'}"
    return f"{stand}, {served}, {feeder} of feeder from {name_of(site, proposed.pipe)}"


def _water_rows(answers: Answers, units: UnitSystem) -> Rows:
    overflow = answers.overflow
    if overflow is None:
        return ()
    account = overflow.account
    rows = [
        ("rain on the roofs", litres(account.rain_l, units)),
        ("taken by tanks", litres(account.taken_by_tanks_l, units)),
        ("spilled", litres(account.spilled_l, units)),
        *((("rain on the ground", litres(account.ground_rain_l, units)),) if account.ground_rain_l > 0 else ()),
        ("soaked on the way", litres(account.soaked_l, units)),
        ("takers", litres(account.takers_l, units)),
        ("off the site", litres(account.off_site_l, units)),
    ]
    rows += [(f"pool {number}", pool_words(each, units)[0]) for number, each in enumerate(overflow.spill.pools, 1)]
    return (*rows, *_mend_rows(answers, units))


def _mend_rows(answers: Answers, units: UnitSystem) -> Rows:
    """The best mend of each trouble, and what remains with it; answers of a window carry none."""
    from gardenwater.assess import Assessment

    if not isinstance(answers, Assessment):
        return ()
    rows = []
    for found in answers.mends:
        about = name_of(answers.site, place_of(answers.site, found.trouble))
        mend = found.mends[0]
        about_whom = answers.site if mend.parts else None
        what = f"mend for {about}: {mend_title(mend, answers.site).lower()}, {mend_figures(mend, units, about_whom)}"
        left = f"{litres(mend.remains_l, units)} of {litres(found.before_l, units)} remain"
        rows.append((what, left))
    return tuple(rows)


def signs_used(things: Iterable[Thing], *, spill: bool) -> tuple[tuple[str, str], ...]:
    """Kind and word of each sign on a sheet, in the order of the drawing tray."""
    kinds = {thing.kind for thing in things}
    used = [(kind.kind, BY_KIND[kind.kind].word.lower()) for kind in KINDS if kind.kind in kinds]
    return (*used, ("spill", "route and pool")) if spill else tuple(used)


def numbered_findings(answers: Answers | None, question: Question) -> tuple[Finding, ...]:
    """The findings that a sheet lists and numbers: those of its question, in their order."""
    return tuple(each for each in (answers.findings if answers is not None else ()) if each.question is question)


def finding_words(finding: Finding, site: Site, units: UnitSystem) -> str:
    """A finding in one sentence: what is so."""
    return f"{sentence(finding, lambda thing_id: name_of(site, thing_id), units).head.rstrip('.')}."
