"""The overflow of a site on its wet day: sources to takers, pools and edges, and the account of every litre."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import CatchAnswer, OverflowAnswer, SourceEnd, WaterAccount
from gardenwater.assess.water import meetings_of, outside_of
from gardenwater.catch import SpillSource
from gardenwater.ground import Ground, level_at
from gardenwater.overflow import End, Prepared, Source, Spill, Taker, spill_all
from gardenwater.site.model import Settings
from gardenwater.tables import table
from gardenwater.work import Cancel, Progress

_L = 1000.0


def overflow_answer(
    catch: CatchAnswer,
    prepared: Prepared,
    ground: Ground,
    takers: Sequence[Taker],
    settings: Settings,
    *,
    boundaries: Sequence[BaseGeometry] = (),
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> OverflowAnswer:
    """Pour what is spilled on the wet day onto the prepared ground.

    ground: whose grid `prepared` is on. boundaries: of the site, for the account. Sources that stand on no level cannot
    be followed and count as off the site.
    """
    sources = tuple(source for source in catch.spills.sources if _known(ground, source))
    spill = spill_all(
        prepared,
        [Source(source.at, source.volume_m3, source.owner) for source in sources],
        over_h=settings.wet_day_h,
        soak_mm_h=table("soils").row(settings.soil).soak_mm_h,
        takers=takers,
        cancel=cancel,
        progress=progress,
    )
    lost = tuple(source for source in catch.spills.sources if not _known(ground, source))
    return OverflowAnswer(
        ground=ground,
        sources=sources,
        lost=lost,
        spill=spill,
        ends=_ends(sources, spill, takers),
        takers=tuple(taker.owner for taker in takers),
        account=_account(catch, spill, lost, _crossing_l(spill, sources, boundaries)),
    )


def _known(ground: Ground, source: SpillSource) -> bool:
    return not math.isnan(level_at(ground, *source.at))


def _ends(sources: Sequence[SpillSource], spill: Spill, takers: Sequence[Taker]) -> tuple[SourceEnd, ...]:
    ends = []
    for number, (source, fate) in enumerate(zip(sources, spill.fates, strict=True)):
        if fate is None:
            continue
        ends.append(
            SourceEnd(
                source=number,
                owner=source.owner,
                volume_l=source.volume_m3 * _L,
                route=fate.route,
                end=fate.end,
                taker=takers[fate.end_index].owner if fate.end is End.TAKER else "",
                pool=fate.end_index if fate.end is End.POOL else -1,
                at=fate.at,
            )
        )
    return tuple(ends)


def _crossing_l(spill: Spill, sources: Sequence[SpillSource], boundaries: Sequence[BaseGeometry]) -> float:
    """Litres that cross the drawn boundary outwards."""
    if not boundaries:
        return 0.0
    return math.fsum(meeting.volume_l for meeting in meetings_of(spill, sources, outside_of(boundaries)))


def _account(catch: CatchAnswer, spill: Spill, lost: Sequence[SpillSource], over_boundary_l: float) -> WaterAccount:
    """Each figure from what the engines report; the residual is what these leave open."""
    rain = catch.spills.account
    lost_l = math.fsum(source.volume_m3 for source in lost) * _L
    spilled_l = rain.spilled_l + rain.filter_l
    soaked_l, takers_l = spill.soaked_m3 * _L, math.fsum(spill.taken_m3) * _L
    pooled_l, off_site_l = spill.pooled_m3 * _L, spill.off_site_m3 * _L + lost_l
    return WaterAccount(
        rain_l=rain.fallen_l,
        stays_on_roofs_l=rain.stays_l,
        kept_by_first_flush_l=rain.first_flush_l,
        taken_by_tanks_l=rain.taken_l,
        into_drains_l=rain.drained_l,
        spilled_l=spilled_l,
        soaked_l=soaked_l,
        takers_l=takers_l,
        pooled_l=pooled_l,
        off_site_l=off_site_l,
        residual_l=spilled_l - math.fsum((soaked_l, takers_l, pooled_l, off_site_l)),
        over_boundary_l=over_boundary_l,
    )
