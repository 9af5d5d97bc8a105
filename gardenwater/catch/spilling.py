"""A wet day: what the tanks take, what leaves them and the pipes, and where. Every litre is accounted for."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

from gardenwater.catch.filling import Filling
from gardenwater.catch.leads import Wiring, wiring
from gardenwater.catch.running import Running, in_pipes, kept_of_one_rain, on_part
from gardenwater.catch.sharing import RoofPart, parts
from gardenwater.catch.skeleton import Place
from gardenwater.catch.vessels import vessels_of
from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Overflow, Roof, Tank

_L_PER_M3 = 1000.0
_LEAST_L = 1e-12  # a millionth of a millionth of a litre is rounding, not water
_DRIP_OUT_M = 0.3


class SpillWhy(StrEnum):
    """Why water is spilled."""

    TANK_FULL = "the tank is full"
    STOPPED = "the diverter stopped, its tank full"
    PASSED_BY = "more than the diverter leads aside"
    UNCAUGHT = "nobody catches the pipe"
    FILTER = "turned away by filters"
    EAVES = "drips off the eaves"
    TYPED = "typed in"
    GROUND = "rain on the ground"


@dataclass(frozen=True, slots=True, kw_only=True)
class SpillSource:
    """Water that is spilled onto the ground at one spot.

    at: x and y, m: the mouth of the overflow pipe of a tank or of a downpipe's foot (tank or foot where there is none),
    or the ground below eaves. owner: id of the tank, downpipe or roof. pipe: id of the overflow pipe, or empty. why:
    what most of it is from; parts: all of it by why, m3, summing to the volume.
    """

    at: Place
    volume_m3: float
    why: SpillWhy
    owner: str
    pipe: str = ""
    parts: tuple[tuple[SpillWhy, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RainAccount:
    """Every litre of a rain on the roofs, L.

    fallen_l = stays_l + first_flush_l + filter_l + taken_l + spilled_l + drained_l. stays_l: held by the roofs.
    filter_l: turned away by filters, onto the ground at the pipes' feet. taken_l: by the tanks. spilled_l: all else
    that reaches the ground. drained_l: into drains (filter losses of drained pipes with it).
    """

    fallen_l: float
    stays_l: float
    first_flush_l: float
    filter_l: float
    taken_l: float
    spilled_l: float
    drained_l: float

    @property
    def residual_l(self) -> float:
        """What is not accounted for: 0 but for rounding."""
        known = (self.stays_l, self.first_flush_l, self.filter_l, self.taken_l, self.spilled_l, self.drained_l)
        return self.fallen_l - math.fsum(known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Spills:
    """A wet day. sources: what is spilled, where and why; they sum to the account's spilled and filter litres.

    taken_l: what each tank takes; linked tanks share in proportion to the room they had.
    """

    sources: tuple[SpillSource, ...]
    taken_l: Mapping[str, float]
    account: RainAccount


def spills(
    site: Site,
    rain_mm: float,
    hours: float,
    *,
    ground: Ground | None = None,
    wires: Wiring | None = None,
    roof_parts: tuple[RoofPart, ...] | None = None,
) -> Spills:
    """What leaves tanks and pipes in a rain of `rain_mm` over `hours`, from the water the tanks hold now.

    Rain falls evenly over the hours (its intensities spread, see `running.led_aside`), first flush taken off. Tanks
    fill from the diverters together; a full tank turns off a diverter that stops by itself, so that the water goes on
    down its pipe, and spills what others keep feeding. Links make one vessel of their tanks (`vessels`); without
    `ground` their stands are taken to be on level ground. Nothing is drawn meanwhile.

    wires, roof_parts: from `wiring` and `parts`, where they are at hand.
    Raises InputError for a negative depth or hours that are not positive.
    """
    if not rain_mm >= 0 or not hours > 0:
        raise InputError("Rain needs a depth and a duration.", where="rain_mm, hours", mend="Give 24 mm in 6 h, say.")
    wires = wires or wiring(site)
    roof_parts = parts(site, wires=wires) if roof_parts is None else roof_parts
    running = in_pipes(site, roof_parts, wires, rain_mm, kept_of_one_rain)
    filling = Filling(site, wires, vessels_of(site, wires, ground), running, 60 * hours)
    filling.run()
    sources = [*_from_tanks(site, wires, filling), *_from_pipes(site, wires, filling)]
    sources.extend(_from_eaves(site, roof_parts, rain_mm))
    taken = filling.taken_by_tank()
    return Spills(
        sources=tuple(sources),
        taken_l=MappingProxyType(taken),
        account=_account(site, roof_parts, rain_mm, running, filling, sources, math.fsum(taken.values())),
    )


def _source(at: Place, owner: str, litres: dict[SpillWhy, float], pipe: str = "") -> SpillSource:
    shares = tuple((why, volume / _L_PER_M3) for why, volume in litres.items() if volume > _LEAST_L)
    return SpillSource(
        at=at,
        volume_m3=math.fsum(volume for _, volume in shares),
        why=max(shares, key=lambda share: share[1])[0],
        owner=owner,
        pipe=pipe,
        parts=shares,
    )


def _from_tanks(site: Site, wires: Wiring, filling: Filling) -> list[SpillSource]:
    found = []
    for vessel, spilled_l in zip(filling.vessels, filling.spilled_l, strict=True):
        if spilled_l <= _LEAST_L:
            continue
        tank = site.thing(vessel.spills_at, Tank)
        mouth = _mouth(site, wires, tank)
        if mouth is not None:
            found.append(_source(mouth.at, tank.id, {SpillWhy.TANK_FULL: spilled_l}, mouth.pipe))
    return found


class _Mouth(NamedTuple):
    """Where a tank's overflow comes out, and by which pipe (empty without one)."""

    at: Place
    pipe: str


def _mouth(site: Site, wires: Wiring, tank: Tank) -> _Mouth | None:
    """The mouth of a tank's overflow, or the tank without a pipe; None where it ends in a drain.

    A pipe that leads back into a downpipe lets its water go at that downpipe's foot.
    """
    pipe = wires.overflow_of(site, tank.id)
    if pipe is None:
        return _Mouth((tank.shape.x, tank.shape.y), "")
    back = site.get(pipe.back_to)
    if not isinstance(back, Downpipe):
        return _Mouth(_last(pipe), pipe.id)
    if back.drained:
        return None
    foot = wires.foot_of(site, back.id)
    return _Mouth(_last(foot), foot.id) if foot is not None else _Mouth((back.shape.x, back.shape.y), pipe.id)


def _last(pipe: Overflow) -> Place:
    x, y = pipe.shape.coords[-1][:2]
    return x, y


def typed_spills(site: Site, litres: Mapping[str, float], *, wires: Wiring | None = None) -> Spills:
    """Spills of so many litres from each of some tanks, by id, as if these had overflowed.

    In the account they stand as fallen and spilled. Raises InputError for litres under zero.
    """
    if not all(volume >= 0 for volume in litres.values()):
        raise InputError("Litres cannot be under zero.", where="litres", mend="Give 0 or more.")
    wires = wires or wiring(site)
    sources, drained = [], []
    for tank, volume in litres.items():
        mouth = _mouth(site, wires, site.thing(tank, Tank))
        if mouth is None:
            drained.append(volume)
        elif volume > _LEAST_L:
            sources.append(_source(mouth.at, tank, {SpillWhy.TYPED: volume}, mouth.pipe))
    spilled_l = math.fsum(source.volume_m3 for source in sources) * _L_PER_M3
    return Spills(
        sources=tuple(sources),
        taken_l=MappingProxyType({}),
        account=RainAccount(
            fallen_l=math.fsum(litres.values()),
            stays_l=0.0,
            first_flush_l=0.0,
            filter_l=0.0,
            taken_l=0.0,
            spilled_l=spilled_l,
            drained_l=math.fsum(drained),
        ),
    )


def _from_pipes(site: Site, wires: Wiring, filling: Filling) -> list[SpillSource]:
    found = []
    for pipe_id, water in filling.running.items():
        pipe = site.thing(pipe_id, Downpipe)
        litres = _rest_of(pipe_id, filling) | {SpillWhy.FILTER: water.filter_l}
        if not pipe.drained and max(litres.values()) > _LEAST_L:
            foot = wires.foot_of(site, pipe_id)
            x, y = foot.shape.coords[-1][:2] if foot is not None else (pipe.shape.x, pipe.shape.y)
            found.append(_source((x, y), pipe_id, litres, foot.id if foot is not None else ""))
    return found


def _rest_of(pipe: str, filling: Filling) -> dict[SpillWhy, float]:
    """What runs out at the foot of a pipe, by why."""
    rest_l, stopped_l = filling.rest_l[pipe], filling.stopped_l[pipe]
    if not filling.diverters[pipe]:
        return {SpillWhy.UNCAUGHT: rest_l}
    return {SpillWhy.STOPPED: stopped_l, SpillWhy.PASSED_BY: rest_l - stopped_l}


def _from_eaves(site: Site, roof_parts: tuple[RoofPart, ...], rain_mm: float) -> list[SpillSource]:
    found = []
    for part in roof_parts:
        if part.downpipe:
            continue
        litres = on_part(site.thing(part.roof, Roof), part.area_m2, rain_mm, filtered=False).runs_l
        at = part.foot[0] + _DRIP_OUT_M * part.outward[0], part.foot[1] + _DRIP_OUT_M * part.outward[1]
        if litres > _LEAST_L:
            found.append(_source(at, part.roof, {SpillWhy.EAVES: litres}))
    return found


def _account(
    site: Site,
    roof_parts: tuple[RoofPart, ...],
    rain_mm: float,
    running: Mapping[str, Running],
    filling: Filling,
    sources: list[SpillSource],
    taken_l: float,
) -> RainAccount:
    """The account, from what is reported: sources, tanks, and the rain on each part."""
    drained = {pipe for pipe in running if site.thing(pipe, Downpipe).drained}
    back = [
        spilled_l
        for vessel, spilled_l in zip(filling.vessels, filling.spilled_l, strict=True)
        if spilled_l > _LEAST_L and _mouth(site, filling.wires, site.thing(vessel.spills_at, Tank)) is None
    ]
    by_why: dict[SpillWhy, float] = defaultdict(float)
    for source in sources:
        for why, volume_m3 in source.parts:
            by_why[why] += volume_m3 * _L_PER_M3
    drips = [
        on_part(site.thing(part.roof, Roof), part.area_m2, rain_mm, filtered=False)
        for part in roof_parts
        if not part.downpipe
    ]
    return RainAccount(
        fallen_l=math.fsum(part.area_m2 for part in roof_parts) * rain_mm,
        stays_l=math.fsum(water.stays_l for water in (*running.values(), *drips)),
        first_flush_l=math.fsum(water.first_flush_l for water in running.values()),
        filter_l=by_why.pop(SpillWhy.FILTER, 0.0),
        taken_l=taken_l,
        spilled_l=math.fsum(by_why.values()),
        drained_l=math.fsum((*back, *(filling.rest_l[pipe] + running[pipe].filter_l for pipe in drained))),
    )
