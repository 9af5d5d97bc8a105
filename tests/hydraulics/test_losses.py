"""Head lost and flow driven: published lines, the general-purpose library fluids, one the inverse of the other."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import fluids
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line, flow_l_min, head_loss_m, kinematic_viscosity_m2_s

CHECKS: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parent.parent / "reference" / "gravity_lines" / "checks.json").read_text(encoding="utf-8")
    )
}

bores_mm = st.floats(4, 60)
flows_l_min = st.floats(0.05, 200)
lengths_m = st.floats(0.1, 500)


def test_flow_of_tank_lines_h08() -> None:
    check = CHECKS["H08"]
    for (head, length, bore_m, k), expected in zip(check["inputs"]["H_L_D_K"], check["expected"], strict=True):
        flow = flow_l_min(head, length, Line(bore_m * 1000, fittings_k=k))
        assert flow == pytest.approx(expected, abs=check["tolerance"])


def test_head_left_at_the_end_of_a_network_line_h09() -> None:
    check = CHECKS["H09"]
    given_ = check["inputs"]
    # 19.2 °C is the engine's own viscosity, see tests/reference/gravity_lines/README.md
    line = Line(given_["D_m"] * 1000, given_["e_mm"], fittings_k=given_["K"], water_c=19.2)
    left = given_["tank_head_m"] - np.asarray(head_loss_m(given_["demand_L_min"], given_["L_m"], line))
    np.testing.assert_allclose(left, check["expected"], atol=check["tolerance"])


@given(bores_mm, flows_l_min, lengths_m, st.floats(0, 20), st.sampled_from([5.0, 15.0, 25.0]))
def test_head_loss_agrees_with_fluids(bore: float, flow: float, length: float, k: float, water_c: float) -> None:
    line = Line(bore, fittings_k=k, water_c=water_c)
    bore_m, speed = bore / 1000, flow / 60_000 / (np.pi / 4 * (bore / 1000) ** 2)
    reynolds = fluids.Reynolds(V=speed, D=bore_m, nu=kinematic_viscosity_m2_s(water_c))
    through = 2000 < reynolds < 4000
    method = "Churchill_1977" if through else None
    factor = fluids.friction_factor(reynolds, eD=0.0015 / bore, Method=method)
    expected = fluids.head_from_K(K=fluids.K_from_f(fd=factor, L=length, D=bore_m) + k, V=speed)
    assert head_loss_m(flow, length, line) == pytest.approx(expected, rel=0.04 if through else 0.01)


@given(bores_mm, st.floats(1e-4, 50), st.floats(0, 2000), st.floats(0.1, 20))
def test_flow_is_the_inverse_of_loss(bore: float, head: float, length: float, k: float) -> None:
    line = Line(bore, fittings_k=k)
    assert head_loss_m(flow_l_min(head, length, line), length, line) == pytest.approx(head, rel=1e-9)


def test_more_head_more_flow_and_farther_less() -> None:
    line = Line(19)
    head, length = np.geomspace(1e-4, 30, 400)[:, None], np.geomspace(0.05, 2000, 300)
    flow = flow_l_min(head, length, line)
    assert isinstance(flow, np.ndarray)
    assert flow.shape == (400, 300)
    assert (np.diff(flow, axis=0) > 0).all()
    assert (np.diff(flow, axis=1) < 0).all()


def test_numbers_give_numbers_and_arrays_arrays_with_nan_kept() -> None:
    line = Line(19)
    assert isinstance(head_loss_m(5, 10, line), float)
    assert isinstance(flow_l_min(1, 10, line), float)
    flow = flow_l_min([1.0, np.nan, 0.0, -2.0], [10.0, 10.0, 10.0, 10.0], line)
    assert isinstance(flow, np.ndarray)
    assert np.isnan(flow[1])
    assert flow[2] == flow[3] == 0.0
    loss = head_loss_m(np.array([0.0, np.nan]), 10, line)
    assert isinstance(loss, np.ndarray)
    assert loss[0] == 0.0
    assert np.isnan(loss[1])


def test_what_nothing_holds_back_is_infinite() -> None:
    assert flow_l_min(1.0, 0.0, Line(19, fittings_k=0.0)) == np.inf


def test_without_length_the_fittings_alone_hold_the_water_back() -> None:
    # Torricelli with one velocity head: sqrt(2 g h) through the bore
    expected = np.sqrt(2 * 9.80665 * 1.0) * np.pi / 4 * 0.019**2 * 60_000
    assert flow_l_min(1.0, 0.0, Line(19, fittings_k=1.0)) == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: head_loss_m(-1, 10, Line(19)), "flow_l_min"),
        (lambda: head_loss_m(1, -10, Line(19)), "length_m"),
        (lambda: flow_l_min(1, -10, Line(19)), "length_m"),
        (lambda: flow_l_min("much", 10, Line(19)), "head_m"),
    ],
)
def test_what_cannot_be_is_said(call: Any, where: str) -> None:
    with pytest.raises(InputError) as error:
        call()
    assert error.value.where == where
