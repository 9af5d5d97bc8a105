"""The overflow of a site in its event: sources to takers, pools and edges, and the account of every litre."""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import CatchAnswer, OverflowAnswer, SourceEnd, WaterAccount
from gardenwater.assess.event import event_of
from gardenwater.assess.pipes import through_pipe
from gardenwater.assess.water import meetings_of, outside_of
from gardenwater.catch import SpillSource, SpillWhy
from gardenwater.ground import Ground, levels_at
from gardenwater.overflow import End, Placed, Prepared, Source, Spill, Taker, spill_all
from gardenwater.site.model import Site
from gardenwater.site.things import Boundary
from gardenwater.work import Cancel, Progress

_L = 1000.0


def overflow_answer(
    site: Site,
    catch: CatchAnswer,
    prepared: Prepared,
    ground: Ground,
    takers: Sequence[Taker],
    *,
    placed: Placed | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> OverflowAnswer:
    """Pour what is spilled in the site's event onto the prepared ground.

    ground: whose grid `prepared` is on. placed: the takers on its cells, where they are at hand. Of a pipe that is too
    small for what comes, the rest runs out at its tank. Sources that stand on no level cannot be followed and count as
    off the site.
    """
    event = event_of(site)
    asked = [source for source in catch.spills.sources if event.only in ("", source.owner)]
    levels_m = levels_at(ground, [source.at[0] for source in asked], [source.at[1] for source in asked])
    known = [source for source, level_m in zip(asked, levels_m.tolist(), strict=True) if not math.isnan(level_m)]
    sources = tuple(each for source in known for each in through_pipe(site, ground, source, event.hours))
    spill = spill_all(
        prepared,
        [Source(source.at, source.volume_m3, source.owner) for source in sources],
        over_h=event.hours,
        soak_mm_h=event.soak_mm_h,
        takers=takers,
        rain_mm=event.ground_rain_mm,
        placed=placed,
        cancel=cancel,
        progress=progress,
    )
    lost = tuple(source for source in asked if source not in known)
    if spill.ground_rain_m3 > 0.0:
        sources = (*sources, _rain_source(ground, spill.ground_rain_m3))
    over_l = _crossing_l(spill, sources, [boundary.shape for boundary in site.of(Boundary)])
    return OverflowAnswer(
        ground=ground,
        sources=sources,
        lost=lost,
        spill=spill,
        ends=_ends(sources, spill, takers),
        takers=tuple(taker.owner for taker in takers),
        account=_account(catch, spill, asked, lost, over_l),
        rooms_m3=tuple((taker.room_m3, taker.soak_m3_h) for taker in takers),
    )


def _rain_source(ground: Ground, volume_m3: float) -> SpillSource:
    """The rain on the ground itself, as a source that belongs to the site; it stands in the middle of the ground."""
    west, south, east, north = ground.bounds
    return SpillSource(
        at=((west + east) / 2, (south + north) / 2),
        volume_m3=volume_m3,
        why=SpillWhy.GROUND,
        owner="",
        parts=((SpillWhy.GROUND, volume_m3),),
    )


def _ends(sources: Sequence[SpillSource], spill: Spill, takers: Sequence[Taker]) -> tuple[SourceEnd, ...]:
    ends = []
    for number, fate in enumerate(spill.fates):
        source = sources[number]
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


def _account(
    catch: CatchAnswer,
    spill: Spill,
    asked: Sequence[SpillSource],
    lost: Sequence[SpillSource],
    over_boundary_l: float,
) -> WaterAccount:
    """Each figure from what the engines report; the residual is what these leave open."""
    rain = catch.spills.account
    lost_l = math.fsum(source.volume_m3 for source in lost) * _L
    all_l = rain.spilled_l + rain.filter_l
    not_followed_l = math.fsum(source.volume_m3 for source in catch.spills.sources if source not in asked) * _L
    spilled_l, ground_rain_l = all_l - not_followed_l, spill.ground_rain_m3 * _L
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
        residual_l=spilled_l + ground_rain_l - math.fsum((soaked_l, takers_l, pooled_l, off_site_l)),
        over_boundary_l=over_boundary_l,
        not_followed_l=not_followed_l,
        ground_rain_l=ground_rain_l,
    )
