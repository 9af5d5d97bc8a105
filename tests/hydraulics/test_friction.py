"""Viscosity and friction factor against published values and the general-purpose library fluids."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import fluids
import numpy as np
import pytest
from fluids.friction import Churchill_1977, Colebrook
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.hydraulics import Line, friction_factor, friction_slope, head_loss_m, kinematic_viscosity_m2_s

CHECKS: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parent.parent / "reference" / "gravity_lines" / "checks.json").read_text(encoding="utf-8")
    )
}


@pytest.mark.parametrize(
    ("water_c", "expected_m2_s"),
    # CoolProp 8.0.0 (IAPWS-95 and its viscosity formulation), three digits; 0 and 40: IAPWS R12-08 table, from memory
    [(0.0, 1.792e-6), (10.0, 1.306e-6), (15.0, 1.139e-6), (20.0, 1.003e-6), (40.0, 6.58e-7)],
)
def test_viscosity_of_water(water_c: float, expected_m2_s: float) -> None:
    assert kinematic_viscosity_m2_s(water_c) == pytest.approx(expected_m2_s, rel=1e-3)


@pytest.mark.parametrize("reynolds", [0.0, 1000.0, 3000.0, 50_000.0, math.nan])
def test_one_reynolds_number_is_answered_as_one_of_many(reynolds: float) -> None:
    one, many = (friction_factor(given, roughness_share=0.001) for given in (reynolds, [[reynolds, 1.0]]))
    assert (one.shape, many.shape) == ((), (1, 2))
    assert float(one) == pytest.approx(float(many[0, 0]), nan_ok=True)


def test_colebrook_h03() -> None:
    check = CHECKS["H03"]
    for (reynolds, share), expected in zip(check["inputs"]["Re_eD"], check["expected"], strict=True):
        assert friction_factor([reynolds], roughness_share=share)[0] == pytest.approx(expected, abs=check["tolerance"])


@given(st.floats(4000, 1e8), st.floats(0, 0.05))
def test_turbulent_factor_is_colebrook(reynolds: float, share: float) -> None:
    expected = Colebrook(reynolds, share)  # fluids 1.3.1, exact by the Lambert function
    assert friction_factor([reynolds], roughness_share=share)[0] == pytest.approx(expected, rel=1e-6)


@given(st.floats(1e-3, 2000))
def test_laminar_factor_is_64_over_re(reynolds: float) -> None:
    expected = fluids.friction_laminar(reynolds)
    assert friction_factor([reynolds], roughness_share=0.001)[0] == pytest.approx(expected, rel=1e-12)


@given(st.floats(2000, 4000), st.floats(0, 0.01))
def test_the_transition_keeps_within_4_percent_of_churchill(reynolds: float, share: float) -> None:
    expected = Churchill_1977(reynolds, share)  # the library's one curve that goes through the transition
    assert friction_factor([reynolds], roughness_share=share)[0] == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize("share", [0.0, 1e-4, 1e-3, 0.01, 0.05])
def test_nowhere_a_jump_and_the_loss_rises_with_the_flow(share: float) -> None:
    reynolds = np.linspace(1900, 4100, 200_001)
    factor = friction_factor(reynolds, roughness_share=share)
    # steps of 0.011 in Re: a curve of any sense moves less than a thousandth on each
    assert np.abs(np.diff(factor) / factor[1:]).max() < 1e-3
    wide = np.union1d(reynolds, np.geomspace(1, 1e8, 10_000))
    assert (np.diff(friction_factor(wide, roughness_share=share) * wide**2) > 0).all()


@pytest.mark.parametrize("row", [name for name in CHECKS if name.startswith("H05")])
def test_head_lost_in_100_m_h05(row: str) -> None:
    check = CHECKS[row]
    given_ = check["inputs"]
    line = Line(given_["ID_m"] * 1000, given_["e_m"] * 1000, fittings_k=0.0, water_c=given_["T_C"])
    lost = head_loss_m(given_["Q_L_min"], given_["L_m"], line)
    np.testing.assert_allclose(lost, check["expected"], atol=check["tolerance"])


def test_no_flow_loses_nothing_and_nan_stays_nan() -> None:
    slope = friction_slope([0.0, np.nan], Line(19))
    assert slope[0] == 0.0
    assert np.isnan(slope[1])
