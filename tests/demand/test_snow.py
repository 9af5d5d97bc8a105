"""Snow is held, and nothing of it is lost."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.demand import rain_and_thaw


def test_snow_lies_until_it_thaws() -> None:
    # by hand: below 1 °C it is held; at a mean of 2 °C 2 x 2.74 mm thaw (NEH 630, chapter 11, from memory)
    water, snow = rain_and_thaw([10.0, 5.0, 0.0, 4.0, 0.0], [-5.0, -1.0, 0.0, 1.0, 4.0], [-1.0, 2.0, 4.0, 3.0, 8.0])
    assert snow == pytest.approx([10.0, 15.0 - 0.5 * 2.74, 15.0 - 2.5 * 2.74, 15.0 - 4.5 * 2.74, 0.0])
    assert water == pytest.approx([0.0, 0.5 * 2.74, 2.0 * 2.74, 4.0 + 2.0 * 2.74, 15.0 - 4.5 * 2.74])


def test_without_frost_the_rain_is_the_water() -> None:
    water, snow = rain_and_thaw([3.0, 0.0], [5.0, 6.0], [9.0, 9.0])
    assert water.tolist() == [3.0, 0.0]
    assert not snow.any()


def test_snow_at_the_start_thaws_too() -> None:
    water, snow = rain_and_thaw([0.0, 0.0], [10.0, 10.0], [10.0, 10.0], snow_at_start_mm=30.0)
    assert water == pytest.approx([27.4, 2.6])
    assert snow == pytest.approx([2.6, 0.0])


@given(
    st.lists(st.tuples(st.floats(0.0, 60.0), st.floats(-25.0, 25.0), st.floats(0.0, 15.0)), min_size=1, max_size=40),
    st.floats(0.0, 200.0),
)
def test_all_that_falls_comes_down_or_lies(days: list[tuple[float, float, float]], at_start: float) -> None:
    rain, low, spread = (np.array(column) for column in zip(*days, strict=True))
    water, snow = rain_and_thaw(rain, low, low + spread, snow_at_start_mm=at_start)
    assert water.sum() + snow[-1] == pytest.approx(rain.sum() + at_start, abs=1e-9)
    assert water.min() >= -1e-9
    assert snow.min() >= 0.0
