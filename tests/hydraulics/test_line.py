"""A watering line takes numbers in range and says what is off with others."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import FrozenInstanceError

import numpy as np
import pytest

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line, Piece, Regime, flow_l_min, given_by, head_loss_m, wanted_head_m


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


def test_emitters_follow_their_law_h14() -> None:
    """q = k h^x: 4 L/h at 10 m with x 0.5 gives 0.894, 1.265, 1.789 L/h at 0.5, 1, 2 m (computed)."""
    at_1_m = 4.0 / math.sqrt(10.0)
    line = Line(13.6, fittings_k=0.0, emitter_l_min=30 * at_1_m / 60.0)
    for head, each_l_h in ((0.5, 0.894), (1.0, 1.265), (2.0, 1.789)):
        # 30 emitters at the end of 1 mm of line: next to nothing is lost before them
        assert float(flow_l_min(head, 0.001, line)) * 60.0 / 30 == pytest.approx(each_l_h, abs=0.001)
    with pytest.raises(InputError, match="emitter_exponent"):
        Line(13.6, emitter_exponent=1.5)


def test_what_stands_at_the_end() -> None:
    drip = Line(13.6, lift_m=0.2, least_head_m=1.0, emitter_l_min=0.5)
    assert drip.held_back_m == 0.2  # emitters flow under their least head, only less
    assert wanted_head_m(drip) == pytest.approx(0.2 + 4.0, abs=0.01)  # (1 / 0.5)² for the wanted litre a minute
    assert wanted_head_m(dataclasses.replace(drip, flow_l_min=0.1)) == pytest.approx(1.2, abs=0.01)  # the least head
    hose = Line(19.05, lift_m=0.2, least_head_m=1.0)
    assert hose.held_back_m == pytest.approx(1.2)


def test_pieces_before_the_last_lose_their_share() -> None:
    lead = (Piece(26.0, 12.0, fittings_k=0.7), Piece(20.4, 8.0))
    line = Line(19.05, fittings_k=2.5, lead=lead)
    alone = [Line(26.0, fittings_k=0.7), Line(20.4, fittings_k=0.0), Line(19.05, fittings_k=2.5)]
    parts = [float(head_loss_m(9.0, length, each)) for length, each in zip((12.0, 8.0, 15.0), alone, strict=True)]
    assert head_loss_m(9.0, 15.0, line) == pytest.approx(sum(parts), rel=1e-12)
    assert float(flow_l_min(sum(parts), 15.0, line)) == pytest.approx(9.0, rel=1e-9)
    with pytest.raises(InputError, match=r"Piece\.length_m"):
        Piece(26.0, -1.0)
    with pytest.raises(InputError, match="no piece"):
        Line(19.05, lead=(26.0,))  # type: ignore[arg-type]


def test_what_a_line_gives_adds_up() -> None:
    line = Line(19.05, lift_m=0.1, lead=(Piece(26.0, 12.0),))
    given = given_by(line, head_m=1.3, length_m=20.0)
    assert given.flow_l_min == pytest.approx(float(flow_l_min(1.2, 20.0, line)))
    assert given.can_min == pytest.approx(10.0 / given.flow_l_min)
    assert given.before_m + given.along_m + given.end_m == pytest.approx(given.driving_head_m, rel=1e-9)
    assert given.regime is Regime.TURBULENT
    still = given_by(line, head_m=0.05, length_m=20.0)
    assert (still.flow_l_min, still.can_min, still.regime) == (0.0, math.inf, Regime.STILL)
    assert given_by(Line(25.0), head_m=0.001, length_m=100.0).regime is Regime.LAMINAR
    with pytest.raises(InputError, match="holds the water back"):
        given_by(Line(19.05, fittings_k=0.0), head_m=1.0, length_m=0.0)
