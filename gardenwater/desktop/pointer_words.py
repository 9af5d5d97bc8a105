"""The words of the read-out: what is so at a spot, for each question that is answered. Values in, words out."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from shapely import Point

from gardenwater.desktop.readout import Reading
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, can_time, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, ReachAnswer, TankReach
    from gardenwater.ground import Ground

XY = tuple[float, float]
NO_LEVEL = "no level here"
_COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
_LEAST_FALL = 1e-4
_LEAST_POOL_M = 0.005


@dataclass(frozen=True, slots=True)
class Words:
    """The answer at a spot, and what is said after it."""

    answer: str = ""
    more: tuple[str, ...] = ()


def reading_at(
    at: XY | None, *, site: Site, answers: Answers | None, question: Question, focus: str, right: tuple[str, ...] = ()
) -> Reading:
    """The read-out for a spot of the plan; `at` None while the pointer is elsewhere.

    focus: id of the tank that Reach is asked about, or empty. right: scale, grid and level error.
    """
    if at is None or answers is None:
        return Reading(lead="", right=right)
    level = level_at(answers.ground.ground, *at)
    if not math.isfinite(level):
        return Reading(level=NO_LEVEL, right=right)
    units = site.settings.units
    words = _words(at, site, answers, question, focus)
    return Reading(
        level=f"level {text(level, Quantity.LEVEL_M, units)}", answer=words.answer, more=words.more, right=right
    )


def right_words(
    px_per_m: float, grid_m: float, px_per_inch: float, answers: Answers | None, units: UnitSystem
) -> tuple[str, ...]:
    """Scale, grid and level error. px_per_inch: of the screen, by which the scale is what a ruler on it would say."""
    scale = px_per_inch / 0.0254 / px_per_m
    words = [f"1 : {_round_scale(scale):,}", f"grid {_grid(grid_m, units)}"]
    if answers is not None:
        words.append(f"levels ± {text(answers.ground.level_error_m, Quantity.HEIGHT_M, units)}")
    return tuple(words)


def _round_scale(scale: float) -> int:
    """Two figures are as true as a screen's size is known."""
    places = max(0, math.floor(math.log10(max(scale, 1.0))) - 1)
    step: int = 10**places
    return round(scale / step) * step


def _grid(grid_m: float, units: UnitSystem) -> str:
    return text(grid_m, Quantity.LENGTH_M, units).replace(".00", "").replace(".0", "")


def _words(at: XY, site: Site, answers: Answers, question: Question, focus: str) -> Words:
    match question:
        case Question.GROUND:
            return ground_words(at, answers, site.settings.units)
        case Question.CATCH:
            return catch_words(at, site, answers)
        case Question.REACH:
            return reach_words(at, site, answers.reach, focus)
        case Question.OVERFLOW:
            return overflow_words(at, site, answers)
        case _:
            return Words()


# Ground


def ground_words(at: XY, answers: Answers, units: UnitSystem) -> Words:
    """How steep it is, which way it falls, and how good the level is there."""
    ground = answers.ground.ground
    fall, bearing = _fall_at(ground, at)
    if not math.isfinite(fall):
        answer = ""
    elif fall < _LEAST_FALL:
        answer = "level ground"
    else:
        answer = f"falls {text(1 / fall, Quantity.ONE_IN, units)} to the {compass(bearing)}"
    uncertainty = answers.ground.uncertainty_m
    cell = ground.cell_at(*at)
    if uncertainty is None or cell is None:
        return Words(answer)
    error = float(uncertainty[cell])
    if not math.isfinite(error):
        return Words(answer, ("beyond what was measured",))
    return Words(answer, (f"good to {text(error, Quantity.HEIGHT_M, units)}",))


def _fall_at(ground: Ground, at: XY) -> tuple[float, float]:
    """Fall, m/m, and the bearing downhill, from levels a cell away on each side."""
    x, y = at
    across, down = ground.cell_x_m, ground.cell_y_m
    east = (level_at(ground, x + across, y) - level_at(ground, x - across, y)) / (2 * across)
    north = (level_at(ground, x, y + down) - level_at(ground, x, y - down)) / (2 * down)
    return math.hypot(east, north), math.degrees(math.atan2(-east, -north)) % 360.0


def compass(bearing_deg: float) -> str:
    """One of eight winds for a bearing, clockwise from north."""
    return _COMPASS[round(bearing_deg / 45.0) % 8]


# Catch


def catch_words(at: XY, site: Site, answers: Answers) -> Words:
    """Which roof it is, which pipe its water goes to, and how much."""
    catch = answers.catch
    part = None if catch is None else next((p for p in catch.parts if shapely.intersects_xy(p.shape, *at)), None)
    if catch is None or part is None:
        return Words()
    units = site.settings.units
    side = f", {compass(part.fall_bearing_deg)} side" if math.isfinite(part.fall_bearing_deg) else ""
    roof = f"{name_of(site, part.roof)}{side}"
    pipe = f"to {name_of(site, part.downpipe)}" if part.downpipe else "caught by nobody"
    rain_mm = site.settings.rain_year_mm
    litres = _part_litres(part, site, rain_mm if rain_mm is not None else site.settings.wet_day_mm)
    when = "a year" if rain_mm is not None else "a wet day"
    return Words(roof, (pipe, f"{text(litres, Quantity.VOLUME_L, units)} {when}"))


def _part_litres(part: object, site: Site, rain_mm: float) -> float:
    from gardenwater.catch import part_litres

    return float(part_litres(site, part, rain_mm))


# Reach


def reach_words(at: XY, site: Site, reach: ReachAnswer | None, focus: str) -> Words:
    """How long a can takes there, or why no water comes."""
    cell = None if reach is None else reach.ground.cell_at(*at)
    if reach is None or cell is None or not reach.tanks:
        return Words()
    tank = reach.tank(focus) if focus else None
    if tank is None:
        served = int(reach.best.tank_index[cell])
        tank = reach.tanks[served] if served >= 0 else nearest_to_reach(reach, at, cell)
    return tank_words(at, cell, site, reach, tank)


def nearest_to_reach(reach: ReachAnswer, at: XY, cell: tuple[int, int]) -> TankReach:
    """Of tanks that all fall short, the one whose water stands least too low for the spot."""
    return max(reach.tanks, key=lambda tank: tank.water_level_m - _loss_to(tank, at) - level_at(reach.ground, *at))


def _loss_to(tank: TankReach, at: XY) -> float:
    """Head that the line would lose on the straight way, m: what a spot that is out of reach is judged by."""
    from gardenwater.reach import head_loss_m

    away = math.dist(_tank_at(tank), at)
    return float(head_loss_m(tank.line.flow_l_min, away, tank.line))


def _tank_at(tank: TankReach) -> XY:
    x, y = tank.map.at
    return float(x), float(y)


def tank_words(at: XY, cell: tuple[int, int], site: Site, reach: ReachAnswer, tank: TankReach) -> Words:
    """What this tank does for the spot."""
    from gardenwater.reach import Reason

    units, name = site.settings.units, name_of(site, tank.tank)
    minutes = float(tank.map.minutes_per_can[cell])
    reason = Reason(int(tank.map.reason[cell]))
    if math.isfinite(minutes) and reason in {Reason.IN_REACH, Reason.SLOW}:
        spare, away = float(tank.map.residual_head_m[cell]), float(tank.map.distance_m[cell])
        more = [f"{text(away, Quantity.LENGTH_M, units)} of line from {name}"]
        if reason is Reason.SLOW:
            more.insert(0, "slower than the line is meant to be")
        elif math.isfinite(spare):
            more.insert(0, f"spare head {text(spare, Quantity.HEIGHT_M, units)}")
        marginal = reason is Reason.IN_REACH and int(tank.sureness[cell]) == 1
        return Words(f"{can_time(60 * minutes)} a can{', marginal' if marginal else ''}", tuple(more))
    return _out_words(at, site, reach, tank, reason)


def _out_words(at: XY, site: Site, reach: ReachAnswer, tank: TankReach, reason: object) -> Words:
    from gardenwater.reach import Reason

    units, name = site.settings.units, name_of(site, tank.tank)
    whose = f"for {name}{_litres_now(site, tank)}"
    if reason is Reason.BARRIER:
        return Words(f"no way for a line from {name}: a barrier is all round")
    if reason is Reason.RIDGE:
        ridge = ridge_on_the_way(reach.ground, _tank_at(tank), at)
        if ridge is not None:
            level, back = (text(ridge[0], Quantity.LEVEL_M, units), text(ridge[1], Quantity.LENGTH_M, units))
            return Words(f"the line would have to climb over {level}, {back} back", (whose,))
    if reason is Reason.TOO_FAR:
        return Words(f"too far {whose}", ("the line loses its head on the way",))
    needed = level_at(reach.ground, *at) + tank.line.lift_m + tank.line.least_head_m + _loss_to(tank, at)
    over = needed - tank.water_level_m
    if reason is Reason.TOO_HIGH and over > 0:
        return Words(f"{text(over, Quantity.HEIGHT_M, units)} too high {whose}")
    return Words(f"out of reach {whose}")


def _litres_now(site: Site, tank: TankReach) -> str:
    thing = site.get(tank.tank)
    if not isinstance(thing, Tank):
        return ""
    return f" at {text(thing.water_l, Quantity.VOLUME_L, site.settings.units)}"


def ridge_on_the_way(ground: Ground, start: XY, end: XY) -> tuple[float, float] | None:
    """The highest level of the straight way and how far before `end` it lies, m; None when `end` is the highest."""
    from gardenwater.ground import levels_at

    away = math.dist(start, end)
    steps = max(2, min(2000, round(away / min(ground.cell_x_m, ground.cell_y_m)) + 1))
    shares = np.linspace(0.0, 1.0, steps)
    levels = levels_at(ground, start[0] + shares * (end[0] - start[0]), start[1] + shares * (end[1] - start[1]))
    if not np.isfinite(levels).any():
        return None
    top = int(np.nanargmax(levels))
    back = away * (1 - float(shares[top]))
    return (float(levels[top]), back) if back > min(ground.cell_x_m, ground.cell_y_m) else None


# Overflow


def overflow_words(at: XY, site: Site, answers: Answers) -> Words:
    """How deep water stands there, how long, and whose it is; or whose water runs by."""
    overflow = answers.overflow
    if overflow is None:
        return Words()
    units, spot = site.settings.units, Point(at)
    pools = [pool for pool in overflow.spill.pools if shapely.intersects(pool.outline, spot)]
    cell = overflow.ground.cell_at(*at)
    depth = float(overflow.spill.pool_depth_m[cell]) if cell is not None else math.nan
    if pools and math.isfinite(depth) and depth >= _LEAST_POOL_M:
        pool = pools[0]
        hours = pool.hours_to_soak
        stays = f"gone in {text(hours, Quantity.HOURS, units)}" if math.isfinite(hours) else "does not soak away"
        owners = _owners(site, [overflow.sources[number].owner for number in pool.sources])
        return Words(f"{text(depth, Quantity.DEPTH_M, units)} deep", tuple(filter(None, (stays, owners))))
    reach_m = max(overflow.ground.cell_x_m, overflow.ground.cell_y_m, 0.3)
    routes = [route for route in overflow.spill.routes if route.line.distance(spot) <= reach_m]
    if routes:
        widest = max(routes, key=lambda route: route.volume_m3)
        owner = _owners(site, [overflow.sources[widest.source].owner])
        return Words(f"{text(1000 * widest.volume_m3, Quantity.VOLUME_L, units)} run by", tuple(filter(None, (owner,))))
    return Words("dry")


def _owners(site: Site, ids: list[str]) -> str:
    names = list(dict.fromkeys(name_of(site, owner) for owner in ids if owner))
    if not names:
        return ""
    return " and ".join(f"{name}’s" for name in names[:2]) + " water"
