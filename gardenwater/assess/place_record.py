"""Places for a tank, and lines from the side, as plain values."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import Any

from gardenwater.assess.answers import Answers
from gardenwater.assess.findings.lines import drawn_profile
from gardenwater.assess.stand_answer import StandAnswer
from gardenwater.findings import Finding
from gardenwater.reach import BedChance
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import WateringLine

Plain = dict[str, Any]


def named(site: Site, thing_id: str) -> Plain:
    """A thing by its id and its name."""
    return {"id": thing_id, "name": name_of(site, thing_id)}


def _plain(chance: BedChance) -> Plain:
    return {each.name: getattr(chance, each.name) for each in dataclasses.fields(chance) if each.name != "key"}


def place_record(site: Site, answer: StandAnswer, told: Callable[[Finding], Plain]) -> Plain:
    """Where a tank could stand: the ask, the best spots with their safety, beds that no spot serves.

    told: how a finding is put down.
    """
    tank = answer.model
    return {
        "asked": dataclasses.asdict(answer.ask)
        | {"beds": list(answer.beds), "capacity_l": tank.capacity_l, "form": tank.form},
        "spots_in_all": answer.of,
        "spots": [
            {
                "name": each.name,
                "x_m": each.spot.at[0],
                "y_m": each.spot.at[1],
                "stand_m": each.stand_m,
                "beds": [named(site, bed) for bed in each.spot.beds],
                "share_of_bed_area": each.spot.share,
                "feed_level_m": each.spot.feed_level_m,
                "feed_clears_inlet_m": each.clears_m,
                "feeder_m": each.spot.feeder_m,
                "downpipe": named(site, each.pipe),
                "diverter_height_m": each.diverter.height_m,
                "downpipe_year_l": each.pipe_l,
                "needed_level_m": each.needed_level_m,
                "minutes_per_can": [named(site, row.bed) | {"minutes": row.minutes_per_can} for row in each.beds],
                "safety": each.safety,
                "findings": [told(finding) for finding in each.findings],
            }
            for each in answer.proposals
        ],
        "beds": [named(site, chance.key) | _plain(chance) for chance in answer.map.chances],
        "cell_x_m": answer.map.ground.cell_x_m,
    }


def line_record(site: Site, answers: Answers) -> list[Plain]:
    """Each drawn line from the side, with the water as it stands."""
    chains = {chain.tank: chain for chain in answers.chains}
    wires = None if answers.catch is None else answers.catch.wires
    found = []
    for line in site.of(WateringLine):
        chain = chains.get("" if wires is None else wires.tank_of.get(line.id, ""))
        if chain is None or math.isnan(chain.ground_level_m) or line.shape.length == 0.0:
            continue
        way = drawn_profile(site, line, answers.ground.ground, chain, full=False)
        turns = {"high_points": way.highs, "low_points": way.lows}
        found.append(
            named(site, line.id)
            | {"length_m": way.length_m, "spare_head_m": way.spare_head_m, "over_grade_line_m": way.over_m}
            | {
                name: [
                    {"along_m": each.distance_m, "by_m": each.by_m, "x_m": each.at[0], "y_m": each.at[1]}
                    for each in points
                ]
                for name, points in turns.items()
            }
        )
    return found
