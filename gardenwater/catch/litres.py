"""What the roofs yield: litres for each pipe, diverter, gutter and tank, in one rain or in a year."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from gardenwater.catch.leads import Wiring, wiring
from gardenwater.catch.running import Running, in_pipes, kept_of_one_rain, led_aside, on_part
from gardenwater.catch.sharing import RoofPart, assumed_words, parts
from gardenwater.errors import InputError
from gardenwater.site.model import Site
from gardenwater.site.things import FirstFlush, Roof
from gardenwater.units import Quantity, text

MEAN_RAIN_MM = 8.0
"""Mean depth of the single rains of a year, mm: common in temperate climates (5 to 12 mm; from memory, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PipeYield:
    """What one downpipe gets, L: fallen_l = stays_l + filter_l + first_flush_l + led_l + rest_l.

    area_m2: its part of the roofs' plan. led_l: what its diverters lead aside. rest_l: what runs out at its foot.
    """

    area_m2: float
    fallen_l: float
    stays_l: float
    filter_l: float
    first_flush_l: float
    led_l: float
    rest_l: float

    @property
    def runs_l(self) -> float:
        """What runs down the pipe: led aside and the rest."""
        return self.led_l + self.rest_l


@dataclass(frozen=True, slots=True, kw_only=True)
class Yields:
    """What a depth of rain yields, L; tanks are taken to have room (see `spills` for what they have).

    hours: how long it rains. pipes: by downpipe. diverters, tanks: what is led aside by each diverter and to each tank.
    gutters: what each drawn gutter gathers. eaves: what drips off each roof where no gutter is. notices: what was taken
    for granted, one sentence each.
    """

    rain_mm: float
    hours: float
    pipes: Mapping[str, PipeYield]
    diverters: Mapping[str, float]
    tanks: Mapping[str, float]
    gutters: Mapping[str, float]
    eaves: Mapping[str, float]
    fallen_l: float
    stays_l: float
    notices: tuple[str, ...] = ()

    @property
    def led_l(self) -> float:
        """What is led to tanks, L."""
        return math.fsum(self.tanks.values())

    @property
    def filter_l(self) -> float:
        """What filters turn away, L."""
        return math.fsum(pipe.filter_l for pipe in self.pipes.values())

    @property
    def first_flush_l(self) -> float:
        """What first-flush devices keep back, L."""
        return math.fsum(pipe.first_flush_l for pipe in self.pipes.values())

    @property
    def rest_l(self) -> float:
        """What runs out at the feet of the pipes, L."""
        return math.fsum(pipe.rest_l for pipe in self.pipes.values())

    @property
    def eaves_l(self) -> float:
        """What drips off eaves, L."""
        return math.fsum(self.eaves.values())

    @property
    def residual_l(self) -> float:
        """Rain on the roofs less all that is accounted for: 0 but for rounding."""
        known = (self.stays_l, self.filter_l, self.first_flush_l, self.led_l, self.rest_l, self.eaves_l)
        return self.fallen_l - math.fsum(known)


def yields(
    site: Site,
    rain_mm: float,
    *,
    hours: float | None = None,
    wires: Wiring | None = None,
    roof_parts: tuple[RoofPart, ...] | None = None,
) -> Yields:
    """What one rain of `rain_mm` in `hours` (the settings' wet day's hours) yields.

    Each first-flush device starts empty. wires, roof_parts: from `wiring` and `parts`, where they are at hand.
    Raises InputError for a negative depth or hours that are not positive.
    """
    hours = site.settings.wet_day_h if hours is None else hours
    if not rain_mm >= 0 or not hours > 0:
        raise InputError("Rain needs a depth and a duration.", where="rain_mm, hours", mend="Give 24 mm in 6 h, say.")
    wires = wires or wiring(site)
    roof_parts = parts(site, wires=wires) if roof_parts is None else roof_parts
    return _worked_out(site, roof_parts, wires, rain_mm, hours, kept_of_one_rain, ())


def year_yields(
    site: Site, *, wires: Wiring | None = None, roof_parts: tuple[RoofPart, ...] | None = None
) -> Yields | None:
    """What the settings' rain of a year yields; None where it is not given.

    A year is many rains. Their depths are taken as spread exponentially about a mean of 8 mm (the usual form in
    analytic runoff models, Adams and Papa 2000; from memory), so a device that holds as much as k mm of rain bring to
    it keeps back 1 - exp(-k / 8 mm) of all, emptied between rains. For what diverters can pass, all of it is taken to
    fall as hard as the settings' wet day does on average.
    """
    settings = site.settings
    if settings.rain_year_mm is None:
        return None
    wires = wires or wiring(site)
    roof_parts = parts(site, wires=wires) if roof_parts is None else roof_parts
    rain_mm, hours = settings.rain_year_mm, settings.rain_year_mm * settings.wet_day_h / settings.wet_day_mm

    def kept(running: Running, holds_l: float) -> float:
        one_rain_l = running.runs_l * MEAN_RAIN_MM / rain_mm if rain_mm > 0 else 0.0
        return -running.runs_l * math.expm1(-holds_l / one_rain_l) if one_rain_l > 0 else 0.0

    hard = text(settings.wet_day_mm / settings.wet_day_h, Quantity.RAIN_MM, settings.units)
    notices = [f"Rain is taken to fall at {hard} an hour on average."]
    if any(wires.pipe_of.get(device.id) for device in site.of(FirstFlush)):
        mean = text(MEAN_RAIN_MM, Quantity.RAIN_MM, settings.units)
        notices.append(f"First flushes of a year are those of rains of {mean} on average.")
    return _worked_out(site, roof_parts, wires, rain_mm, hours, kept, tuple(notices))


def _worked_out(
    site: Site,
    roof_parts: tuple[RoofPart, ...],
    wires: Wiring,
    rain_mm: float,
    hours: float,
    kept: Callable[[Running, float], float],
    notices: tuple[str, ...],
) -> Yields:
    minutes = 60 * hours
    running = in_pipes(site, roof_parts, wires, rain_mm, kept)
    diverters: dict[str, float] = {}
    pipes: dict[str, PipeYield] = {}
    tanks: dict[str, float] = defaultdict(float)
    for pipe, water in running.items():
        on_pipe = wires.diverters_on(site, pipe)
        rates = led_aside(water.runs_l / minutes if minutes else 0.0, on_pipe)
        led = {diverter: rate * minutes for diverter, rate in rates.items()}
        diverters.update(led)
        for diverter, litres in led.items():
            tanks[wires.tank_of[diverter]] += litres
        pipes[pipe] = _pipe_yield(water, math.fsum(led.values()))
    eaves: dict[str, float] = defaultdict(float)
    fallen, stays = [water.fallen_l for water in running.values()], [water.stays_l for water in running.values()]
    for part in roof_parts:
        if not part.downpipe:
            dripping = on_part(site.thing(part.roof, Roof), part.area_m2, rain_mm, filtered=False)
            eaves[part.roof] += dripping.runs_l
            fallen.append(dripping.fallen_l)
            stays.append(dripping.stays_l)
    return Yields(
        rain_mm=rain_mm,
        hours=hours,
        pipes=MappingProxyType(pipes),
        diverters=MappingProxyType(diverters),
        tanks=MappingProxyType(dict(tanks)),
        gutters=MappingProxyType(_gathered(site, roof_parts, rain_mm)),
        eaves=MappingProxyType(dict(eaves)),
        fallen_l=math.fsum(fallen),
        stays_l=math.fsum(stays),
        notices=(*assumed_words(site, roof_parts), *notices),
    )


def _pipe_yield(water: Running, led_l: float) -> PipeYield:
    return PipeYield(
        area_m2=water.area_m2,
        fallen_l=water.fallen_l,
        stays_l=water.stays_l,
        filter_l=water.filter_l,
        first_flush_l=water.first_flush_l,
        led_l=led_l,
        rest_l=water.runs_l - led_l,
    )


def _gathered(site: Site, roof_parts: tuple[RoofPart, ...], rain_mm: float) -> dict[str, float]:
    """What each drawn gutter gathers, L, filters taken off."""
    found: dict[str, float] = defaultdict(float)
    for part in roof_parts:
        roof = site.thing(part.roof, Roof)
        for gutter, area_m2 in part.gutters:
            found[gutter] += on_part(roof, area_m2, rain_mm, filtered=bool(part.downpipe)).runs_l
    return dict(found)
