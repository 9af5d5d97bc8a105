"""What cannot be taken is said in words; work can be cancelled and tells how far it is."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely import box

from gardenwater.errors import Cancelled, InputError
from gardenwater.hydraulics import Line
from gardenwater.reach import Reason, prepare, water_reach
from tests.reach.grounds import ground_of, picture

LINE = Line(19)


@pytest.mark.parametrize("at", [(-1.0, 2.0), (2.0, 99.0), (math.nan, 1.0), (math.inf, 1.0)])
def test_a_tank_off_the_ground(at: tuple[float, float]) -> None:
    with pytest.raises(InputError) as error:
        water_reach(ground_of(np.zeros((5, 5))), at=at, water_level_m=1.0, line=LINE)
    assert error.value.where == "at"
    assert "stands off the ground" in error.value.what


def test_a_tank_on_ground_without_data() -> None:
    with pytest.raises(InputError, match="no level where the tank stands"):
        water_reach(ground_of([[0.0, math.nan]]), at=(1.5, 0.5), water_level_m=1.0, line=LINE)


@pytest.mark.parametrize(
    ("name", "value"), [("water_level_m", math.nan), ("water_level_m", math.inf), ("can_l", math.nan), ("can_l", 0.0)]
)
def test_levels_and_cans_that_are_none(name: str, value: float) -> None:
    asked = {"water_level_m": 1.0, name: value}
    with pytest.raises(InputError) as error:
        water_reach(ground_of([[0.0]]), at=(0.5, 0.5), line=LINE, **asked)
    assert error.value.where == name


def test_barriers_are_given_once() -> None:
    prepared = prepare(ground_of(np.zeros((4, 4))), barriers=[box(0, 0, 1, 1)])
    with pytest.raises(InputError, match="barriers already"):
        water_reach(prepared, at=(2.5, 2.5), water_level_m=1.0, line=LINE, barriers=[box(2, 2, 3, 3)])


def test_spots_off_the_grid_cannot_be_read() -> None:
    answer = water_reach(ground_of(np.zeros((4, 4))), at=(2.5, 2.5), water_level_m=1.0, line=LINE)
    for ask in (answer.at, answer.route_to):
        with pytest.raises(InputError, match="off the ground"):
            ask(9.0, 1.0)


def test_a_single_cell_and_a_ground_without_any_other_level() -> None:
    assert picture(water_reach(ground_of([[0.0]]), at=(0.5, 0.5), water_level_m=1.0, line=LINE)) == ["_"]
    levels = np.full((3, 3), np.nan)
    levels[1, 1] = 5.0
    assert picture(water_reach(ground_of(levels), at=(1.5, 1.5), water_level_m=6.0, line=LINE)) == ["???", "?_?", "???"]


@pytest.mark.parametrize("after", [0, 1, 3, 6])
def test_it_can_be_cancelled_between_chunks(after: int) -> None:
    asked = 0

    def cancel() -> bool:
        nonlocal asked
        asked += 1
        return asked > after

    ground = ground_of(np.zeros((700, 700)))
    with pytest.raises(Cancelled):
        water_reach(
            ground, at=(350.0, 350.0), water_level_m=1.0, line=LINE, barriers=[box(200, 200, 500, 300)], cancel=cancel
        )
    assert asked == after + 1


def test_it_tells_how_far_it_is() -> None:
    told: list[tuple[float, str]] = []
    answer = water_reach(
        ground_of(np.zeros((40, 40))),
        at=(20.0, 20.0),
        water_level_m=1.0,
        line=LINE,
        progress=lambda share, words: told.append((share, words)),
    )
    assert told[-1] == (1.0, "following the ground")
    assert {words for _, words in told} == {"drawing barriers", "following the ground"}
    assert (answer.reason == Reason.IN_REACH).all()
