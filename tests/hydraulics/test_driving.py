"""Flow by the water level along a way, and how long water takes to be drawn: closed forms, and another integrator."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line, Piece, drive_along, flow_l_min, head_loss_m

CHECKS = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parent.parent / "reference" / "gravity_lines" / "checks.json").read_text(encoding="utf-8")
    )
}

Floats = NDArray[np.float64]


def upright(area_m2: float, floor_m: float = 0.0) -> Callable[[Floats], Floats]:
    def litres_at(level_m: Floats) -> Floats:
        return (level_m - floor_m) * area_m2 * 1000.0

    return litres_at


def test_emptying_through_an_orifice_h11_h13() -> None:
    """All that holds the water back is the exit's velocity head: t = 2A(sqrt h0 - sqrt h1)/(a sqrt 2g)."""
    check = CHECKS["H11"]
    orifice = drive_along(Line(check["inputs"]["d_m"] * 1000, fittings_k=1.0), end_level_m=0.0, length_m=0.0)
    litres_at = upright(check["inputs"]["A_m2"])
    whole = orifice.draw_s(check["inputs"]["h0_m"], 0.0, litres_at)
    assert whole == pytest.approx(check["expected"], abs=check["tolerance"])
    half = orifice.draw_s(1.0, 0.5, litres_at)
    assert half / whole == pytest.approx(CHECKS["H13"]["expected"], abs=CHECKS["H13"]["tolerance"])


@given(
    st.sampled_from([13.0, 19.05, 32.6]),
    st.floats(2.0, 60.0),
    st.floats(0.5, 9.0),
    st.floats(0.15, 0.9),
    st.sampled_from(["upright", "lying"]),
)
def test_with_losses_it_agrees_with_an_ode_solver(bore: float, length: float, k: float, last: float, form: str) -> None:
    line = Line(bore, fittings_k=k)
    drive = drive_along(line, end_level_m=0.0, length_m=length)
    radius = 0.6

    def area_m2(level: float) -> float:
        if form == "upright":
            return 1.2
        high = min(max(level, 1e-9), 2 * radius - 1e-9)
        return 2.0 * math.sqrt(high * (2 * radius - high)) * 1.5

    def litres_at(level: Floats) -> Floats:
        if form == "upright":
            return level * 1200.0
        share = np.clip(level / (2 * radius), 0.0, 1.0)
        angle = np.arccos(1 - 2 * share)
        litres: Floats = radius**2 * (angle - np.sin(angle) * np.cos(angle)) * 1.5 * 1000.0
        return litres

    def falls(_: float, level: Floats) -> list[float]:
        return [-float(flow_l_min(level[0], length, line)) / 60_000.0 / area_m2(float(level[0]))]

    def there(_: float, level: Floats) -> float:
        return float(level[0] - last)

    there.terminal = True  # type: ignore[attr-defined]
    found = solve_ivp(falls, (0.0, 1e7), [1.0], events=there, rtol=1e-7, atol=1e-9)
    assert drive.draw_s(1.0, last, litres_at) == pytest.approx(float(found.t_events[0][0]), rel=2e-3)


@given(st.floats(0.02, 3.0), st.floats(0.0, 100.0))
def test_flow_is_that_of_the_line(head: float, length: float) -> None:
    line = Line(19.05, lift_m=0.1, least_head_m=0.05, lead=(Piece(26, 12.0, fittings_k=0.7),))
    drive = drive_along(line, end_level_m=5.0, length_m=length)
    assert float(drive.flow_at(5.15 + head)) == pytest.approx(float(flow_l_min(head, length, line)), rel=2e-3)
    assert float(drive.flow_at(5.15)) == 0.0


def test_a_hump_on_the_way_lets_less_through_than_the_end() -> None:
    line = Line(19.05, fittings_k=2.5, line_height_m=0.05)
    free = drive_along(line, end_level_m=0.0, length_m=40.0)
    hump = drive_along(line, end_level_m=0.0, length_m=40.0, way_level_m=[0.1, 0.8], way_m=[10.0, 20.0])
    assert hump.least_level_m == pytest.approx(0.85)
    # to the hump: all but the exit, over 20 m
    flow = float(hump.flow_at(1.0))
    to_hump = float(head_loss_m(flow, 20.0, Line(19.05, fittings_k=1.5)))
    assert to_hump == pytest.approx(1.0 - 0.85, rel=5e-3)
    assert flow < float(free.flow_at(1.0))
    assert float(hump.flow_at(0.84)) == 0.0


def test_what_cannot_be_drawn() -> None:
    drive = drive_along(Line(19.05), end_level_m=0.5, length_m=10.0)
    litres_at = upright(1.0)
    assert drive.draw_s(1.0, 0.4, litres_at) == math.inf
    assert drive.draw_s(1.0, 1.0, litres_at) == 0.0
    with pytest.raises(InputError, match="cannot rise"):
        drive.draw_s(1.0, 1.1, litres_at)
    with pytest.raises(InputError, match="a level and a distance"):
        drive_along(Line(19.05), end_level_m=0.5, length_m=10.0, way_level_m=[1.0], way_m=[1.0, 2.0])
    with pytest.raises(InputError, match="negative"):
        drive_along(Line(19.05), end_level_m=0.5, length_m=-1.0)
