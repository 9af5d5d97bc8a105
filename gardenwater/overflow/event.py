"""Run an event on a prepared ground: from sources, rain and takers to the records of the kernels, in chunks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.overflow.made import new_records
from gardenwater.overflow.model import Source, Taker
from gardenwater.overflow.placing import Placed, free_spot, place
from gardenwater.overflow.raining import GroundRain, ground_rain
from gardenwater.overflow.records import POINT, REACH, STORE, WALK, Flow, Net
from gardenwater.overflow.surface import Prepared
from gardenwater.work import Cancel, Progress, say, stop_if

_MOMENTS_AT_ONCE = 512
_POINTS, _REACHES, _STORES = 1 << 14, 256, 256
"""Room at the start, in points, stretches and stores; doubled when it is used up."""


@dataclass(frozen=True, slots=True, eq=False)
class Event:
    """An event that is over, as the kernels leave it.

    soak_m_s: what the soil takes of spilled water, besides rain; after_m_s: what it takes when it is over. end_s: how
    long it lasted. rain: what fell on the ground itself.
    """

    prepared: Prepared
    flow: Flow
    soak_m_s: float
    after_m_s: float
    end_s: float
    rain: GroundRain

    @property
    def reaches(self) -> NDArray[np.void]:
        """All stretches; REACH records."""
        from gardenwater.overflow.kernels_way import REACHES

        reaches: NDArray[np.void] = self.flow.net.reaches[: int(self.flow.counts[REACHES])]
        return reaches

    @property
    def stores(self) -> NDArray[np.void]:
        """All stores; STORE records."""
        from gardenwater.overflow.kernels_way import STORES

        stores: NDArray[np.void] = self.flow.net.stores[: int(self.flow.counts[STORES])]
        return stores


def run_event(
    prepared: Prepared,
    sources: Sequence[Source],
    takers: Sequence[Taker],
    *,
    over_h: float,
    soak_mm_h: float,
    rain_mm: float = 0.0,
    placed: Placed | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Event:
    """Let sources run for some hours. What is asked must have been checked (see `overflow.spill_all`)."""
    from gardenwater.overflow import kernels_event as engine
    from gardenwater.overflow.kernels_ledger import open_rained, open_taker

    end_s, after_m_s = over_h * 3600.0, soak_mm_h / 3.6e6
    soak_m_s = max(after_m_s - rain_mm / (1000.0 * end_s), 0.0)
    placed = placed if placed is not None else place(prepared, takers)
    rain = ground_rain(prepared, placed.taker_of, len(takers), rain_mm, over_h, soak_mm_h)
    flow, walks = _flow(prepared, len(takers), placed.taker_of, rain), new_records(1, WALK)
    for number, taker in enumerate(takers):
        room_m3, drain_m3_s = float(taker.room_m3), float(taker.soak_m3_h) / 3600.0
        open_taker(flow, number, room_m3, drain_m3_s, float(rain.to_takers_m3[number]) / end_s, placed.rims[number])
    open_rained(prepared.land, flow)
    feeds = np.array([_feed(prepared, source, end_s) for source in sources], dtype=np.float64).reshape(-1, 3)
    state = engine.GOES_ON
    while state != engine.DONE:
        stop_if(cancel)
        state = engine.run(prepared.land, flow, walks, feeds, soak_m_s, end_s, _MOMENTS_AT_ONCE)
        say(progress, 0.5, "Water runs over")
        if state == engine.GROW:
            flow = _grown(flow)
    return Event(prepared, flow, soak_m_s, after_m_s, end_s, rain)


def _feed(prepared: Prepared, source: Source, end_s: float) -> tuple[float, float, float]:
    """Column and row of a source in the kernels' grid, and its flow in m³/s."""
    x, y = free_spot(prepared, source.at) if source.volume_m3 > 0.0 else (0.0, 0.0)
    return x, y, source.volume_m3 / end_s


def _flow(prepared: Prepared, takers: int, taker_of: NDArray[np.int32], rain: GroundRain) -> Flow:
    stores = _STORES + takers + int(np.count_nonzero(rain.to_hollows_m3_s))
    net = Net(
        points=new_records(_POINTS, POINT),
        reaches=new_records(_REACHES, REACH),
        stores=new_records(stores, STORE),
        due=np.zeros(stores, dtype=np.int64),
    )
    return Flow(
        net=net,
        mark=np.zeros(prepared.land.surface.level.size, dtype=np.int32),
        store_of=np.zeros(len(prepared.land.hollows), dtype=np.int32),
        taker_of=taker_of,
        rain_m3_s=rain.to_hollows_m3_s,
        counts=np.zeros(6, dtype=np.int64),
    )


def _grown(flow: Flow) -> Flow:
    """The same flow with twice the room."""
    return flow._replace(net=Net(*(_doubled(array) for array in flow.net)))


def _doubled(array: NDArray[Any]) -> NDArray[Any]:
    larger = np.zeros_like(array, shape=2 * len(array))
    larger[: len(array)] = array
    return larger
