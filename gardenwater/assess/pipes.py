"""Overflow pipes: how much they fall, what they carry, and what of the water does not go through."""

from __future__ import annotations

import math
from dataclasses import replace

from gardenwater.catch import SpillSource
from gardenwater.ground import Ground, level_at
from gardenwater.hydraulics import full_pipe_m3_s
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Overflow, Tank

_LEAST_LENGTH_M = 0.1


def pipe_fall_m(ground: Ground, pipe: Overflow, tank: Tank | None) -> float:
    """How far a pipe falls from where it takes water to its mouth, m; NaN where a level is not known.

    From a tank: its overflow to the ground at the mouth. Else from the ground at its first point.
    """
    (first_x, first_y), (last_x, last_y) = pipe.shape.coords[0][:2], pipe.shape.coords[-1][:2]
    mouth_m = level_at(ground, last_x, last_y)
    if tank is None:
        return level_at(ground, first_x, first_y) - mouth_m
    floor_m = level_at(ground, tank.shape.x, tank.shape.y) + tank.stand_height_m
    return floor_m + tank.overflow_height_m - mouth_m


def pipe_carries_m3_s(ground: Ground, pipe: Overflow, tank: Tank | None) -> float:
    """What a pipe carries full, m3/s (Colebrook-White, see `hydraulics.full_pipe_m3_s`); NaN where it does not fall."""
    fall_m = pipe_fall_m(ground, pipe, tank)
    if not fall_m > 0.0:
        return math.nan
    return full_pipe_m3_s(bore_mm=pipe.bore_mm, fall=fall_m / max(pipe.shape.length, _LEAST_LENGTH_M))


def through_pipe(site: Site, ground: Ground, source: SpillSource, hours: float) -> tuple[SpillSource, ...]:
    """A source as its pipe lets it through: at the mouth what the pipe carries, the rest where the water came from.

    Flows are means over the event's hours. A pipe without a fall that is known takes all.
    """
    pipe, owner = site.get(source.pipe), site.get(source.owner)
    if not isinstance(pipe, Overflow) or not isinstance(owner, Tank | Downpipe):
        return (source,)
    tank = owner if isinstance(owner, Tank) else None
    carries_m3 = pipe_carries_m3_s(ground, pipe, tank) * hours * 3600.0
    if not source.volume_m3 > carries_m3 or math.isnan(level_at(ground, owner.shape.x, owner.shape.y)):
        return (source,)
    share = carries_m3 / source.volume_m3
    return _part(source, share), replace(_part(source, 1.0 - share), at=(owner.shape.x, owner.shape.y), pipe="")


def _part(source: SpillSource, share: float) -> SpillSource:
    parts = tuple((why, volume * share) for why, volume in source.parts)
    return replace(source, volume_m3=source.volume_m3 * share, parts=parts)
