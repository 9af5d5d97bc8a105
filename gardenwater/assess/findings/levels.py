"""Findings of the chain of levels. Each break is one finding, with its gap."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.catch import Wiring
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, level_at
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, Link, Overflow, Tank, Tap

LEAST_GAP_M = 0.005
"""Shown heights go to the centimetre: a smaller gap is none."""

LEAST_FEEDER_FALL = 0.01
"""Fall over length of a feeder: 1 in 100, common practice, no source."""


def level_findings(site: Site, ground: Ground, chains: tuple[TankChain, ...], wires: Wiring) -> Iterator[Finding]:
    """What breaks the way of the water from the eaves to the tap."""
    by_tank = {chain.tank: chain for chain in chains}
    for tank in site.of(Tank):
        yield from _water(tank, by_tank[tank.id])
        for feed in by_tank[tank.id].feeds:
            yield from _feed(site, tank, by_tank[tank.id], feed)
    for tap in site.of(Tap):
        if (tank_id := wires.tank_of.get(tap.id, "")) in by_tank:
            yield from _tap(tap, site.thing(tank_id, Tank), by_tank[tank_id], ground)
    for link in site.of(Link):
        if link.id in wires.tanks_of:
            yield from _link(link, *(by_tank[tank_id] for tank_id in wires.tanks_of[link.id]))
    for pipe in site.of(Overflow):
        if (tank_id := wires.tank_of.get(pipe.id, "")) in by_tank:
            yield from _overflow_pipe(pipe, by_tank[tank_id], ground)


def up_to_cm(height_m: float) -> float:
    """A height to the next whole centimetre: what is measured out on the spot."""
    return math.ceil(height_m * 100 - 1e-6) / 100


def _water(tank: Tank, chain: TankChain) -> Iterator[Finding]:
    """A tank that holds water, none of which its outlet gives."""
    gap = chain.outlet_level_m - chain.water_level_m
    if tank.water_l > 0 and gap > LEAST_GAP_M:
        numbers = {"gap_m": gap, "water_l": tank.water_l}
        yield made("levels.water-below-outlet", tank.id, numbers=numbers, stake=tank.water_l)


def _feed(site: Site, tank: Tank, chain: TankChain, feed: Feed) -> Iterator[Finding]:
    """One diverter: under the eaves, over the inlet, and over the tank's overflow (a drowned inlet works)."""
    diverter = site.thing(feed.diverter, Diverter)
    over_eaves = feed.diverter_level_m - feed.eaves_level_m
    if over_eaves > LEAST_GAP_M:
        numbers = {
            "gap_m": over_eaves,
            "diverter_level_m": feed.diverter_level_m,
            "eaves_level_m": feed.eaves_level_m,
        }
        yield made("levels.diverter-above-eaves", diverter.id, others=(feed.roof,), numbers=numbers, stake=over_eaves)
    if feed.fall_m < -LEAST_GAP_M:
        gap = -feed.fall_m
        yield made(
            "levels.inlet-above-diverter",
            tank.id,
            others=(diverter.id,),
            case="lower-stand" if tank.stand_height_m >= gap + LEAST_FEEDER_FALL * feed.length_m else "move-diverter",
            numbers={
                "gap_m": gap,
                "diverter_level_m": feed.diverter_level_m,
                "inlet_level_m": chain.inlet_level_m,
                "mend_m": up_to_cm(gap + LEAST_FEEDER_FALL * feed.length_m),
                "length_m": feed.length_m,
            },
            stake=gap,
        )
    elif (short := chain.overflow_level_m - feed.diverter_level_m) > LEAST_GAP_M:
        fills_l = tank.volume_at_m(feed.diverter_level_m - chain.floor_level_m)
        mend = up_to_cm(short)
        numbers = {"gap_m": short, "fills_l": fills_l, "capacity_l": tank.capacity_l, "mend_m": mend}
        stake = tank.capacity_l - fills_l
        yield made("levels.overflow-above-diverter", tank.id, others=(diverter.id,), numbers=numbers, stake=stake)
    elif feed.fall_m < LEAST_FEEDER_FALL * feed.length_m:
        mend = up_to_cm(LEAST_FEEDER_FALL * feed.length_m - max(feed.fall_m, 0.0))
        numbers = {"fall_m": max(feed.fall_m, 0.0), "length_m": feed.length_m, "mend_m": mend}
        yield made("levels.feeder-falls-little", tank.id, others=(diverter.id,), numbers=numbers)


def _tap(tap: Tap, tank: Tank, chain: TankChain, ground: Ground) -> Iterator[Finding]:
    tap_level = level_at(ground, tap.shape.x, tap.shape.y) + tap.height_m
    over_overflow = tap_level - chain.overflow_level_m
    over_outlet = tap_level - chain.outlet_level_m
    if over_overflow > -LEAST_GAP_M:
        gap = max(over_overflow, 0.0)
        yield made("levels.tap-above-water", tap.id, others=(tank.id,), numbers={"gap_m": gap}, stake=tank.capacity_l)
    elif over_outlet > LEAST_GAP_M:
        needed_l = tank.volume_at_m(tap_level - chain.floor_level_m)
        numbers = {"needed_l": needed_l, "gap_m": over_outlet}
        yield made("levels.tap-high", tap.id, others=(tank.id,), numbers=numbers, stake=needed_l)


def _link(link: Link, first: TankChain, second: TankChain) -> Iterator[Finding]:
    """A link passes only what stands above it in both tanks; it lies level from the first one."""
    level = first.floor_level_m + link.height_m
    lower = min((first, second), key=lambda chain: chain.overflow_level_m)
    gap = level - lower.overflow_level_m
    if gap > -LEAST_GAP_M:
        yield made("levels.link-dry", link.id, others=(lower.tank,), numbers={"gap_m": max(gap, 0.0)})


def _overflow_pipe(pipe: Overflow, chain: TankChain, ground: Ground) -> Iterator[Finding]:
    x, y = pipe.shape.coords[-1][:2]
    mouth = level_at(ground, x, y)
    gap = mouth - chain.overflow_level_m
    if gap > LEAST_GAP_M:
        numbers = {"gap_m": gap, "mouth_level_m": mouth, "overflow_level_m": chain.overflow_level_m}
        yield made("levels.overflow-pipe-climbs", pipe.id, others=(chain.tank,), numbers=numbers, at=(x, y), stake=gap)
