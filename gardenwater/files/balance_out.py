"""A balance as CSV: one row for each day, units in the heads of the columns."""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gardenwater.balance import Balance
from gardenwater.files.aside import written_aside

_L = 1000.0
_TANK_VOLUMES = ("volume", "inflow", "passed", "spill", "drawn", "lost")
_BED_COLUMNS = ("wanted_l", "need_l", "met_gravity_l", "met_can_l", "short_l", "depletion_mm")

Columns = Iterator[tuple[str, NDArray[np.float64], int]]


def write_balance(path: Path | str, balance: Balance, names: Mapping[str, str]) -> None:
    """Write every day of a balance: rain, each pipe, tank, link and bed; litres, millimetres and metres.

    names: what people call each thing, by id; the id where it has none. What is not known is empty. Raises FileError
    when the file cannot be written.
    """
    columns = list(_columns(balance, names))
    texts = [_texts(values, places) for _, values, places in columns]
    with written_aside(path) as aside, aside.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["date", *(head for head, _, _ in columns)])
        writer.writerows(zip(balance.dates().astype(str).tolist(), *texts, strict=True))


def _columns(balance: Balance, names: Mapping[str, str]) -> Columns:
    """Head, values (days,) and places after the point of each column."""
    yield "rain_mm", balance.rain_mm, 2
    yield "store_l", balance.store_l, 3
    yield "round_min", balance.round_min, 1
    for at, tank in enumerate(balance.tanks):
        name = names.get(tank, tank)
        yield f"{name} level_m", balance.level_m[:, at], 4
        for column in _TANK_VOLUMES:
            yield f"{name} {column}_l", getattr(balance, f"{column}_m3")[:, at] * _L, 3
    for at, link in enumerate(balance.links):
        yield f"{names.get(link, link)} passes_l", balance.link_m3[:, at] * _L, 3
    for at, pipe in enumerate(balance.pipes):
        yield f"{names.get(pipe, pipe)} runs_l", balance.runs_m3[:, at] * _L, 3
        yield f"{names.get(pipe, pipe)} foot_l", balance.foot_m3[:, at] * _L, 3
    for at, bed in enumerate(balance.beds):
        for column in _BED_COLUMNS:
            yield f"{names.get(bed, bed)} {column}", getattr(balance, column)[:, at], 3


def _texts(values: NDArray[np.float64], places: int) -> list[str]:
    return ["" if math.isnan(value) else f"{value:.{places}f}" for value in values.tolist()]
