"""The cards of things that are not tanks."""

from __future__ import annotations

import dataclasses
import math
from typing import TYPE_CHECKING

from shapely import LineString, Polygon

from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.desktop.card.of_lasting import lasting_bed, lasting_tank
from gardenwater.desktop.card.of_line import line_contents
from gardenwater.desktop.card.of_need import POND_SOURCE, bed_more, bed_words, need_sources, pond_words
from gardenwater.desktop.card.of_tank import bed_cell, tank_contents
from gardenwater.findings import Question
from gardenwater.ground import level_at, profile
from gardenwater.site.model import Site
from gardenwater.site.names import called, name_of
from gardenwater.site.things import (
    Bed,
    Diverter,
    Downpipe,
    LevelPeg,
    Path,
    Pond,
    Roof,
    SlopeArrow,
    Tank,
    Thing,
    WateringLine,
)
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, long_time, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, BedReach
    from gardenwater.ground import Ground
    from gardenwater.report.year.day import DayState

_KINDS_BY_ROLE = {
    "roof_line": ("roof", "downpipe", "gutter", "diverter", "first_flush"),
    "leaf": ("bed", "tree", "rain_garden"),
    "water": ("tap", "link", "watering_line", "pond"),
    "spill": ("overflow",),
    "earth": ("soakaway", "swale", "ditch", "bank", "earthwork", "level_peg", "slope_arrow"),
    "fails": ("keep_dry",),
}
_ROLES = {kind: role for role, kinds in _KINDS_BY_ROLE.items() for kind in kinds}
_CAUTIONS = {
    "pond": "Open water: a child can drown in a few centimetres. Local code decides on fences and grids.",
    "soakaway": "Keep it away from foundations: common guidance is 5 m. Local code and a licensed practitioner decide.",
    "tap": "Mark it: not for drinking.",
    "gutter": "Cleaning gutters is work at height.",
}


def thing_contents(
    thing: Thing,
    site: Site,
    answers: Answers | None,
    question: Question,
    year: str = "",
    day: DayState | None = None,
) -> Contents:
    """The card of one thing. year, day: in Lasting, the year on the strip and the day under its hand."""
    by_day = None
    if question is Question.LASTING and answers is not None:
        by_day = _by_day(thing, site, answers, year, day)
    if by_day is not None:
        made = by_day
    elif isinstance(thing, Tank):
        made = tank_contents(thing, site, answers, question)
    elif isinstance(thing, Bed):
        made = _bed(thing, site, answers)
    elif isinstance(thing, Pond):
        made = _pond(thing, site, answers)
    elif isinstance(thing, Roof | Downpipe | Diverter):
        made = _catching(thing, site, answers)
    elif isinstance(thing, WateringLine) and (of_line := line_contents(thing, site, answers)) is not None:
        made = of_line
    else:
        made = Contents(about=_about(thing, site.settings.units), figures=_geometry(thing, site, answers))
    of_kind = site.of(type(thing))
    place = f"{thing.word} {[each.id for each in of_kind].index(thing.id) + 1} of {len(of_kind)}" if of_kind else ""
    return _with(made, thing, name_of(site, thing.id), place)


def _by_day(thing: Thing, site: Site, answers: Answers, year: str, day: DayState | None) -> Contents | None:
    """The card of what Lasting answers for."""
    if isinstance(thing, Tank):
        return lasting_tank(thing, site, answers, year, day)
    return lasting_bed(thing, site, answers, year, day) if isinstance(thing, Bed) else None


def _with(made: Contents, thing: Thing, title: str, place: str) -> Contents:
    role = made.icon_role if made.icon_role != "ink" else _ROLES.get(thing.kind, "ink")
    caution = made.caution or _CAUTIONS.get(thing.kind, "")
    return dataclasses.replace(made, icon=thing.kind, icon_role=role, title=title, place=place, caution=caution)


def _about(thing: Thing, units: UnitSystem) -> str:
    if isinstance(thing, LevelPeg):
        return f"Level {text(thing.level_m, Quantity.LEVEL_M, units)}"
    if isinstance(thing, SlopeArrow):
        return f"Falls {text(thing.one_in, Quantity.ONE_IN, units)}"
    words = thing.word
    return f"{words}, locked" if thing.locked else words


def _ground(answers: Answers | None) -> Ground | None:
    return answers.ground.ground if answers is not None else None


def _geometry(thing: Thing, site: Site, answers: Answers | None) -> tuple[Figure, ...]:
    """Area or length, level, fall: for whatever has no answers of its own."""
    units, ground = site.settings.units, _ground(answers)
    shape = thing.band if isinstance(thing, Path) else thing.shape
    figures: list[Figure] = []
    if isinstance(thing.shape, LineString):
        figures.append(Figure(text(thing.shape.length, Quantity.LENGTH_M, units), "long"))
        fall = _fall(thing.shape, ground)
        if not math.isnan(fall):
            word = "it falls" if fall >= 0 else "it rises"
            figures.append(Figure(text(abs(fall), Quantity.HEIGHT_M, units), word))
    elif isinstance(shape, Polygon):
        figures.append(Figure(text(shape.area, Quantity.AREA_M2, units), "on the plan"))
    spot = thing.shape.representative_point()
    level = level_at(ground, spot.x, spot.y) if ground is not None else math.nan
    if not math.isnan(level):
        figures.append(Figure(text(level, Quantity.LEVEL_M, units), "level of the ground"))
    return tuple(figures[:3])


def _fall(line: LineString, ground: Ground | None) -> float:
    if ground is None:
        return math.nan
    _, levels = profile(ground, line)
    return float(levels[0] - levels[-1])


def _drawn_rows(best: BedReach | None, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Litres of the best tank for the bed, and how long they take to be drawn."""
    if best is None or not best.usable_l > 0.0:
        return ()
    rows = [("Usable litres drawn in", long_time(best.draw_s))]
    if not math.isnan(best.draw_full_s):
        rows.append(("From a full tank", long_time(best.draw_full_s)))
    if best.cans_l > 0.0:
        rows.append(("Below its needed level, for cans", text(best.cans_l, Quantity.VOLUME_L, units)))
    rows.append(("Needed water level", text(best.needed_level_m, Quantity.LEVEL_M, units)))
    return tuple(rows)


def _bed(bed: Bed, site: Site, answers: Answers | None) -> Contents:
    units = site.settings.units
    area = text(bed.shape.area, Quantity.AREA_M2, units)
    crop = table("crops").row(bed.crop).name
    reach = answers.reach if answers is not None else None
    best = reach.bed(bed.id) if reach is not None else None
    figures = [Figure(area, "to water")]
    rows: tuple[TableRow, ...] = ()
    if best is not None:
        time, _, _ = bed_cell(best, units)
        if best.reached:
            figures.insert(0, Figure(time, f"a can, from {name_of(site, best.tank)}"))
            figures.append(Figure(text(best.spare_head_m, Quantity.HEIGHT_M, units), "spare head"))
        elif not math.isnan(best.too_high_m) and best.too_high_m > 0:
            too_high = text(best.too_high_m, Quantity.HEIGHT_M, units)
            figures.insert(0, Figure(too_high, f"too high for {name_of(site, best.tank)}", "fails"))
        else:
            figures.insert(0, Figure(time, "by every tank", "fails"))
    if reach is not None:
        served = [(tank.tank, found) for tank in reach.tanks if (found := tank.bed(bed.id)) is not None]
        rows = tuple(_from_tank(tank, found, site) for tank, found in served)
    wants = bed_words(bed.id, site, answers)
    return Contents(
        about=". ".join(filter(None, (f"{crop}, on {table('soils').row(bed.soil).name.lower()}", wants))),
        figures=tuple(figures[:3]),
        tables=(Table(("Tank", "a can", "margin", "area", "usable"), rows, gives_way=(3, 2)),) if rows else (),
        more=(*_drawn_rows(best, units), *bed_more(bed, site, answers)),
        sources=(
            "Needed level, spare head and time for a can: Darcy-Weisbach along the way that the line takes.",
            *(need_sources(answers) if wants else ()),
        ),
    )


def _from_tank(tank: str, found: BedReach, site: Site) -> TableRow:
    """What one tank does for the bed."""
    time, margin, litres = bed_cell(found, site.settings.units)
    share = text(found.share_in_reach, Quantity.SHARE, site.settings.units)
    return TableRow((name_of(site, tank), time, margin, share, litres), tank)


def _pond(pond: Pond, site: Site, answers: Answers | None) -> Contents:
    loses = pond_words(pond.id, site, answers)
    return Contents(
        about=". ".join(filter(None, (_about(pond, site.settings.units), loses))),
        figures=_geometry(pond, site, answers),
        sources=(POND_SOURCE,) if loses else (),
    )


def _catching(thing: Roof | Downpipe | Diverter, site: Site, answers: Answers | None) -> Contents:
    from gardenwater.desktop.card.of_catch import catching_contents

    made = catching_contents(thing, site, answers)
    if made.figures:
        return made
    return Contents(about=made.about or _about(thing, site.settings.units), figures=_geometry(thing, site, answers))


def several_contents(things: tuple[Thing, ...]) -> Contents:
    """Several are selected: how many of which kind."""
    kinds: dict[str, int] = {}
    for thing in things:
        kinds[thing.word] = kinds.get(thing.word, 0) + 1
    rows = tuple(TableRow((called(thing), thing.word), thing.id) for thing in things[:40])
    about = ", ".join(f"{word.lower()}: {count}" for word, count in kinds.items())
    same = things[0].kind if len(kinds) == 1 else ""
    return Contents(icon=same, title=f"{len(things)} things", about=about, tables=(Table(("Name", "kind"), rows),))
