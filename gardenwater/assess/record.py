"""An assessment as plain values for JSON: every number with its unit in the key, every finding with its sentences.

NaN and infinity are null. Levels, heights and lengths in m, volumes in L, whatever units the site's people read.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from enum import Enum
from typing import Any

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import (
    Answers,
    CatchAnswer,
    OverflowAnswer,
    ReachAnswer,
    Sureness,
    TankReach,
)
from gardenwater.assess.bed_service import services_of
from gardenwater.assess.lasting_record import lasting_record
from gardenwater.assess.mends import Mend, Mends
from gardenwater.assess.mud import MudAnswer
from gardenwater.assess.needing import NeedAnswer
from gardenwater.assess.place_record import line_record, place_record
from gardenwater.assess.stand_answer import StandAnswer
from gardenwater.assess.weather_record import weather_record
from gardenwater.findings import Finding, ShortAnswer, sentence, short_words
from gardenwater.findings.wording import SEVERITY_WORDS
from gardenwater.ground import GroundAnswer, relief
from gardenwater.overflow import MudWhy, Underfoot
from gardenwater.site.fields import specs
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.work.version import VERSION

Plain = dict[str, Any]
MADE_BY = "gardenwater"
_L = 1000.0


def record_of(answers: Answers, mends: Sequence[Mends] = (), places: StandAnswer | None = None) -> Plain:
    """Everything that the answers say, the mends that were found, and where a new tank could stand."""
    site = answers.site
    record = {
        "made_by": f"{MADE_BY} {VERSION}",
        "site": {"name": site.name, "about": site.about, "crs": site.crs, "units": site.settings.units},
        "settings": {each.name: getattr(site.settings, each.name) for each in dataclasses.fields(site.settings)},
        "ground": _ground(answers.ground),
        "short_answers": {question: _short(site, short) for question, short in answers.words.items()},
        "tanks": [_named(site, chain.tank) | _fields(chain) for chain in answers.chains],
        "catch": None if answers.catch is None else _catch(site, answers.catch),
        "reach": None if answers.reach is None else _reach(site, answers, answers.reach),
        "lines": line_record(site, answers),
        "places": None if places is None else place_record(site, places, lambda finding: _finding(site, finding)),
        "overflow": None if answers.overflow is None else _overflow(site, answers.overflow),
        "lasting": None if answers.lasting is None else lasting_record(site, answers.lasting),
        "weather": weather_record(site),
        "needs": None if answers.need is None else _needs(site, answers.need),
        "ground_underfoot": None if answers.mud is None else _mud(answers.mud),
        "mends": [_mends(site, each) for each in mends],
        "findings": [_finding(site, finding) for finding in answers.findings],
    }
    plain: Plain = plainly(record)
    return plain


def plainly(value: Any) -> Any:
    """A value as JSON has it."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, Enum):
        return value.value if isinstance(value, str) else value.name.lower().replace("_", " ")
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, BaseGeometry):
        return shapely.get_coordinates(value).tolist()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return plainly(_fields(value))
    if isinstance(value, Mapping):
        return {str(plainly(key)): plainly(each) for key, each in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plainly(each) for each in value]
    return value


_PLACES = {"at": "at_xy_m", "tight_at": "tight_at_xy_m"}


def _fields(value: Any) -> Plain:
    names = (each.name for each in dataclasses.fields(value))
    return {_PLACES.get(name, name): getattr(value, name) for name in names}


def _named(site: Site, thing_id: str) -> Plain:
    return {"id": thing_id, "name": name_of(site, thing_id)}


def _ground(answer: GroundAnswer) -> Plain:
    ground = answer.ground
    low_m, high_m = relief(ground)
    return {
        "origin": answer.origin,
        "rows": ground.shape[0],
        "cols": ground.shape[1],
        "cell_x_m": ground.cell_x_m,
        "cell_y_m": ground.cell_y_m,
        "west_x_m": ground.bounds[0],
        "south_y_m": ground.bounds[1],
        "lowest_level_m": low_m,
        "highest_level_m": high_m,
        "level_error_m": answer.level_error_m,
        "digest": ground.digest,
        "notices": answer.notices,
    }


def _short(site: Site, short: ShortAnswer) -> Plain:
    words = short_words(short, lambda thing_id: name_of(site, thing_id), site.settings.units)
    return {"code": short.code, "words": words.replace("\u00a0", " "), "needs": short.needs, **dict(short.numbers)}


def _catch(site: Site, answer: CatchAnswer) -> Plain:
    spills = answer.spills
    return {
        "year": None if answer.year is None else _yields(site, answer.year),
        "wet_day": _yields(site, answer.wet_day),
        "wet_day_account": _fields(spills.account) | {"residual_l": spills.account.residual_l},
        "taken_by_tanks": [_named(site, tank) | {"taken_l": litres} for tank, litres in spills.taken_l.items()],
        "uncaught_downpipes": [_named(site, pipe) for pipe in answer.uncaught],
        "roof_parts": [
            {
                "roof": part.roof,
                "downpipe": part.downpipe,
                "area_m2": part.area_m2,
                "fall_bearing_deg": part.fall_bearing_deg,
            }
            for part in answer.parts
        ],
        "capacities": {
            **{pipe: _fields(found) | {"enough": found.enough} for pipe, found in answer.capacities.pipes.items()},
            **{
                gutter: _fields(found) | {"enough": found.enough} for gutter, found in answer.capacities.gutters.items()
            },
        },
    }


def _yields(site: Site, found: Any) -> Plain:
    return {
        "rain_mm": found.rain_mm,
        "fallen_l": found.fallen_l,
        "stays_l": found.stays_l,
        "filter_l": found.filter_l,
        "first_flush_l": found.first_flush_l,
        "led_l": found.led_l,
        "rest_l": found.rest_l,
        "eaves_l": found.eaves_l,
        "residual_l": found.residual_l,
        "downpipes": [_named(site, pipe) | _fields(each) for pipe, each in found.pipes.items()],
        "tanks": [_named(site, tank) | {"led_l": litres} for tank, litres in found.tanks.items()],
    }


def _reach(site: Site, answers: Answers, answer: ReachAnswer) -> Plain:
    return {
        "beds_reached": answer.beds_reached,
        "beds": [
            _named(site, row.bed)
            | _fields(row.best)
            | {
                "reached_by": [_named(site, tank) for tank in row.reached_by],
                "carry_m": row.carry_m,
                "carry_from": row.carry_from,
            }
            for row in services_of(answers)
        ],
        "tanks": [_tank_reach(site, tank) for tank in answer.tanks],
        "cell_x_m": answer.ground.cell_x_m,
    }


def _tank_reach(site: Site, tank: TankReach) -> Plain:
    cell_m2 = tank.map.ground.cell_x_m * tank.map.ground.cell_y_m
    reached = int(np.count_nonzero(tank.sureness != Sureness.OUT))
    sure = int(np.count_nonzero(tank.sureness == Sureness.SURE))
    return {
        **_named(site, tank.tank),
        "water_level_m": tank.water_level_m,
        "outlet_level_m": tank.outlet_level_m,
        "overflow_level_m": tank.overflow_level_m,
        "line": tank.line,
        "line_id": tank.line_id,
        "beds_reached": tank.beds_reached,
        "in_reach_m2": reached * cell_m2,
        "surely_in_reach_m2": sure * cell_m2,
        "beds": [_named(site, bed.bed) | _fields(bed) for bed in tank.beds],
        "at_levels": [_fields(level) for level in tank.at_levels],
        "all_ends_open": [_named(site, end.line) | _fields(end) for end in tank.together],
    }


def _overflow(site: Site, answer: OverflowAnswer) -> Plain:
    spill = answer.spill
    return {
        "account": answer.account,
        "sources": [
            _named(site, source.owner)
            | {"volume_l": source.volume_m3 * _L, "why": source.why, "x_m": source.at[0], "y_m": source.at[1]}
            for source in (*answer.sources, *answer.lost)
        ],
        "ends": [_named(site, end.owner) | _fields(end) for end in answer.ends],
        "takers": [
            _named(site, taker) | {"taken_l": taken.volume_m3 * _L, "full": taken.full}
            for taker, taken in zip(answer.takers, spill.taken, strict=True)
        ],
        "pools": [
            {
                "level_m": pool.level_m,
                "depth_m": pool.depth_m,
                "volume_l": pool.volume_m3 * _L,
                "area_m2": pool.outline.area,
                "soaked_up_after_h": pool.hours_to_soak,
                "runs_over": pool.runs_over,
                "x_m": pool.deepest[0],
                "y_m": pool.deepest[1],
            }
            for pool in spill.pools
        ],
        "routes": [
            {
                "length_m": route.line.length,
                "end": route.end,
                "volume_l": route.volume_m3 * _L,
                "volume_at_end_l": route.volume_end_m3 * _L,
                "flow_l_s": route.flow_l_s,
            }
            for route in spill.routes
        ],
        "cell_x_m": answer.ground.cell_x_m,
    }


def _needs(site: Site, answer: NeedAnswer) -> Plain:
    return {
        "evapotranspiration_found_by": answer.found_by,
        "last_day": None if answer.last_day is None else answer.last_day.isoformat(),
        "beds": [
            _named(site, bed.bed)
            | _fields(bed.year)
            | {"need_l": bed.year.need_l.tolist(), "last_day": None if bed.last is None else _fields(bed.last)}
            for bed in answer.beds
        ],
        "ponds": [
            _named(site, pond.pond) | {"evaporates_l": pond.evaporates_l.tolist(), "peak_month": pond.peak_month}
            for pond in answer.ponds
        ],
    }


def _mud(answer: MudAnswer) -> Plain:
    ground, underfoot, why = answer.ground, answer.mud.underfoot, answer.mud.why
    cell_m2 = ground.cell_x_m * ground.cell_y_m
    soft = underfoot >= Underfoot.SOFT
    return {
        **{f"{each.name.lower()}_m2": int((underfoot == each).sum()) * cell_m2 for each in Underfoot if each},
        **{
            f"soft_by_{each.name.lower()}_m2": int((soft & (why & np.uint8(each) > 0)).sum()) * cell_m2
            for each in MudWhy
            if each.name
        },
        "wetness_index_shift": answer.mud.index_shift,
        "cell_x_m": ground.cell_x_m,
    }


def _mends(site: Site, found: Mends) -> Plain:
    trouble = found.trouble
    return {
        "code": trouble.code,
        "subject": trouble.subject,
        "others": trouble.others,
        "before_l": found.before_l,
        "mends": [_mend(site, mend) for mend in found.mends],
    }


def _mend(site: Site, mend: Mend) -> Plain:
    things = [
        {"id": thing.id, "kind": thing.kind, "new": thing.id not in site, "shape_xy_m": thing.shape}
        | {name: getattr(thing, name) for name in specs(type(thing))}
        for thing in mend.things
    ]
    parts = [_mend(site, part) for part in mend.parts]
    return {**_fields(mend), "owner_name": name_of(site, mend.owner), "things": things, "parts": parts}


def _finding(site: Site, finding: Finding) -> Plain:
    said = sentence(finding, lambda thing_id: name_of(site, thing_id), site.settings.units)
    return {
        "code": finding.code,
        "severity": SEVERITY_WORDS[finding.severity].lower(),
        "question": finding.question,
        "subject": finding.subject,
        "others": finding.others,
        "numbers": dict(finding.numbers),
        "words": dict(finding.words),
        "at_xy_m": finding.at,
        **{name: words.replace("\u00a0", " ") for name, words in _fields(said).items()},
    }
