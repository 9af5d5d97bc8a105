"""Up to three mends for a trouble: looked for, tried on the site, ranked by what remains."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterable, Iterator
from itertools import chain, islice

from gardenwater.assess.event import event_of
from gardenwater.assess.mends.digging import swales
from gardenwater.assess.mends.judging import MENDABLE, Judge
from gardenwater.assess.mends.leading import Leading
from gardenwater.assess.mends.meeting import meeting, passing, soakaways_where_they_meet
from gardenwater.assess.mends.model import Mend, MendKind, Mends
from gardenwater.assess.mends.terrain import Terrain
from gardenwater.assess.mends.turning import back, turned
from gardenwater.assess.stages import Bench
from gardenwater.findings import Finding
from gardenwater.site.model import Site
from gardenwater.work import say, stop_if

MOST_MENDS = 3
_TRIES = {MendKind.PIPE: 8, MendKind.SWALE: 6, MendKind.OUTLET: 16, MendKind.DITCH: 12}
_GONE_L = 1.0


def mends_of(site: Site, trouble: Finding, bench: Bench, factor: int) -> Mends:
    """The mends of a trouble. factor: cells of overflow to a side of a cell, as in the answers.

    Each is tried: the changed site is worked out, and a mend is told only when it lessens the trouble and does no new
    harm. At most one of each kind: the one that leaves least, and of equals the cheapest. Where several owners share
    the trouble and nothing that was tried ends it, one mend for each of them is tried together. Raises Cancelled.
    """
    judge = Judge(site, trouble, bench, factor)
    found = _found(judge, judge.owners[0]) if trouble.code in MENDABLE and judge.owners else []
    if found and len(judge.owners) > 1 and min(mend.remains_l for mend in found) >= _GONE_L:
        own = [mend for mend in found if not mend.others]
        each = _one_for_each(judge, min(own, key=_rank), factor) if own else None
        found += [each] if each is not None else []
    return Mends(trouble=trouble, before_l=judge.before_l, mends=tuple(sorted(found, key=_rank)[:MOST_MENDS]))


def _rank(mend: Mend) -> tuple[int, float]:
    return round(mend.remains_l), mend.cost


def _found(judge: Judge, owner: str) -> list[Mend]:
    """The best mend of each kind."""
    found: list[Mend] = []
    for number, mends in enumerate(_families(judge, owner), 1):
        best = _best(judge, mends, judge.bench)
        found += [best] if best is not None else []
        say(judge.bench.progress, number / 6, "Trying mends")
    return found


def _one_for_each(judge: Judge, first: Mend, factor: int) -> Mend | None:
    """The best mend of the first owner and, on the site that it makes, that of the next, until nothing remains."""
    parts, site = [first], first.on(judge.site)
    handled = {first.owner, *first.others}
    for owner in judge.owners:
        if owner in handled or parts[-1].remains_l < _GONE_L:
            continue
        best = min(_found(Judge(site, judge.trouble, judge.bench, factor), owner), key=_rank, default=None)
        if best is not None:
            parts.append(best)
            site = best.on(site)
            handled |= {best.owner, *best.others}
    if len(parts) == 1:
        return None
    things = {thing.id: thing for part in parts for thing in part.things}
    together = Mend(
        kind=MendKind.EACH,
        owner=first.owner,
        others=tuple(owner for part in parts for owner in (part.owner, *part.others) if owner != first.owner),
        things=tuple(things.values()),
        cost=math.fsum(part.cost for part in parts),
        parts=tuple(parts),
    )
    tried = judge.tried(together)
    return None if tried is None else dataclasses.replace(tried, takes_l=math.fsum(part.takes_l for part in parts))


def _families(judge: Judge, owner: str) -> Iterator[Iterable[Mend]]:
    """Mends of one kind after another. What takes the water of several where they have met comes before one's own."""
    event = event_of(judge.site)
    terrain = Terrain(judge.site, judge.overflow.ground, judge.bench.cancel)
    leading = Leading(judge, terrain, owner)
    yield back(judge, owner)
    yield turned(judge, terrain, owner)
    yield chain(swales(judge, terrain, meeting(judge)), swales(judge, terrain, passing(judge, owner)))
    ways = terrain.pipes_from(leading.start)
    shared = soakaways_where_they_meet(judge, terrain, event.hours, event.soak_mm_h)
    yield chain(shared, leading.to_soakaway(ways))
    yield [*leading.to_takers(), *leading.past(ways)]
    yield chain(_ditches_where_they_meet(judge, leading), leading.ditched())


def _ditches_where_they_meet(judge: Judge, leading: Leading) -> Iterator[Mend]:
    """A ditch from the lowest spot above the trouble on the way that most share."""
    for spots in islice(meeting(judge), 1):
        yield from leading.ditched((spots[0].at.x, spots[0].at.y), spots[0].owners)


def _best(judge: Judge, mends: Iterable[Mend], bench: Bench) -> Mend | None:
    """The mend of one kind that leaves least, of equals the cheapest.

    The first that leaves nothing is taken at once; outlets are all tried, since they come in no order.
    """
    best: Mend | None = None
    tries = 0
    for mend in mends:
        stop_if(bench.cancel)
        tries += 1
        if tries > _TRIES.get(mend.kind, 4):
            break
        tried = judge.tried(mend)
        if tried is None:
            continue
        if best is None or _rank(tried) < _rank(best):
            best = tried
        if tried.remains_l < _GONE_L and mend.kind is not MendKind.OUTLET:
            break
    return best
