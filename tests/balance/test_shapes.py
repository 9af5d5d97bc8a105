"""What tanks hold at each height."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.balance import Shape
from gardenwater.errors import InputError


@given(st.floats(0.0, 1.0))
def test_a_lying_cylinder_is_that_of_the_circle(share: float) -> None:
    # volume share of a horizontal cylinder: (a - sin a cos a) / pi with cos a = 1 - 2 h / d, any geometry text
    turn = math.acos(1.0 - 2.0 * share)
    exact = (turn - math.sin(turn) * math.cos(turn)) / math.pi
    assert Shape.lying(2.0, 1.3).volume_at(1.3 * share) == pytest.approx(2.0 * exact, abs=2.0 * 1e-4)


def test_a_straight_tank_goes_on_past_its_rim_and_holds_nothing_below_its_floor() -> None:
    shape = Shape.straight(1.5, 1.2)
    assert [shape.volume_at(height) for height in (-1.0, 0.0, 0.6, 1.2, 2.4)] == pytest.approx([0, 0, 0.75, 1.5, 3.0])
    assert shape.volumes_at(np.array([0.6, 1.2])) == pytest.approx([0.75, 1.5])


def test_a_wider_tank_holds_more_at_the_same_height() -> None:
    assert Shape.lying(1.0, 1.0).scaled(3.0).volume_at(0.5) == pytest.approx(1.5)


@pytest.mark.parametrize(
    ("height", "volume"),
    [([0, 1], [0, 0]), ([0, 1, 1], [0, 1, 2]), ([0.1, 1], [0, 1]), ([0, 1], [0.1, 1]), ([0], [0]), ([0, 1], [0, 1, 2])],
)
def test_a_table_that_does_not_rise_from_nothing_is_refused(height: list[float], volume: list[float]) -> None:
    with pytest.raises(InputError, match="must rise"):
        Shape(height_m=np.array(height, dtype=float), volume_m3=np.array(volume, dtype=float))
