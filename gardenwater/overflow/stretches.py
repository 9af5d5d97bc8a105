"""What the records of an event say of its ways and waters, before lines and outlines are drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.event import Event
from gardenwater.overflow.model import Spot
from gardenwater.overflow.outlines import Box, Standing

RAIN_WAY_M3_S = 5e-5
"""Mean flow from which a way that carries rain on the ground alone is drawn: 3 L/min (judgement, no source)."""

PUDDLE_M3 = 0.01
"""A brimful hollow that holds less (one can) and that water runs on from is part of the way (judgement, no source)."""

Floats = NDArray[np.float64]


@dataclass(slots=True, eq=False)
class Ledger:
    """An event as lists and masks, by the numbers of its stretches and stores.

    home: the store that holds a stretch now. standing: the water of each store that has some. depth_m: float64, flat,
    all standing water; box: the rows and columns that hold it. pools: stores, the largest water first; pool_of: the
    place of each among them. puddles: stores whose water is a puddle. level_m: of each store's water, -inf without.
    drawn: stretches over dry ground that water ran on. dried: those on which all of it soaked. then: the drawn stretch
    that takes the water of a drawn stretch, -1. reach_sources, store_sources: whose water it is. exit_of: for each
    store that leads off the ground its place among the exits; exit_at: where each is.
    """

    event: Event
    home: list[int] = field(default_factory=list)
    standing: dict[int, Standing] = field(default_factory=dict)
    depth_m: Floats = field(default_factory=lambda: np.zeros(0))
    box: Box = field(default_factory=lambda: np.zeros(4, dtype=np.int64))
    pools: list[int] = field(default_factory=list)
    pool_of: dict[int, int] = field(default_factory=dict)
    puddles: set[int] = field(default_factory=set)
    level_m: Floats = field(default_factory=lambda: np.zeros(0))
    drawn: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    dried: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, dtype=np.bool_))
    then: list[int] = field(default_factory=list)
    reach_sources: list[set[int]] = field(default_factory=list)
    store_sources: list[set[int]] = field(default_factory=list)
    exit_of: dict[int, int] = field(default_factory=dict)
    exit_at: list[Spot] = field(default_factory=list)


def ledger_of(event: Event, sources: int) -> Ledger:
    """Read the records of an event that is over. sources: how many there were; rain on the ground is the next one."""
    ledger = Ledger(event)
    ledger.home = _homes(event)
    _stand(ledger)
    _name_pools(ledger)
    _see_ways(ledger)
    _tell_sources(ledger)
    _tell_rain(ledger, sources)
    _find_exits(ledger)
    return ledger


def _homes(event: Event) -> list[int]:
    joined = event.stores["joined"].tolist()
    homes = []
    for store in event.reaches["store"].tolist():
        home = store
        while joined[home] >= 0:
            home = joined[home]
        homes.append(home)
    return homes


def _stand(ledger: Ledger) -> None:
    """Let the water of each store stand in its hollow."""
    from gardenwater.overflow import kernels_shore as shore
    from gardenwater.overflow import kernels_store as kinds

    event = ledger.event
    stores, land = event.stores, event.prepared.land
    rows, cols = event.prepared.shape
    ledger.depth_m = np.zeros(rows * cols)
    ledger.box = np.array([rows + 1, 0, cols + 1, 0], dtype=np.int64)
    ledger.level_m = np.full(len(stores), -np.inf)
    found = np.empty(3)
    holds = (stores["kind"] == kinds.POOL) & (stores["joined"] < 0) & (stores["volume_m3"] > 0.0)
    for store in np.flatnonzero(holds).tolist():
        hollow = int(stores["hollow"][store])
        cells = shore.stand(land, hollow, float(stores["volume_m3"][store]), ledger.depth_m, found, ledger.box)
        if found[1] > 0.0:
            ledger.level_m[store] = found[0]
            ledger.standing[store] = Standing(hollow, cells, float(found[0]), float(found[1]), int(found[2]))


def _name_pools(ledger: Ledger) -> None:
    """Tell puddles, which water only crosses, from pools; the largest pool first."""
    stores, reaches = ledger.event.stores, ledger.event.reaches
    volumes_m3, over = stores["volume_m3"], stores["over"]
    for store in ledger.standing:
        runs_on = over[store] >= 0 and reaches["in_m3"][over[store]] > 0.0
        if runs_on and volumes_m3[store] < PUDDLE_M3:
            ledger.puddles.add(store)
    # what rain alone leaves in a dip that no way leads to is a wet spot
    wet = (stores["head"] < 0) & (volumes_m3 < PUDDLE_M3)
    pools = [store for store in ledger.standing if store not in ledger.puddles and not wet[store]]
    ledger.pools = sorted(pools, key=lambda store: -volumes_m3[store])
    ledger.pool_of = {store: place for place, store in enumerate(ledger.pools)}


def _see_ways(ledger: Ledger) -> None:
    """Which stretches are drawn, and which takes the water of which."""
    event = ledger.event
    reaches, points = event.reaches, event.flow.net.points
    water_m = ledger.level_m[ledger.home] if len(reaches) else np.zeros(0)
    ran = (reaches["in_m3"] > 0.0) & (reaches["last"] > reaches["first"])
    if event.rain.to_hollows_m3_s.size > 1:
        ran &= _of_sources(event) | (reaches["in_m3"] >= RAIN_WAY_M3_S * event.end_s)
    ledger.drawn = ran & (points["level_m"][reaches["first"]] > water_m)
    ledger.dried = ledger.drawn & (reaches["flow_end_m3_s"] <= 0.0)
    over = event.stores["over"].tolist()
    nexts = reaches["next"].tolist()
    for reach in range(len(reaches)):
        then = -1
        if ledger.drawn[reach] and not ledger.dried[reach]:
            then = nexts[reach]
            under_water = then < 0 or not ledger.drawn[then]
            if under_water and ledger.home[reach] in ledger.puddles:
                then = over[ledger.home[reach]]
        ledger.then.append(then if then >= 0 and ledger.drawn[then] else -1)


def _of_sources(event: Event) -> NDArray[np.bool_]:
    """The stretches that begin at a source, or carry on the water of one that does."""
    source, nexts = event.reaches["source"] >= 0, event.reaches["next"].tolist()
    over, homes = event.stores["over"].tolist(), _homes(event)
    found = source.copy()
    for first in np.flatnonzero(source).tolist():
        reach = first
        while reach >= 0 and (reach == first or not found[reach]):
            found[reach] = True
            reach = nexts[reach] if nexts[reach] >= 0 else over[homes[reach]]
    return found


def _tell_rain(ledger: Ledger, source: int) -> None:
    """Note the rain on the ground as a source, in all that it comes to."""
    event = ledger.event
    nexts, over, full = event.reaches["next"].tolist(), event.stores["over"].tolist(), event.stores["full"].tolist()
    joined = event.stores["joined"].tolist()
    for store in np.flatnonzero(event.stores["rain_m3_s"] > 0.0).tolist():
        home = store
        while joined[home] >= 0:
            home = joined[home]
        while source not in ledger.store_sources[home]:
            ledger.store_sources[home].add(source)
            reach = over[home] if full[home] else -1
            if reach < 0:
                break
            while True:
                ledger.reach_sources[reach].add(source)
                if nexts[reach] < 0:
                    break
                reach = nexts[reach]
            home = ledger.home[reach]


def _tell_sources(ledger: Ledger) -> None:
    """Follow the water of each source, and note it in all that it comes to."""
    event = ledger.event
    reaches, stores = event.reaches, event.stores
    nexts, over, full = reaches["next"].tolist(), stores["over"].tolist(), stores["full"].tolist()
    runs = (reaches["flow_end_m3_s"] > 0.0).tolist()
    ledger.reach_sources = [set() for _ in nexts]
    ledger.store_sources = [set() for _ in over]
    for first, source in enumerate(reaches["source"].tolist()):
        reach = first if source >= 0 else -1
        while reach >= 0 and source not in ledger.reach_sources[reach]:
            ledger.reach_sources[reach].add(source)
            if not runs[reach]:
                break
            if nexts[reach] >= 0:
                reach = nexts[reach]
                continue
            home = ledger.home[reach]
            ledger.store_sources[home].add(source)
            reach = over[home] if full[home] else -1


def _find_exits(ledger: Ledger) -> None:
    """Where water leaves the ground: the end of the stretch that leads off it."""
    from gardenwater.overflow import kernels_store as kinds

    event = ledger.event
    kind, volume_m3 = event.stores["kind"].tolist(), event.stores["volume_m3"].tolist()
    for reach, home in enumerate(ledger.home):
        leaves = kind[home] == kinds.EXIT and volume_m3[home] > 0.0 and event.reaches["next"][reach] < 0
        if leaves and home not in ledger.exit_of:
            ledger.exit_of[home] = len(ledger.exit_at)
            last = event.flow.net.points[int(event.reaches["last"][reach])]
            x, y = event.prepared.to_map(np.array([[last["x"], last["y"]]]))[0].tolist()
            ledger.exit_at.append((x, y))
