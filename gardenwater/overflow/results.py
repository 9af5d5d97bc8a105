"""What is told of an event that is over: routes, pools, what takers got, what left, and the water account."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from gardenwater.overflow.event import Event
from gardenwater.overflow.model import Exit, Pool, Source, Spill, Taken, Taker
from gardenwater.overflow.outlines import outlines
from gardenwater.overflow.routes import draw_routes, fate_of
from gardenwater.overflow.stretches import Ledger, ledger_of


def spill_of(event: Event, sources: Sequence[Source], takers: Sequence[Taker]) -> Spill:
    """All that is told of an event."""
    ledger = ledger_of(event, len(sources))
    pools = _pools(ledger)
    taken = _taken(ledger, takers)
    drawing = draw_routes(ledger, pools, takers)
    exits = _exits(ledger)
    depth_m = ledger.depth_m.reshape(event.prepared.shape)
    depth_m.flags.writeable = False
    soaked_m3 = _soaked_m3(ledger)
    pooled_m3 = float(depth_m.sum()) * event.prepared.cell_m2
    rain = event.rain
    poured_m3 = float(sum(source.volume_m3 for source in sources)) + rain.fallen_m3
    told_m3 = [soaked_m3, pooled_m3, rain.off_site_m3]
    told_m3 += [each.volume_m3 for each in taken] + [each.volume_m3 for each in exits]
    return Spill(
        routes=tuple(drawing.routes),
        pools=pools,
        pool_depth_m=depth_m,
        soaked_m3=soaked_m3,
        taken=taken,
        exits=exits,
        fates=tuple(fate_of(ledger, drawing, number, source) for number, source in enumerate(sources)),
        pooled_m3=pooled_m3,
        poured_m3=poured_m3,
        residual_m3=poured_m3 - math.fsum(told_m3),
        ground_rain_m3=rain.fallen_m3,
        rain_off_m3=rain.off_site_m3,
    )


def _pools(ledger: Ledger) -> tuple[Pool, ...]:
    event = ledger.event
    stores, land = event.stores, event.prepared.land
    stride = land.surface.stride
    standing = [ledger.standing[store] for store in ledger.pools]
    shores = outlines(event.prepared, ledger.depth_m, standing, ledger.box)
    covered_m3 = _covered_m3(ledger)
    pools = []
    for store, water, shore in zip(ledger.pools, standing, shores, strict=True):
        sill = int(land.hollows["sill"][water.hollow])
        spot = np.array([[water.deepest % stride, water.deepest // stride]], dtype=np.float64)
        x, y = event.prepared.to_map(spot)[0].tolist()
        pools.append(
            Pool(
                outline=shore,
                level_m=water.level_m,
                depth_m=water.depth_m,
                volume_m3=float(stores["volume_m3"][store]),
                hours_to_soak=water.depth_m / event.after_m_s / 3600.0 if event.after_m_s > 0.0 else np.inf,
                sources=tuple(sorted(ledger.store_sources[store])),
                spill_level_m=float(land.surface.level[sill]) if sill >= 0 else np.inf,
                runs_over=bool(stores["full"][store]),
                soaked_m3=float(stores["soaked_m3"][store]) + covered_m3.get(store, 0.0),
                deepest=(x, y),
            )
        )
    return tuple(pools)


def _covered_m3(ledger: Ledger) -> dict[int, float]:
    """What soaked on ways that now lie under the water of each store, m3."""
    reaches = ledger.event.reaches
    soaked_m3 = (reaches["in_m3"] - reaches["out_m3"]).tolist()
    covered: dict[int, float] = {}
    for reach, home in enumerate(ledger.home):
        if not ledger.drawn[reach]:
            covered[home] = covered.get(home, 0.0) + soaked_m3[reach]
    return covered


def _soaked_m3(ledger: Ledger) -> float:
    """All that soaked: on ways, and from puddles and pools, those that never stood included."""
    from gardenwater.overflow import kernels_store as kinds

    reaches, stores = ledger.event.reaches, ledger.event.stores
    pools = (stores["kind"] == kinds.POOL) & (stores["joined"] < 0)
    ways_m3 = float((reaches["in_m3"] - reaches["out_m3"]).sum())
    return ways_m3 + float(stores["soaked_m3"][pools].sum()) + ledger.event.rain.soaked_m3


def _taken(ledger: Ledger, takers: Sequence[Taker]) -> tuple[Taken, ...]:
    """What each taker got; their stores are the first."""
    stores = ledger.event.stores[: len(takers)]
    got_m3 = (stores["volume_m3"] + stores["soaked_m3"]).tolist()
    full = (stores["volume_m3"] >= [taker.room_m3 for taker in takers]).tolist()
    return tuple(
        Taken(got_m3[number], bool(full[number]), tuple(sorted(ledger.store_sources[number])))
        for number in range(len(takers))
    )


def _exits(ledger: Ledger) -> tuple[Exit, ...]:
    volumes_m3 = ledger.event.stores["volume_m3"]
    return tuple(
        Exit(at, float(volumes_m3[store]), tuple(sorted(ledger.store_sources[store])))
        for store, at in zip(ledger.exit_of, ledger.exit_at, strict=True)
    )
