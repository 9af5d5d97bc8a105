"""Run an event on a prepared ground: from sources, rain and takers to the records of the kernels, in chunks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from affine import Affine
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.grids import burn
from gardenwater.overflow.made import new_records
from gardenwater.overflow.model import Source, Spot, Taker
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
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Event:
    """Let sources run for some hours. What is asked must have been checked (see `overflow.spill_all`)."""
    from gardenwater.overflow import kernels_event as engine
    from gardenwater.overflow.kernels_ledger import open_rained, open_taker

    end_s, after_m_s = over_h * 3600.0, soak_mm_h / 3.6e6
    soak_m_s = max(after_m_s - rain_mm / (1000.0 * end_s), 0.0)
    taker_of, rims = _taker_cells(prepared, takers)
    rain = ground_rain(prepared, taker_of, len(takers), rain_mm, over_h, soak_mm_h)
    flow, walks = _flow(prepared, len(takers), taker_of, rain), new_records(1, WALK)
    for number, taker in enumerate(takers):
        room_m3, drain_m3_s = float(taker.room_m3), float(taker.soak_m3_h) / 3600.0
        open_taker(flow, number, room_m3, drain_m3_s, float(rain.to_takers_m3[number]) / end_s, rims[number])
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


def free_spot(prepared: Prepared, at: Spot) -> tuple[float, float]:
    """Where water that comes out at a spot gets onto the ground: there, or at the nearest cell that is free.

    In columns and rows of the kernels' grid. A downpipe at a wall stands in a cell that the building takes up.
    Raises InputError off the ground, and where nothing is free.
    """
    rows, cols = prepared.shape
    x, y = prepared.to_cells(*at)
    row, col = int(np.floor(y + 0.5)), int(np.floor(x + 0.5))
    # the far edges belong to the ground
    row, col = row - (y == rows + 0.5), col - (x == cols + 0.5)
    if not (1 <= row <= rows and 1 <= col <= cols):
        raise InputError(
            f"Water spills at {at[0]:.2f}, {at[1]:.2f}, off the ground.",
            where="at",
            mend="Give ground that reaches there.",
        )
    level = prepared.land.surface.level.reshape(rows + 2, cols + 2)
    if np.isfinite(level[row, col]):
        return min(x, cols + 0.49), min(y, rows + 0.49)
    return _nearest_free(prepared, level, x, y)


def _nearest_free(prepared: Prepared, level: NDArray[np.float32], x: float, y: float) -> tuple[float, float]:
    """Column and row of the nearest centre of a cell with a level, looked for in growing windows."""
    rows, cols = prepared.shape
    land = prepared.land
    radius = 4
    while True:
        top, left = max(int(y) - radius, 1), max(int(x) - radius, 1)
        window = level[top : min(int(y) + radius + 2, rows + 1), left : min(int(x) + radius + 2, cols + 1)]
        down, right = np.nonzero(np.isfinite(window))
        far_m = np.hypot((right + left - x) * land.surface.cell_x_m, (down + top - y) * land.surface.cell_y_m)
        whole = window.shape == (rows, cols)
        if far_m.size and (whole or far_m.min() <= radius * min(land.surface.cell_x_m, land.surface.cell_y_m)):
            nearest = int(np.argmin(far_m))
            return float(right[nearest] + left), float(down[nearest] + top)
        if whole:
            raise InputError("No ground is free for the water.", where="at", mend="Give ground with levels.")
        radius *= 4


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


def _taker_cells(prepared: Prepared, takers: Sequence[Taker]) -> tuple[NDArray[np.int32], list[int]]:
    """1 + the taker of each cell (one cell long without takers), and the cell where each spills when it is full.

    Where takers overlap the first has the cells.
    """
    rims = [-1] * len(takers)
    if not takers:
        return np.zeros(1, dtype=np.int32), rims
    rows, cols = prepared.shape
    stride = cols + 2
    taker_of = np.zeros((rows + 2, stride), dtype=np.int32)
    level = prepared.land.surface.level.reshape(rows + 2, stride)
    for number, taker in enumerate(takers):
        top, left, inside = _burnt(prepared, taker.shape)
        where = taker_of[top : top + inside.shape[0], left : left + inside.shape[1]]
        where[inside & (where == 0)] = number + 1
        if taker.spills_at is not None:
            x, y = free_spot(prepared, taker.spills_at)
            rims[number] = int(np.floor(y + 0.5)) * stride + int(np.floor(x + 0.5))
        else:
            rims[number] = _lowest_rim(level, top, left, inside)
    return taker_of.ravel(), rims


def _burnt(prepared: Prepared, shape: BaseGeometry) -> tuple[int, int, NDArray[np.bool_]]:
    """First row and column of a window of the kernels' grid, and the cells of a shape in it, with a margin of one."""
    rows, cols = prepared.shape
    if shape.is_empty:
        return 0, 0, np.zeros((0, 0), dtype=np.bool_)
    west, south, east, north = shape.bounds
    left, top = (int(np.floor(at)) for at in prepared.to_cells(west, north))
    right, bottom = (int(np.ceil(at)) for at in prepared.to_cells(east, south))
    left, top, right, bottom = max(left - 1, 0), max(top - 1, 0), min(right + 1, cols + 1), min(bottom + 1, rows + 1)
    if left > right or top > bottom:
        return 0, 0, np.zeros((0, 0), dtype=np.bool_)
    a, _, west, _, e, north = tuple(prepared.transform)[:6]
    window = Affine(a, 0.0, west + (left - 1) * a, 0.0, e, north + (top - 1) * e)
    inside = burn([shape], window, (bottom - top + 1, right - left + 1))
    return top, left, inside


def _lowest_rim(level: NDArray[np.float32], top: int, left: int, inside: NDArray[np.bool_]) -> int:
    """The lowest cell with a level beside a taker's cells, in the kernels' grid; -1 where there is none."""
    padded = np.pad(inside, 1)
    beside = np.zeros_like(inside)
    for down in (0, 1, 2):
        for right in (0, 1, 2):
            beside |= padded[down : down + inside.shape[0], right : right + inside.shape[1]]
    window = level[top : top + inside.shape[0], left : left + inside.shape[1]]
    rim = np.where(beside & ~inside & np.isfinite(window), window, np.inf)
    if rim.size == 0 or not np.isfinite(rim.min()):
        return -1
    lowest = int(np.argmin(rim))
    return int((top + lowest // rim.shape[1]) * level.shape[1] + left + lowest % rim.shape[1])
