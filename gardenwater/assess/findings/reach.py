"""Findings of Reach: each bed that is not served, or served by little, with the smallest change that mends it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from gardenwater.assess.answers import BedReach, ReachAnswer, Status, TankChain, TankReach
from gardenwater.assess.bed_change import BedChange, Carry, ChangeKind
from gardenwater.assess.findings.safety import HEAVY_KG, HIGH_STAND_M, LOW_STAND_M, compass_word, full_weight_kg
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, level_at
from gardenwater.site.fields import specs
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tank
from gardenwater.tables import table

SERVING_SHARE = 0.5
"""A bed that less than this share of a tank's litres serves is named: half, as for a proposed stand."""

_CENTIMETRES = 100
_CASES = {ChangeKind.MOVE: "move", ChangeKind.WIDER: "wider"}


def reach_findings(
    site: Site,
    answer: ReachAnswer,
    chains: Mapping[str, TankChain],
    changes: Mapping[str, BedChange] = MappingProxyType({}),
    carries: Mapping[str, Carry] = MappingProxyType({}),
) -> Iterator[Finding]:
    """One finding at most for each bed, about the tank that serves it best; how far cans are carried where none does.

    changes, carries: by bed, as `bed_changes.changes_of` finds them.
    """
    for bed in site.of(Bed):
        best = answer.bed(bed.id)
        if best is None:
            continue
        by_full = _best_when_full(bed, answer)
        if best.status is Status.SURE:
            yield from _by_level(site, best)
        elif best.status is Status.MARGINAL:
            yield _marginal(best)
        elif best.status is Status.SLOW:
            yield _slow(best, answer, changes.get(bed.id))
        elif by_full is not None:
            yield _waits(site, by_full)
        else:
            yield _out(site, bed, answer, chains, changes.get(bed.id))
        if bed.id in carries:
            yield _carried(carries[bed.id])


def _best_when_full(bed: Bed, answer: ReachAnswer) -> BedReach | None:
    """What the tank does that comes nearest to the bed today, of those that would reach it when full."""
    rows = [row for tank in answer.tanks if (row := tank.bed(bed.id)) is not None and _reached_full(tank, row)]
    return min(rows, key=lambda row: row.too_high_m, default=None)


def _reached_full(tank: TankReach, row: BedReach) -> bool:
    return row.needed_level_m <= tank.overflow_level_m  # False for NaN: no way leads there


def _by_level(site: Site, row: BedReach) -> Iterator[Finding]:
    tank = site.thing(row.tank, Tank)
    usable_l = tank.capacity_l - tank.volume_at_m(tank.outlet_height_m)
    if row.usable_full_l < SERVING_SHARE * usable_l:
        numbers = {
            "needed_l": tank.capacity_l - row.usable_full_l,
            "usable_full_l": row.usable_full_l,
            "capacity_l": tank.capacity_l,
        }
        yield made("reach.bed-by-level", row.bed, others=(tank.id,), numbers=numbers, at=row.at)


def _marginal(row: BedReach) -> Finding:
    numbers = {"margin_m": row.margin_m, "too_high_m": row.too_high_m, "error_m": row.error_m}
    case = "within" if row.margin_m >= 0 else "short"
    return made("reach.bed-marginal", row.bed, others=(row.tank,), case=case, numbers=numbers, at=row.at)


def _slow(row: BedReach, answer: ReachAnswer, change: BedChange | None) -> Finding:
    reach = answer.tank(row.tank)
    wanted = reach.line.flow_l_min if reach is not None else math.nan
    numbers = {"wanted_l_min": wanted, "distance_m": row.distance_m}
    words, case = {}, ""
    if change is not None and change.kind is ChangeKind.WIDER:
        words, case = {"bore": _bore_word(change)}, "wider"
    return made("reach.bed-slow", row.bed, others=(row.tank,), case=case, numbers=numbers, words=words, at=row.at)


def _bore_word(change: BedChange) -> str:
    name = table("line_bores").row(change.bore).name
    return name[:1].lower() + name[1:] if not name[:2].isupper() else name


def _carried(carry: Carry) -> Finding:
    numbers = {"distance_m": carry.distance_m}
    return made("cans.carry", carry.bed, others=(carry.source,), numbers=numbers, stake=carry.distance_m)


def _waits(site: Site, row: BedReach) -> Finding:
    tank = site.thing(row.tank, Tank)
    numbers = {
        "too_high_m": row.too_high_m,
        "needed_l": tank.capacity_l - row.usable_full_l,
        "water_l": tank.water_l,
        "capacity_l": tank.capacity_l,
    }
    return made("reach.bed-waits", row.bed, others=(tank.id,), numbers=numbers, at=row.at, stake=row.too_high_m)


def _out(
    site: Site, bed: Bed, answer: ReachAnswer, chains: Mapping[str, TankChain], change: BedChange | None
) -> Finding:
    """No tank reaches it, not even full: the tank that is short of it by least, and what would help."""
    rows = [(tank, row) for tank in answer.tanks if (row := tank.bed(bed.id)) is not None]
    ways = [(row.needed_level_m - tank.overflow_level_m, tank, row) for tank, row in rows]
    ways = [way for way in ways if not math.isnan(way[0])]
    if not ways:
        return _no_way(bed, answer.ground, rows)
    short, reach, row = min(ways, key=lambda way: (way[0], way[1].tank))
    tank = site.thing(reach.tank, Tank)
    stand_m = _serving_stand_m(tank, reach, row)
    feed_short = _inlet_over_feed(chains[tank.id], stand_m - tank.stand_height_m)
    numbers = {
        "too_high_m": short,
        "needed_level_m": row.needed_level_m,
        "full_level_m": reach.overflow_level_m,
        "stand_m": stand_m,
        "feed_short_m": feed_short,
    }
    case = _case(tank, stand_m, feed_short)
    if case != "raise-stand" and change is not None:
        return _out_by_change(site, bed, answer, change)
    return made("reach.bed-out", bed.id, others=(tank.id,), case=case, numbers=numbers, at=row.at, stake=short)


def _out_by_change(site: Site, bed: Bed, answer: ReachAnswer, change: BedChange) -> Finding:
    """The same about the tank that the smallest change is to."""
    reach = answer.tank(change.tank)
    row = None if reach is None else reach.bed(bed.id)
    assert reach is not None
    assert row is not None
    short = row.needed_level_m - reach.overflow_level_m
    numbers = {
        "too_high_m": max(short, row.too_high_m),
        "needed_level_m": row.needed_level_m,
        "full_level_m": reach.overflow_level_m,
    }
    words: dict[str, str] = {}
    if change.kind is ChangeKind.WIDER:
        words = {"bore": _bore_word(change)}
    elif change.at is not None:
        tank = site.thing(change.tank, Tank)
        numbers["moved_m"] = change.moved_m
        words = {"where": compass_word(change.at[0] - tank.shape.x, change.at[1] - tank.shape.y)}
    stake = numbers["too_high_m"]
    case = _CASES[change.kind]
    return made(
        "reach.bed-out", bed.id, others=(change.tank,), case=case, numbers=numbers, words=words, at=row.at, stake=stake
    )


def _serving_stand_m(tank: Tank, reach: TankReach, row: BedReach) -> float:
    """The stand, to the next centimetre, with which SERVING_SHARE of what the outlet gives stands above the need."""
    dead_l = tank.volume_at_m(tank.outlet_height_m)
    serving_m = tank.height_at_l(dead_l + (1 - SERVING_SHARE) * (tank.capacity_l - dead_l))
    stand_m = tank.stand_height_m + row.needed_level_m - (reach.floor_level_m + serving_m)
    return math.ceil(stand_m * _CENTIMETRES - 1e-6) / _CENTIMETRES


def _case(tank: Tank, stand_m: float, feed_short_m: float) -> str:
    """Whether raising the stand is a mend: in range, with the feed still above the inlet, and not unsafe by itself."""
    if stand_m > specs(Tank)["stand_height_m"].most:
        return "too-high"
    if feed_short_m > 0:
        return "feed-low"
    heavy = full_weight_kg(tank) > HEAVY_KG
    return "raise-high" if stand_m > (LOW_STAND_M if heavy else HIGH_STAND_M) else "raise-stand"


def _inlet_over_feed(chain: TankChain, raised_m: float) -> float:
    """How far the inlet of a raised tank would stand above its lowest diverter; 0 where it stays below all."""
    falls = [feed.fall_m - raised_m for feed in chain.feeds if not math.isnan(feed.fall_m)]
    return max(0.0, -min(falls, default=0.0))


def _no_way(bed: Bed, ground: Ground, rows: list[tuple[TankReach, BedReach]]) -> Finding:
    at = rows[0][1].at if rows else (bed.shape.representative_point().x, bed.shape.representative_point().y)
    case = "no-level" if math.isnan(level_at(ground, *at)) else "barred"
    return made("reach.bed-out", bed.id, case=case, at=at)
