"""What runs down each pipe in a rain, and what its diverters lead aside."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from gardenwater.catch.leads import Wiring
from gardenwater.catch.sharing import RoofPart
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, DiverterKind, FirstFlush, Roof
from gardenwater.tables import table


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """The rain on what one pipe drains, L: fallen_l = stays_l + filter_l + first_flush_l + runs_l.

    area_m2: plan area. stays_l: what the surface holds. filter_l: what its filters turn away. runs_l: what runs down
    the pipe after the first flush.
    """

    area_m2: float = 0.0
    fallen_l: float = 0.0
    stays_l: float = 0.0
    filter_l: float = 0.0
    first_flush_l: float = 0.0
    runs_l: float = 0.0


def on_part(roof: Roof, area_m2: float, rain_mm: float, *, filtered: bool) -> Running:
    """The rain on a part of a roof: plan area x rain x yield coefficient x filter share (EN 16941-1 form).

    1 mm on 1 m2 is 1 L. Water that drips off the eaves meets no filter.
    """
    fallen_l = area_m2 * rain_mm
    reaches_l = fallen_l * table("surfaces").row(roof.surface).yield_coefficient
    runs_l = reaches_l * (roof.filter_share if filtered else 1.0)
    return Running(
        area_m2=area_m2, fallen_l=fallen_l, stays_l=fallen_l - reaches_l, filter_l=reaches_l - runs_l, runs_l=runs_l
    )


def in_pipes(
    site: Site,
    roof_parts: Iterable[RoofPart],
    wires: Wiring,
    rain_mm: float,
    kept: Callable[[Running, float], float],
) -> dict[str, Running]:
    """What runs in each downpipe, those that get nothing left out.

    kept: litres that first-flush devices keep back, of what runs and what they hold (`kept_of_one_rain`).
    """
    shares: dict[str, list[Running]] = defaultdict(list)
    for part in roof_parts:
        if part.downpipe:
            shares[part.downpipe].append(on_part(site.thing(part.roof, Roof), part.area_m2, rain_mm, filtered=True))
    holds: dict[str, float] = defaultdict(float)
    for device in site.of(FirstFlush):
        holds[wires.pipe_of.get(device.id, "")] += device.keeps_l
    found = {}
    for pipe, many in shares.items():
        whole = _sum(many)
        kept_l = kept(whole, holds[pipe]) if pipe in holds else 0.0
        found[pipe] = replace(whole, first_flush_l=kept_l, runs_l=whole.runs_l - kept_l)
    return found


def runs_of_mm(site: Site, roof_parts: Iterable[RoofPart], wires: Wiring) -> dict[str, float]:
    """What each millimetre of rain sends down each pipe, L, before any first flush."""
    return {pipe: water.runs_l for pipe, water in in_pipes(site, roof_parts, wires, 1.0, lambda _, __: 0.0).items()}


def kept_of_one_rain(running: Running, holds_l: float) -> float:
    """What first-flush devices keep of one rain: as much as they hold, from empty."""
    return min(running.runs_l, holds_l)


def _sum(many: Sequence[Running]) -> Running:
    return Running(
        area_m2=math.fsum(each.area_m2 for each in many),
        fallen_l=math.fsum(each.fallen_l for each in many),
        stays_l=math.fsum(each.stays_l for each in many),
        filter_l=math.fsum(each.filter_l for each in many),
        runs_l=math.fsum(each.runs_l for each in many),
    )


def led_aside(
    flow_l_min: float, diverters: Sequence[Diverter], is_open: Callable[[Diverter], bool] | None = None
) -> Mapping[str, float]:
    """What each diverter on a pipe leads aside, L/min on average, highest diverter first; the rest runs on down.

    A whole pipe takes all. Others take their share, up to what they can pass: with intensities spread exponentially
    about the mean, that is mean x (1 - exp(-most / mean)). What passes the first is taken as spread the same way for
    the next. Those that are not open take nothing.
    """
    taken: dict[str, float] = {}
    for diverter in diverters:
        if is_open is not None and not is_open(diverter):
            taken[diverter.id] = 0.0
            continue
        if diverter.form is DiverterKind.WHOLE_PIPE:
            takes = flow_l_min
        else:
            wanted = diverter.share * flow_l_min
            takes = -wanted * math.expm1(-diverter.most_l_min / wanted) if wanted > 0 else 0.0
        taken[diverter.id] = takes
        flow_l_min -= takes
    return taken
