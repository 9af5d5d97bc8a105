"""The words of the read-out: what is so at a spot, for each question that is answered. Values in, words out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import Point

from gardenwater.desktop.lasting_words import lasting_words
from gardenwater.desktop.readout import Reading
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.report.overflow_words import underfoot_words
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, can_time, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, OverflowAnswer, ReachAnswer, StandAnswer, TankReach
    from gardenwater.catch import RoofPart, Yields
    from gardenwater.ground import Ground
    from gardenwater.reach import Spot, StandSpot
    from gardenwater.report.year.day import DayState

XY = tuple[float, float]
NO_LEVEL = "no level here"
_COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
_LEAST_FALL = 1e-4
_LEAST_POOL_M = 0.005
_MARGINAL = 1  # of assess.Sureness


@dataclass(frozen=True, slots=True)
class Words:
    """The answer at a spot, and what is said after it."""

    answer: str = ""
    more: tuple[str, ...] = ()


def reading_at(
    at: XY | None,
    *,
    site: Site,
    answers: Answers | None,
    question: Question,
    focus: str,
    day: DayState | None = None,
    underfoot: bool = False,
    right: tuple[str, ...] = (),
) -> Reading:
    """The read-out for a spot of the plan; `at` None while the pointer is elsewhere.

    day: in Lasting, the day under the hand. underfoot: in Overflow, the plan shows the ground underfoot.
    focus: id of the tank that Reach is asked about, or empty. right: scale, grid and level error.
    """
    if at is None or answers is None:
        return Reading(lead="", right=right)
    level = level_at(answers.ground.ground, *at)
    if not math.isfinite(level):
        return Reading(level=NO_LEVEL, right=right)
    units = site.settings.units
    if question is Question.LASTING:
        words = Words(*lasting_words(at, site, day)) if day is not None else Words()
    elif question is Question.OVERFLOW:
        words = overflow_words(at, site, answers, underfoot=underfoot)
    else:
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
        case Question.REACH if answers.stand is not None:
            return stand_words(at, site, answers.stand)
        case Question.REACH:
            return reach_words(at, site, answers.reach, focus)
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
    whole, when = (catch.wet_day, "a wet day") if catch.year is None else (catch.year, "a year")
    litres = text(part_litres(part, catch.parts, whole), Quantity.VOLUME_L, units)
    return Words(roof, (pipe, f"{litres} {when}"))


def part_litres(part: RoofPart, parts: Sequence[RoofPart], whole: Yields) -> float:
    """What runs off one part of a roof, L: its share, by area, of what its downpipe gets, or of what drips off."""
    alike = [each for each in parts if each.downpipe == part.downpipe and (part.downpipe or each.roof == part.roof)]
    share = part.area_m2 / math.fsum(each.area_m2 for each in alike)
    if not part.downpipe:
        return share * whole.eaves.get(part.roof, 0.0)
    pipe = whole.pipes.get(part.downpipe)
    return share * pipe.runs_l if pipe is not None else 0.0


# Reach


def reach_words(at: XY, site: Site, reach: ReachAnswer | None, focus: str) -> Words:
    """How long a can takes there, or why no water comes."""
    cell = None if reach is None else reach.ground.cell_at(*at)
    if reach is None or cell is None or not reach.tanks:
        return Words()
    tank = reach.tank(focus) if focus else None
    if tank is None:
        served = int(reach.best.tank_index[cell])
        tank = reach.tanks[served] if served >= 0 else max(reach.tanks, key=lambda each: each.water_level_m)
    marginal = int(tank.sureness[cell]) == _MARGINAL
    return spot_words(tank.map.at(*at), at, site, tank, marginal=marginal)


def spot_words(spot: Spot, at: XY, site: Site, tank: TankReach, *, marginal: bool) -> Words:
    """What this tank does for the spot."""
    from gardenwater.reach import Reason

    units, name = site.settings.units, name_of(site, tank.tank)
    if spot.reason not in {Reason.IN_REACH, Reason.SLOW}:
        return _out_words(spot, at, site, tank)
    minutes = f"{can_time(60 * spot.minutes_per_can)} a can"
    away = f"{text(spot.distance_m, Quantity.LENGTH_M, units)} of line from {name}"
    if spot.reason is Reason.SLOW:
        wanted = text(tank.line.flow_l_min, Quantity.FLOW_L_MIN, units)
        return Words(minutes, (f"slow: less than the wanted {wanted}", away))
    spare = f"spare head {text(spot.residual_head_m, Quantity.HEIGHT_M, units)}"
    return Words(f"{minutes}, marginal" if marginal else minutes, (spare, away))


def _out_words(spot: Spot, at: XY, site: Site, tank: TankReach) -> Words:
    from gardenwater.reach import Reason

    units, name = site.settings.units, name_of(site, tank.tank)
    whose = f"for {name}{_litres_now(site, tank)}"
    if spot.reason is Reason.RIDGE and spot.climb_at is not None:
        level = text(spot.climb_level_m, Quantity.LEVEL_M, units)
        back = text(math.dist(spot.climb_at, at), Quantity.LENGTH_M, units)
        return Words(f"the line would have to climb over {level}, {back} back", (whose,))
    if spot.reason is Reason.TOO_HIGH:
        return Words(f"{text(spot.too_high_m, Quantity.HEIGHT_M, units)} too high {whose}")
    if spot.reason is Reason.TOO_FAR:
        return Words(f"too far {whose}", ("the line loses its head on the way",))
    if spot.reason is Reason.BARRIER:
        return Words(f"no way for a line from {name}", ("barriers close it off",))
    return Words(f"no way for a line from {name}", ("ground without levels lies between",))


def _litres_now(site: Site, tank: TankReach) -> str:
    thing = site.get(tank.tank)
    if not isinstance(thing, Tank):
        return ""
    return f" at {text(thing.water_l, Quantity.VOLUME_L, site.settings.units)}"


# where a tank could stand

_WHOLE_SHARE = 0.9999
_WHY_NOT = ("", "", "something stands or lies here", "beyond the boundary", "", "too steep for a base", "", "", "")


def stand_words(at: XY, site: Site, stand: StandAnswer) -> Words:
    """How high a stand must be there and what feeds it, or why no tank can stand there."""
    from gardenwater.reach import WhyNot

    units, made = site.settings.units, stand.map
    spot_here = next((each for each in stand.proposals if math.dist(each.spot.at, at) <= each.tank.width_m / 2), None)
    if spot_here is not None:
        found = _stands(spot_here.spot, site, stand)
        return Words(f"{spot_here.name}: {found.answer}", (*found.more, "click: the tank stands here"))
    if made.ground.cell_at(*at) is None:
        return Words()
    spot = made.at(*at)
    short = text(spot.short_m, Quantity.HEIGHT_M, units) if math.isfinite(spot.short_m) else ""
    match spot.reason:
        case WhyNot.STANDS:
            return _stands(spot, site, stand)
        case WhyNot.TOO_FAR:
            most = text(made.limits.most_feeder_m, Quantity.LENGTH_M, units)
            return Words("too far from a downpipe", (f"over {most} of feeder",))
        case WhyNot.FEED_LOW:
            fed = _fed(at, site, stand, highest=True)
            return Words(f"the feed is {short} too low", ("for the bed that asks for least", *fed))
        case WhyNot.STAND_HIGH:
            return Words(f"the stand would be {short} too high", ("for the bed that asks for least",))
        case WhyNot.NO_WAY:
            return Words("no line leads to the beds from here")
        case _:
            return Words(_WHY_NOT[spot.reason])


def _fed(at: XY, site: Site, stand: StandAnswer, *, highest: bool = False, but: str = "") -> tuple[str, ...]:
    """What other downpipes bring there: the one that brings water highest, or the nearest but one of them."""
    units = site.settings.units
    feeds = [feed for feed in stand.map.feeds_at(*at) if feed.key != but]
    if not feeds:
        return ()
    feed = max(feeds, key=lambda each: each.level_m) if highest else feeds[0]
    length = text(feed.feeder_m, Quantity.LENGTH_M, units)
    level = text(feed.level_m, Quantity.LEVEL_M, units)
    word = "highest" if highest else "or"
    return (f"{word} {length} from {name_of(site, feed.key)} at {level}",)


def _stands(spot: StandSpot, site: Site, stand: StandAnswer) -> Words:
    units = site.settings.units
    built_m = math.ceil(spot.stand_m * 100 - 1e-2) / 100
    answer = f"stand {text(built_m, Quantity.HEIGHT_M, units)}" if built_m > 0 else "no stand"
    clears = text(spot.clears_m, Quantity.HEIGHT_M, units)
    feeder = text(spot.feeder_m, Quantity.LENGTH_M, units)
    level = text(spot.feed_level_m, Quantity.LEVEL_M, units)
    if len(stand.beds) > 1:
        whole = spot.share > _WHOLE_SHARE
        answer += " for all beds" if whole else f" for {text(spot.share, Quantity.SHARE, units)} of the beds"
    clear = f"feed clears the inlet by {clears}"
    fed = f"{feeder} of feeder from {name_of(site, spot.feed)} at {level}"
    return Words(answer, (clear, fed, *_fed(spot.at, site, stand, but=spot.feed)))


# Overflow


def overflow_words(at: XY, site: Site, answers: Answers, *, underfoot: bool = False) -> Words:
    """How deep water stands there, how long, and whose it is; or whose water runs by."""
    overflow = answers.overflow
    if overflow is None:
        return Words()
    ground, why = ("", ()) if answers.mud is None else underfoot_words(answers.mud, at)
    if underfoot:
        return Words(ground, why)
    units, spot = site.settings.units, Point(at)
    pools = [pool for pool in overflow.spill.pools if shapely.intersects(pool.outline, spot)]
    cell = overflow.ground.cell_at(*at)
    depth = float(overflow.spill.pool_depth_m[cell]) if cell is not None else math.nan
    if pools and math.isfinite(depth) and depth >= _LEAST_POOL_M:
        pool = pools[0]
        hours = pool.hours_to_soak
        stays = f"gone in {text(hours, Quantity.HOURS, units)}" if math.isfinite(hours) else "does not soak away"
        owners = _owners(site, [overflow.sources[number].owner for number in pool.sources])
        sill = _over_sill(overflow, overflow.spill.pools.index(pool), site) if pool.runs_over else ""
        return Words(f"{text(depth, Quantity.DEPTH_M, units)} deep", tuple(filter(None, (stays, owners, sill))))
    reach_m = max(overflow.ground.cell_x_m, overflow.ground.cell_y_m, 0.3)
    routes = [route for route in overflow.spill.routes if route.line.distance(spot) <= reach_m]
    if routes:
        widest = max(routes, key=lambda route: route.volume_m3)
        owner = _owners(site, [overflow.sources[number].owner for number in widest.sources])
        return Words(f"{text(1000 * widest.volume_m3, Quantity.VOLUME_L, units)} run by", tuple(filter(None, (owner,))))
    return Words("dry") if not ground or ground.startswith("firm") else Words(ground, why)


def _over_sill(overflow: OverflowAnswer, pool: int, site: Site) -> str:
    """Over which sill a pool spills, and into what where its way ends in something."""
    from gardenwater.overflow import End

    spill = overflow.spill
    level = text(spill.pools[pool].spill_level_m, Quantity.LEVEL_M, site.settings.units)
    number = next((number for number, route in enumerate(spill.routes) if route.over == pool), -1)
    while number >= 0 and spill.routes[number].end is End.JOINS:
        number = spill.routes[number].end_index
    end = spill.routes[number] if number >= 0 else None
    into = ""
    if end is not None and end.end is End.TAKER:
        into = f"into {name_of(site, overflow.takers[end.end_index])} "
    elif end is not None and end.end is End.POOL:
        into = "into the next pool "
    return f"spills {into}over a sill at {level}"


def _owners(site: Site, ids: list[str]) -> str:
    names = list(dict.fromkeys(name_of(site, owner) for owner in ids if owner))
    if not names:
        return ""
    return " and ".join(f"{name}’s" for name in names[:2]) + " water"
