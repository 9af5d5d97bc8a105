"""Findings of what is built to carry, hold and end spilled water: pipes, ditches, swales, soakaways, spillways."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely

from gardenwater.assess.answers import OverflowAnswer
from gardenwater.assess.event import event_of
from gardenwater.assess.pipes import pipe_carries_m3_s, pipe_fall_m
from gardenwater.assess.takers import soak_m_h, soakaway_room_m3, swale_room_m3, swale_whole_m3
from gardenwater.assess.water import LEAST_L
from gardenwater.catch import Wiring, capacities
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import levels_at
from gardenwater.hydraulics import (
    DITCH_N,
    GRASS_N,
    HALF_EMPTY_H,
    LEAST_SOAK_M_S,
    Section,
    channel_m3_s,
    grass_bears_m_s,
    half_empty_h,
    manning_m_s,
    normal_depth_m,
    soakaway_outflow_m3_s,
    weir_head_m,
)
from gardenwater.overflow import End
from gardenwater.site.model import Site
from gardenwater.site.things import Ditch, Diverter, DiverterKind, Downpipe, Overflow, Pond, Soakaway, Swale, Tank

SWALE_SIDES, DITCH_SIDES = 3.0, 1.5
"""How far the sides go out for each metre up: swale guides 1 in 3 to 1 in 4; a ditch in firm soil (common practice)."""
HELD_SHARE = 0.7
"""A swale that holds less of what it could is told to lie off the contour: judgement, no source."""

_L = 1000.0


def drain_findings(site: Site, answer: OverflowAnswer, wires: Wiring) -> Iterator[Finding]:
    """What cannot carry, hold or pass on what comes to it."""
    yield from _pipes(site, answer, wires)
    for number, taker in enumerate(answer.takers):
        thing = site.get(taker)
        if isinstance(thing, Ditch):
            yield from _channel(thing, answer, number, DITCH_SIDES, DITCH_N)
        elif isinstance(thing, Swale):
            yield from _channel(thing, answer, number, SWALE_SIDES, GRASS_N)
            yield from _contour(thing, answer)
        elif isinstance(thing, Soakaway):
            yield from _soakaway(thing, site)
        elif isinstance(thing, Pond):
            yield from _spillway(thing, answer, number)
    yield from _without_end(site, answer)


def _pipes(site: Site, answer: OverflowAnswer, wires: Wiring) -> Iterator[Finding]:
    pipes = capacities(site, wires=wires).pipes
    for tank in site.of(Tank):
        pipe = wires.overflow_of(site, tank.id)
        if pipe is None:
            continue
        fed = [diverter for diverter in site.of(Diverter) if wires.tank_of.get(diverter.id) == tank.id]
        inlet_mm = math.sqrt(sum(_inlet_mm(site, wires, diverter) ** 2 for diverter in fed))
        if inlet_mm > pipe.bore_mm:
            numbers = {"bore_mm": pipe.bore_mm, "inlet_mm": inlet_mm}
            stake = inlet_mm - pipe.bore_mm
            yield made("overflow.pipe-narrow", pipe.id, others=(tank.id,), numbers=numbers, stake=stake)
        most_l_s = 0.0
        for diverter in fed:
            sends = pipes.get(wires.pipe_of.get(diverter.id, ""))
            sent_l_s = sends.sends_l_s if sends is not None else 0.0
            whole = diverter.form is DiverterKind.WHOLE_PIPE
            most_l_s += sent_l_s if whole else min(sent_l_s, diverter.most_l_min / 60.0)
        carries_l_s = pipe_carries_m3_s(answer.ground, pipe, tank) * _L
        if most_l_s > carries_l_s:
            yield _pipe_too_small(pipe, tank, answer, carries_l_s, most_l_s)


def _inlet_mm(site: Site, wires: Wiring, diverter: Diverter) -> float:
    """Bore of what feeds a tank: the feeder, or the downpipe that is led into it whole."""
    if diverter.form is not DiverterKind.WHOLE_PIPE:
        return diverter.feeder_bore_mm
    pipe = site.get(wires.pipe_of.get(diverter.id, ""))
    return pipe.bore_mm if isinstance(pipe, Downpipe) else diverter.feeder_bore_mm


def _pipe_too_small(
    pipe: Overflow, tank: Tank, answer: OverflowAnswer, carries_l_s: float, sends_l_s: float
) -> Finding:
    numbers = {
        "carries_l_s": carries_l_s,
        "sends_l_s": sends_l_s,
        "fall_m": pipe_fall_m(answer.ground, pipe, tank),
        "length_m": pipe.shape.length,
    }
    stake = sends_l_s - carries_l_s
    return made("overflow.pipe-too-small", pipe.id, others=(tank.id,), numbers=numbers, stake=stake)


def _channel(thing: Swale | Ditch, answer: OverflowAnswer, number: int, sides: float, n: float) -> Iterator[Finding]:
    """Whether a channel carries what comes to it at the event's end, and slowly enough for grass."""
    flow_l_s = sum(
        route.flow_end_l_s for route in answer.spill.routes if route.end is End.TAKER and route.end_index == number
    )
    level_m = _levels_along(thing, answer)
    fall_m = float(abs(level_m[0] - level_m[-1]))
    fall = fall_m / thing.shape.length
    if flow_l_s <= 0.0 or not fall > 0.0:
        return
    # narrow and deep, its sides are as steep as its width lets them be
    sides = min(sides, thing.width_m / (2.0 * thing.depth_m))
    section = Section(bed_m=thing.width_m - 2.0 * sides * thing.depth_m, sides=sides)
    carries_l_s = channel_m3_s(section, depth_m=thing.depth_m, fall=fall, n=n) * _L
    if isinstance(thing, Ditch) and flow_l_s > carries_l_s:
        numbers = {
            "carries_l_s": carries_l_s,
            "sends_l_s": flow_l_s,
            "fall_m": fall_m,
            "length_m": thing.shape.length,
            "depth_m": thing.depth_m,
        }
        yield made("overflow.ditch-too-small", thing.id, numbers=numbers, stake=flow_l_s - carries_l_s)
    depth_m = min(normal_depth_m(section, flow_m3_s=flow_l_s / _L, fall=fall, n=n), thing.depth_m)
    speed_m_s, bears_m_s = manning_m_s(section, depth_m=depth_m, fall=fall, n=n), grass_bears_m_s(fall)
    if speed_m_s > bears_m_s:
        numbers = {"speed_m_s": speed_m_s, "bears_m_s": bears_m_s}
        yield made("overflow.washes-out", thing.id, numbers=numbers, stake=flow_l_s)


def _levels_along(thing: Swale | Ditch, answer: OverflowAnswer) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    along_m = np.linspace(0.0, thing.shape.length, 33)
    spots = shapely.get_coordinates(shapely.line_interpolate_point(thing.shape, along_m))
    return np.asarray(levels_at(answer.ground, spots[:, 0], spots[:, 1]), dtype=np.float64)


def _contour(swale: Swale, answer: OverflowAnswer) -> Iterator[Finding]:
    level_m = _levels_along(swale, answer)
    if np.isnan(level_m).any():
        return
    room_m3, whole_m3 = swale_room_m3(swale, answer.ground), swale_whole_m3(swale)
    if room_m3 >= HELD_SHARE * whole_m3:
        return
    x, y = swale.shape.interpolate(float(np.argmin(level_m)) / 32.0, normalized=True).coords[0]
    numbers = {
        "room_l": room_m3 * _L,
        "whole_l": whole_m3 * _L,
        "fall_m": float(np.ptp(level_m)),
        "depth_m": swale.depth_m,
    }
    yield made("overflow.swale-off-contour", swale.id, numbers=numbers, at=(x, y), stake=(whole_m3 - room_m3) * _L)


def _soakaway(soakaway: Soakaway, site: Site) -> Iterator[Finding]:
    soak_m_s = soak_m_h(soakaway, event_of(site).soak_mm_h / 1000.0) / 3600.0
    outflow_m3_s = soakaway_outflow_m3_s(perimeter_m=soakaway.shape.length, depth_m=soakaway.depth_m, soak_m_s=soak_m_s)
    half_h = half_empty_h(stored_m3=soakaway_room_m3(soakaway), outflow_m3_s=outflow_m3_s)
    stake = soakaway_room_m3(soakaway) * _L
    if soak_m_s < LEAST_SOAK_M_S:
        numbers = {"soak_mm_h": soak_m_s * 3.6e6, "least_mm_h": LEAST_SOAK_M_S * 3.6e6}
        yield made("overflow.soakaway-slow", soakaway.id, case="tight", numbers=numbers, stake=stake)
    elif half_h > HALF_EMPTY_H:
        numbers = {"half_h": half_h, "limit_h": HALF_EMPTY_H}
        yield made("overflow.soakaway-slow", soakaway.id, case="slow", numbers=numbers, stake=stake)


def _spillway(pond: Pond, answer: OverflowAnswer, number: int) -> Iterator[Finding]:
    """Whether what runs over stands higher in the spillway than it is deep."""
    flow_l_s = max((route.flow_l_s for route in answer.spill.routes if route.out_of == number), default=0.0)
    if pond.spillway_width_m is None or flow_l_s <= 0.0:
        return
    head_m = weir_head_m(width_m=pond.spillway_width_m, flow_m3_s=flow_l_s / _L)
    if head_m > pond.spillway_depth_m:
        numbers = {
            "head_m": head_m,
            "sends_l_s": flow_l_s,
            "width_m": pond.spillway_width_m,
            "depth_m": pond.spillway_depth_m,
        }
        yield made("overflow.spillway-small", pond.id, numbers=numbers, stake=flow_l_s)


def _without_end(site: Site, answer: OverflowAnswer) -> Iterator[Finding]:
    """Takers that took more than they hold, for want of a way on, and pipes that lead round in a ring."""
    hours = event_of(site).hours
    for number, (taker, taken) in enumerate(zip(answer.takers, answer.spill.taken, strict=True)):
        holds_m3 = answer.rooms_m3[number][0] + answer.rooms_m3[number][1] * hours
        over_l = (taken.volume_m3 - holds_m3) * _L
        if over_l >= LEAST_L:
            yield made("overflow.no-end", taker, case="taker", numbers={"over_l": over_l}, stake=over_l)
    for pipe in site.of(Overflow):
        if _in_ring(site, pipe):
            yield made("overflow.no-end", pipe.id, others=(pipe.taker,), case="pipe")


def _in_ring(site: Site, pipe: Overflow) -> bool:
    """Whether what a pipe leads into is led back into where the pipe begins."""
    seen, at = set[str](), pipe
    while at.from_taker and at.taker and at.id not in seen:
        seen.add(at.id)
        if at.taker == pipe.from_taker:
            return True
        onward = next((each for each in site.of(Overflow) if each.from_taker == at.taker), None)
        if onward is None:
            return False
        at = onward
    return False
