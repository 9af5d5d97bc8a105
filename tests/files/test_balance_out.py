"""The store's days as a table."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from gardenwater.balance import Pipe, System, run
from gardenwater.errors import FileError
from gardenwater.files import write_balance
from tests.balance.made import bed, one_tank, pipe, sky, tank


@pytest.fixture
def system() -> System:
    made = one_tank([50.0] * 3, capacity_l=200.0, start_m3=0.08)
    link = Pipe(id="link", first="tank", second="other", level_m=0.1)
    return System(
        tanks=(*made.tanks, tank("other")),
        links=(link,),
        gathers=(*made.gathers, pipe(name="second")),
        beds=(bed([50.0] * 3, [0.0, float("nan")]),),
    )


def test_each_day_is_a_row_and_each_figure_has_its_unit(tmp_path: Path, system: System) -> None:
    found = run(system, sky([0.0, 120.0, 0.0]))
    write_balance(tmp_path / "balance.csv", found, {"tank": "Porch, tank", "bed": "Beans"})
    with (tmp_path / "balance.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert [row["date"] for row in rows] == ["2001-01-01", "2001-01-02", "2001-01-03"]
    assert [float(row["rain_mm"]) for row in rows] == [0.0, 120.0, 0.0]
    for head, values in (
        ("Porch, tank volume_l", 1000 * found.volume_m3[:, 0]),
        ("other passed_l", 1000 * found.passed_m3[:, 1]),
        ("Porch, tank level_m", found.level_m[:, 0]),
        ("link passes_l", 1000 * found.link_m3[:, 0]),
        ("second foot_l", 1000 * found.foot_m3[:, 1]),
        ("Beans met_gravity_l", found.met_gravity_l[:, 0]),
        ("store_l", found.store_l),
    ):
        assert np.array([float(row[head]) for row in rows]) == pytest.approx(values, abs=6e-4), head
    # a bed whose need was given has no root zone: what is not known is empty
    assert {row["Beans depletion_mm"] for row in rows} == {""}


def test_a_folder_that_is_not_there_is_said(tmp_path: Path, system: System) -> None:
    found = run(system, sky([0.0, 1.0, 0.0]))
    with pytest.raises(FileError):
        write_balance(tmp_path / "nowhere" / "balance.csv", found, {})
