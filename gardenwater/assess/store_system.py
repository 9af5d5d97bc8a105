"""The site as the balance sees it: tanks with their shapes and levels, links, pipes with their diverters, beds."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from gardenwater.assess.answers import ReachAnswer, TankChain
from gardenwater.balance import Feed, Gather, Pipe, Plot, Rules, Shape, Store, System
from gardenwater.catch import RoofPart, Wiring, led_aside, runs_of_mm
from gardenwater.demand import BedDays
from gardenwater.hydraulics import Line, flow_l_min
from gardenwater.site.model import Settings, Site
from gardenwater.site.things import Bed, Diverter, DiverterKind, FirstFlush, Link, Overflow, Tank, TankForm, Tap

_L = 1000.0
_LINK_K = 1.5
"""Entrance and exit of a link between two tanks."""
_LINK_ROUGHNESS_MM = 0.0015
_LEAST_LINK_M = 0.3
_HEADS = 40


@dataclass(frozen=True, slots=True)
class Service:
    """What a tank does for a bed by gravity: the least water level, m, and minutes for a litre; NaN for no way."""

    needed_level_m: float
    minutes_per_l: float


def services(site: Site, reach: ReachAnswer | None) -> tuple[tuple[Service, ...], ...]:
    """For each bed and each tank, in the site's order, what the tank does for it by gravity.

    Where the water now is too low for the bed, a litre is taken to come at the wanted flow once it stands high enough.
    """
    can_l, usual = site.settings.can_l, 1.0 / site.settings.line.wanted_l_min
    found = []
    for bed in site.of(Bed):
        row = []
        for tank in site.of(Tank):
            of_tank = reach.tank(tank.id) if reach is not None else None
            served = of_tank.bed(bed.id) if of_tank is not None else None
            if served is None or of_tank is None or not served.needed_level_m <= of_tank.overflow_level_m:
                row.append(Service(math.nan, math.nan))
                continue
            minutes = served.minutes_per_can / can_l
            row.append(Service(served.needed_level_m, usual if math.isnan(minutes) else minutes))
        found.append(tuple(row))
    return tuple(found)


def system_of(
    site: Site,
    chains: Sequence[TankChain],
    wires: Wiring,
    roof_parts: tuple[RoofPart, ...],
    served: Sequence[Sequence[Service]],
    days: Mapping[str, BedDays],
    taps: Mapping[str, float],
) -> System:
    """The site's store. served: see `services`. days: of each bed, by id. taps: level of each tap's mouth, by id."""
    floors = {chain.tank: _known(chain.floor_level_m, site.settings) for chain in chains}
    return System(
        tanks=tuple(_store(site, tank, floors[tank.id], wires, taps) for tank in site.of(Tank)),
        links=tuple(
            _pipe(link, floors, wires.tanks_of[link.id]) for link in site.of(Link) if link.id in wires.tanks_of
        ),
        gathers=gathers_of(site, wires, roof_parts),
        beds=tuple(_plot(bed, row, days[bed.id]) for bed, row in zip(site.of(Bed), served, strict=True)),
        rules=rules_of(site.settings),
    )


def rules_of(settings: Settings) -> Rules:
    """The rules of use, from the settings. Winter may run over new year."""
    first, last = round(settings.winter_from), round(settings.winter_to)
    months = range(first, last + 1) if first <= last else (*range(first, 13), *range(1, last + 1))
    return Rules(
        yield_rule=settings.yield_rule,
        tank_order=settings.tank_order,
        bed_order=settings.bed_order,
        cans_a_day=settings.cans_a_day,
        can_l=settings.can_l,
        minutes_a_can=settings.minutes_a_can,
        winter=tuple(months),
    )


def _known(floor_level_m: float, settings: Settings) -> float:
    """Off the ground a tank serves nothing by gravity, but it can be filled and carried from."""
    return settings.flat_level_m if math.isnan(floor_level_m) else floor_level_m


def shape_of(tank: Tank) -> Shape:
    """How much a tank holds at each height, up to its overflow; as `Tank.volume_at_m` has it."""
    make = Shape.lying if tank.form is TankForm.LYING else Shape.straight
    return make(tank.capacity_l / _L, tank.overflow_height_m)


def _store(site: Site, tank: Tank, floor_level_m: float, wires: Wiring, taps: Mapping[str, float]) -> Store:
    at_tank = [taps[tap.id] for tap in site.of(Tap) if wires.tank_of.get(tap.id) == tank.id and tap.id in taps]
    below = next((pipe.tank_below for pipe in site.of(Overflow) if wires.tank_of.get(pipe.id) == tank.id), "")
    return Store(
        id=tank.id,
        shape=shape_of(tank),
        floor_level_m=floor_level_m,
        rim_height_m=tank.overflow_height_m,
        outlet_height_m=tank.outlet_height_m,
        can_height_m=min(at_tank) - floor_level_m if at_tank else None,
        start_m3=tank.water_l / _L,
        open_m2=tank.footprint.area if tank.open_top else 0.0,
        leak_m3=tank.leak_l_day / _L,
        winter=tank.drained_in_winter,
        overflow_to=below if below != tank.id and site.get(below) is not None else "",
    )


def _pipe(link: Link, floors: Mapping[str, float], ends: tuple[str, str]) -> Pipe:
    """A link lies level from its first tank; it loses as a smooth pipe of its length does (Darcy-Weisbach)."""
    line = Line(bore_mm=link.bore_mm, roughness_mm=_LINK_ROUGHNESS_MM, fittings_k=_LINK_K)
    heads = np.concatenate(([0.0], np.geomspace(0.001, 10.0, _HEADS)))
    flows = np.asarray(flow_l_min(heads, max(link.shape.length, _LEAST_LINK_M), line)) / 60_000.0
    first, second = ends
    return Pipe(
        id=link.id,
        first=first,
        second=second,
        level_m=floors[first] + link.height_m,
        head_m=heads,
        flow_m3_s=flows,
        float_level_m=None if link.float_height_m is None else floors[second] + link.float_height_m,
    )


def gathers_of(site: Site, wires: Wiring, roof_parts: tuple[RoofPart, ...]) -> tuple[Gather, ...]:
    """Each downpipe: litres for a millimetre, first flush, and its diverters.

    All rain is taken to fall as hard as the settings' wet day does on average, its intensities spread exponentially
    about that, so that each diverter leads aside the same share of every rain (`catch.running.led_aside`).
    """
    settings = site.settings
    mm_min = settings.wet_day_mm / (60.0 * settings.wet_day_h)
    holds: dict[str, float] = {}
    for device in site.of(FirstFlush):
        pipe = wires.pipe_of.get(device.id, "")
        holds[pipe] = holds.get(pipe, 0.0) + device.keeps_l
    return tuple(
        Gather(
            id=pipe,
            m3_mm=l_mm / _L,
            first_flush_m3=holds.get(pipe, 0.0) / _L,
            feeds=_feeds(wires, wires.diverters_on(site, pipe), l_mm * mm_min),
        )
        for pipe, l_mm in runs_of_mm(site, roof_parts, wires).items()
    )


def _feeds(wires: Wiring, diverters: Sequence[Diverter], flow: float) -> tuple[Feed, ...]:
    """flow: what comes down the pipe, L/min on average."""
    if flow <= 0.0:
        return ()
    rates = led_aside(flow, diverters)
    found = []
    coming = flow
    for above, diverter in zip((None, *diverters), diverters, strict=False):
        share = rates[diverter.id] / coming if coming > 0.0 else 0.0
        found.append(
            Feed(
                id=diverter.id,
                tank=wires.tank_of[diverter.id],
                stops=diverter.form is DiverterKind.STOPS,
                share=share,
                share_after=share if above is None else _share_after(flow, diverters, above, diverter),
            )
        )
        coming -= rates[diverter.id]
    return tuple(found)


def _share_after(flow: float, diverters: Sequence[Diverter], above: Diverter, diverter: Diverter) -> float:
    """Of what a diverter lets pass once it has stopped, the share that the next leads aside."""
    open_rates = led_aside(flow, diverters)
    shut_rates = led_aside(flow, diverters, lambda each: each.id != above.id)
    passed = open_rates[above.id]
    more = shut_rates[diverter.id] - open_rates[diverter.id]
    return min(max(more / passed, 0.0), 1.0) if passed > 0.0 else 0.0


def _plot(bed: Bed, row: Sequence[Service], days: BedDays) -> Plot:
    return Plot(
        id=bed.id,
        area_m2=days.area_m2,
        needed_level_m=np.array([service.needed_level_m for service in row]),
        minutes_per_l=np.array([service.minutes_per_l for service in row]),
        days=days,
    )
