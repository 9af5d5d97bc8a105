"""Up to three mends for a trouble: looked for, tried on the site, ranked by what remains."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from gardenwater.assess.mends.digging import swales
from gardenwater.assess.mends.judging import MENDABLE, Judge
from gardenwater.assess.mends.leading import Leading
from gardenwater.assess.mends.model import Mend, MendKind, Mends
from gardenwater.assess.mends.terrain import Terrain
from gardenwater.assess.mends.turning import back, turned
from gardenwater.assess.stages import Bench
from gardenwater.findings import Finding
from gardenwater.site.model import Site
from gardenwater.work import say, stop_if

MOST_MENDS = 3
_TRIES = {MendKind.PIPE: 8, MendKind.SWALE: 6, MendKind.OUTLET: 16, MendKind.DITCH: 6}
_GONE_L = 1.0


def mends_of(site: Site, trouble: Finding, bench: Bench, factor: int) -> Mends:
    """The mends of a trouble. factor: cells of overflow to a side of a cell, as in the answers.

    Each is tried: the changed site is worked out, and a mend is told only when it lessens the trouble and does no new
    harm. At most one of each kind: the one that leaves least, and of equals the cheapest. Raises Cancelled.
    """
    judge = Judge(site, trouble, bench, factor)
    owner = judge.owner() if trouble.code in MENDABLE else ""
    found: list[Mend] = []
    if owner:
        for number, mends in enumerate(_families(judge, owner), 1):
            best = _best(judge, mends, bench)
            found += [best] if best is not None else []
            say(bench.progress, number / 6, "Trying mends")
    ranked = sorted(found, key=lambda mend: (round(mend.remains_l), mend.cost))
    return Mends(trouble=trouble, before_l=judge.before_l, mends=tuple(ranked[:MOST_MENDS]))


def _families(judge: Judge, owner: str) -> Iterator[Iterable[Mend]]:
    """Mends of one kind after another."""
    terrain = Terrain(judge.site, judge.overflow.ground, judge.bench.cancel)
    leading = Leading(judge, terrain, owner)
    yield back(judge, owner)
    yield turned(judge, terrain, owner)
    yield swales(judge, terrain, owner)
    ways = terrain.pipes_from(leading.start)
    yield leading.to_soakaway(ways)
    yield [*leading.to_takers(), *leading.past(ways)]
    yield leading.ditched()


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
        if best is None or (round(tried.remains_l), tried.cost) < (round(best.remains_l), best.cost):
            best = tried
        if tried.remains_l < _GONE_L and mend.kind is not MendKind.OUTLET:
            break
    return best
