"""The ways of lines that pictures show: to a bed from the tank that serves it best, and along a line as drawn."""

from __future__ import annotations

import math

from shapely import LineString

from gardenwater.assess import Answers
from gardenwater.assess.findings.lines import drawn_profile
from gardenwater.reach import WayProfile, way_profile
from gardenwater.site.things import WateringLine

_LEAST_M = 0.05


def bed_way(answers: Answers, bed_id: str, tank_id: str = "") -> LineString | None:
    """The way that the line takes to a bed: from one tank, or from the one that serves it best; None without one."""
    reach = answers.reach
    row = None if reach is None else reach.bed(bed_id)
    tank = None if reach is None or row is None else reach.tank(tank_id or row.tank)
    if tank is None or row is None or tank.map.ground.cell_at(*row.at) is None:
        return None
    way = tank.map.route_to(*row.at)
    if way is not None and tank.laying.laid:
        way = LineString([*tank.laying.laid, *way.coords[1:]])  # the pieces that are laid, then the last one
    return way if way is not None and way.length > _LEAST_M else None


def bed_profile(answers: Answers, bed_id: str, tank_id: str = "") -> WayProfile | None:
    """The line to a bed from the side; None where no water comes to it."""
    way, reach = bed_way(answers, bed_id, tank_id), answers.reach
    row = None if reach is None else reach.bed(bed_id)
    tank = None if reach is None or row is None else reach.tank(tank_id or row.tank)
    if way is None or tank is None:
        return None
    return way_profile(
        answers.ground.ground,
        way=way,
        water_level_m=tank.water_level_m,
        outlet_level_m=tank.outlet_level_m,
        line=tank.line,
    )


def line_profile(answers: Answers, drawn: WateringLine) -> WayProfile | None:
    """A drawn line from the side, with the water as it stands; None for one that leads from no tank."""
    wires = None if answers.catch is None else answers.catch.wires
    tank = "" if wires is None else wires.tank_of.get(drawn.id, "")
    chain = next((each for each in answers.chains if each.tank == tank), None)
    if chain is None or math.isnan(chain.ground_level_m) or drawn.shape.length <= _LEAST_M:
        return None
    return drawn_profile(answers.site, drawn, answers.ground.ground, chain, full=False)
