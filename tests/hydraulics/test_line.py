"""A watering line takes numbers in range and says what is off with others."""

from __future__ import annotations

from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line


def test_a_line_holds_its_defaults_and_is_a_value() -> None:
    line = Line(19)
    assert line == Line(19.0, 0.0015, 2.5, 0.0, 0.0, 1.0, 0.0, 15.0)
    assert hash(line) == hash(Line(np.float32(19)))
    assert isinstance(Line(19, flow_l_min=10).flow_l_min, float)
    with pytest.raises(FrozenInstanceError):
        line.bore_mm = 13.0  # type: ignore[misc]


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("bore_mm", 0.0),
        ("bore_mm", float("nan")),
        ("bore_mm", "19"),
        ("roughness_mm", -0.1),
        ("roughness_mm", 2.0),  # over a twentieth of 19 mm
        ("fittings_k", -1.0),
        ("lift_m", -0.1),
        ("line_height_m", float("inf")),
        ("flow_l_min", 0.0),
        ("least_head_m", -1.0),
        ("water_c", -1.0),
        ("water_c", 120.0),
    ],
)
def test_a_value_out_of_range_is_named_with_its_range(field: str, value: object) -> None:
    with pytest.raises(InputError) as error:
        Line(**{"bore_mm": 19.0, field: value})  # type: ignore[arg-type]
    assert error.value.where == f"Line.{field}"
    assert error.value.mend.startswith("Give a number from ")


def test_the_exit_is_one_velocity_head_or_all_there_is() -> None:
    assert Line(19, fittings_k=2.5).exit_k == 1.0
    assert Line(19, fittings_k=0.4).exit_k == 0.4
