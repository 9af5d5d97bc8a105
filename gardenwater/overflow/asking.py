"""Where spilled water goes: one spill, or all that happen at once."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.overflow.event import run_event
from gardenwater.overflow.model import Source, Spill, Spot, Taker
from gardenwater.overflow.placing import Placed
from gardenwater.overflow.results import spill_of
from gardenwater.overflow.surface import Prepared, prepare
from gardenwater.work import Cancel, Progress


def spill(
    ground: Ground | Prepared,
    *,
    at: Spot,
    volume_m3: float,
    over_h: float = 1.0,
    soak_mm_h: float = 0.0,
    barriers: Iterable[BaseGeometry] = (),
    takers: Sequence[Taker] = (),
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Spill:
    """Where water goes that spills at one spot.

    ground: a ground (it is prepared with open edges, nodata as walls), or a prepared one. at: x and y, m; in a cell
    that a barrier takes up the water comes out at the nearest free one. volume_m3: spread evenly over over_h hours.
    soak_mm_h: the soil's rate. barriers: for a ground; a prepared one has its own. takers: what takes water on its way.
    See `spill_all`. Raises InputError for a spot off the ground, figures under zero, barriers with a prepared ground.
    """
    shapes = tuple(barriers)
    if isinstance(ground, Ground):
        ground = prepare(ground, barriers=shapes, cancel=cancel, progress=progress)
    elif shapes:
        raise InputError(
            "A prepared ground has its barriers.", where="barriers", mend="Give them to prepare, or give the ground."
        )
    source = Source(at, volume_m3)
    return spill_all(
        ground, [source], over_h=over_h, soak_mm_h=soak_mm_h, takers=takers, cancel=cancel, progress=progress
    )


def spill_all(
    prepared: Prepared,
    sources: Sequence[Source],
    *,
    over_h: float = 1.0,
    soak_mm_h: float = 0.0,
    takers: Sequence[Taker] = (),
    rain_mm: float = 0.0,
    placed: Placed | None = None,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Spill:
    """Where water goes that spills at several spots at once; they share routes, pools and takers.

    Each source runs steadily for over_h hours. Its water takes the steepest way down one continuous surface, soaks at
    soak_mm_h over the width that it wets, fills hollows to the brim and runs over their sills; hollows on both sides of
    a sill become one when both are brimful. Takers take up to their room, then spill at their rim, and water runs over
    them. Told is how it stands when the hours are over. The order of sources does not matter; where nothing soaks a
    great flood stands at `Prepared.filled_m`.

    rain_mm: rain on the ground itself in the same hours, see `raining.ground_rain`; in routes and pools it is the
    source after the last. Rain that comes slower than the soil takes it leaves the rest of the rate to spilled water.
    placed: the takers' cells, where they are known from another event on the same ground, see `placing.place`.

    Raises InputError for a spot off the ground, hours that are not above zero, and figures under zero.
    Sources: see `kernels_event`, `kernels_tree`, `kernels_facets`, `kernels_width`.
    """
    _check(sources, takers, over_h, soak_mm_h)
    _not_under_zero("rain_mm", rain_mm)
    event = run_event(
        prepared,
        sources,
        takers,
        over_h=over_h,
        soak_mm_h=soak_mm_h,
        rain_mm=rain_mm,
        placed=placed,
        cancel=cancel,
        progress=progress,
    )
    return spill_of(event, sources, takers)


def _check(sources: Sequence[Source], takers: Sequence[Taker], over_h: float, soak_mm_h: float) -> None:
    if not (over_h > 0.0 and math.isfinite(over_h)):
        raise InputError(f"An event cannot last {over_h} h.", where="over_h", mend="Give more than 0 h.")
    _not_under_zero("soak_mm_h", soak_mm_h)
    for source in sources:
        _not_under_zero("volume_m3", source.volume_m3)
    for taker in takers:
        if not taker.room_m3 >= 0.0:
            raise InputError(
                f"A taker cannot have {taker.room_m3} m³ of room.", where="room_m3", mend="Give 0 or more."
            )
        _not_under_zero("soak_m3_h", taker.soak_m3_h)


def _not_under_zero(name: str, value: float) -> None:
    if not (value >= 0.0 and math.isfinite(value)):
        raise InputError(f"It is {value}, and cannot be.", where=name, mend="Give 0 or more.")
