"""Systems for the tests of the balance: one tank, one pipe, one bed, that can be followed by hand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from typing import Any

import numpy as np

from gardenwater.balance import Feed, Gather, Plot, Rules, Shape, Store, System
from gardenwater.weather import Weather

START = dt.date(2001, 1, 1)


def sky(rain_mm: Sequence[float]) -> Weather:
    """Days of rain from the first of January."""
    return Weather(start=START, rain_mm=rain_mm)


def tank(name: str = "tank", capacity_l: float = 1000.0, **fields: Any) -> Store:
    """An upright tank 1 m high to its overflow, its floor at level 0, empty unless told."""
    usual: dict[str, Any] = {
        "shape": Shape.straight(capacity_l / 1000.0, 1.0),
        "floor_level_m": 0.0,
        "rim_height_m": 1.0,
    }
    return Store(id=name, **(usual | fields))


def pipe(*feeds: Feed, name: str = "pipe", m2: float = 1.0, flush_l: float = 0.0) -> Gather:
    """A downpipe of so many m2 of roof that give all that falls."""
    return Gather(id=name, m3_mm=m2 / 1000.0, first_flush_m3=flush_l / 1000.0, feeds=feeds)


def bed(need_l: Sequence[float], needed: Sequence[float] = (0.0,), name: str = "bed", by_can: bool = False) -> Plot:
    """A bed of 1 m2 that wants what is given, from tanks whose water stands at least so high (NaN: by can alone)."""
    return Plot(
        id=name,
        area_m2=1.0,
        needed_level_m=np.array(needed, dtype=np.float64),
        minutes_per_l=np.full(len(needed), 0.1),
        need_l=np.array(need_l, dtype=np.float64),
        by_can=by_can,
    )


def one_tank(need_l: Sequence[float], *, m2: float = 1.0, rules: Rules | None = None, **fields: Any) -> System:
    """One tank under one pipe, one bed that is served by gravity to the last drop."""
    return System(
        tanks=(tank(**fields),),
        gathers=(pipe(Feed(id="diverter", tank="tank"), m2=m2),),
        beds=(bed(need_l),),
        rules=rules or Rules(),
    )
