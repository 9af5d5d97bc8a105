"""Weirs, full pipes, channels and soakaways against published rows and another library."""

from __future__ import annotations

import math

import fluids
import pytest

from gardenwater.hydraulics import (
    Section,
    channel_m3_s,
    full_pipe_m3_s,
    grass_bears_m_s,
    half_empty_h,
    manning_m_s,
    normal_depth_m,
    notch_m3_s,
    orifice_m3_s,
    soakaway_outflow_m3_s,
    soakaway_sheet,
    trial_pit_m_s,
    weir_head_m,
    weir_m3_s,
)

# Rain once in ten years by duration (min, mm): site report of February 2017, seen second-hand.
MINUTES = (10, 15, 30, 60, 120, 240, 360, 600, 1440, 2880)
M10_MM = (12.69, 15.5, 19.84, 24.8, 30.01, 35.38, 38.72, 42.96, 52.86, 61.31)


def test_a_spillway() -> None:
    # checks row I12: broad-crested weir 0.3 m wide, 30 mm of head: 2.66 L/s (any text on hydraulics)
    assert 1000 * weir_m3_s(width_m=0.3, head_m=0.03) == pytest.approx(2.66, abs=0.01)
    assert weir_head_m(width_m=0.3, flow_m3_s=weir_m3_s(width_m=0.3, head_m=0.03)) == pytest.approx(0.03)
    assert weir_m3_s(width_m=0.3, head_m=-0.1) == 0.0
    assert notch_m3_s(head_m=0.1) == pytest.approx(1.37 * 0.1**2.5)


def test_an_orifice() -> None:
    # 20 mm, 1 m, Cd 0.61: 50.9 L/min (computed with a general-purpose library)
    assert 60_000 * orifice_m3_s(bore_mm=20.0, head_m=1.0) == pytest.approx(50.9, abs=0.1)


@pytest.mark.parametrize("fall", [0.005, 0.0125, 0.05, 0.3])
@pytest.mark.parametrize("bore_mm", [50.0, 110.0])
def test_a_full_pipe_against_another_library(bore_mm: float, fall: float) -> None:
    """fluids' Darcy-Weisbach with Colebrook: the head that this flow loses on a metre is the fall."""
    flow = full_pipe_m3_s(bore_mm=bore_mm, fall=fall)
    bore_m, nu = bore_mm / 1000, 1.306e-6
    speed = flow / (math.pi * bore_m**2 / 4)
    factor = fluids.friction_factor(Re=speed * bore_m / nu, eD=0.6e-3 / bore_m, Method="Colebrook")
    assert factor * speed**2 / (2 * 9.80665 * bore_m) == pytest.approx(fall, rel=0.002)
    assert full_pipe_m3_s(bore_mm=bore_mm, fall=-0.01) == 0.0


@pytest.mark.parametrize(("n", "speed_m_s"), [(0.03, 0.757), (0.1, 0.227), (0.25, 0.0908)])
def test_a_swale(n: float, speed_m_s: float) -> None:
    # checks row I13: bed 0.3 m, sides 1 in 3, 0.1 m deep, fall 1 in 50
    swale = Section(bed_m=0.3, sides=3.0)
    assert manning_m_s(swale, depth_m=0.1, fall=0.02, n=n) == pytest.approx(speed_m_s, abs=0.001)
    area = swale.area_m2(0.1)
    radius = area / swale.wetted_m(0.1)
    assert manning_m_s(swale, depth_m=0.1, fall=0.02, n=n) == pytest.approx(fluids.V_Manning(Rh=radius, S=0.02, n=n))
    flow = channel_m3_s(swale, depth_m=0.1, fall=0.02, n=n)
    assert normal_depth_m(swale, flow_m3_s=flow, fall=0.02, n=n) == pytest.approx(0.1, abs=2e-4)


def test_a_channel_that_does_not_fall_or_carries_nothing() -> None:
    swale = Section(bed_m=0.3, sides=3.0)
    assert channel_m3_s(swale, depth_m=0.1, fall=0.0, n=0.03) == 0.0
    assert normal_depth_m(swale, flow_m3_s=0.001, fall=0.0, n=0.03) == math.inf
    assert normal_depth_m(swale, flow_m3_s=0.0, fall=0.02, n=0.03) == 0.0


def test_grass_bears_less_the_steeper_it_is() -> None:
    # SCS-TP-61 through municipal codes: grass mixtures on easily eroded soil 4 and 3 ft/s
    assert [round(grass_bears_m_s(fall) / 0.3048, 6) for fall in (0.02, 0.08, 0.2)] == [4.0, 3.0, 2.5]


def test_a_trial_pit() -> None:
    # checks row I01: pit 1.0 x 0.75 m, 1 m of water, 56 min: calculation sheet of 14 May 2008, second-hand
    found = trial_pit_m_s(length_m=1.0, width_m=0.75, depth_m=1.0, fall_min=56)
    assert found == pytest.approx(4.461e-5, abs=1e-7)


def test_what_soaks_from_a_soakaway() -> None:
    # checks row I02, the same sheet: 2.0 x 1.5 m, 1.5 m deep: 5.25 m², 234.1e-6 m³/s
    outflow = soakaway_outflow_m3_s(perimeter_m=7.0, depth_m=1.5, soak_m_s=4.461e-5)
    assert outflow == pytest.approx(234.1e-6, abs=2e-7)


def test_inflow_by_duration() -> None:
    # checks row I03: 690 m²
    sheet = soakaway_sheet(area_m2=690, depths_mm=M10_MM, minutes=MINUTES, outflow_m3_s=0.0)
    expected = (8.75, 10.69, 13.69, 17.11, 20.71, 24.41, 26.72, 29.64, 36.48, 42.3)
    assert sheet.inflow_m3 == pytest.approx(expected, abs=0.02)


def test_the_storage_of_a_soakaway() -> None:
    # checks row I05: 50 m² of roof, pit 1.5 x 1.0 x 1.2 m, f 1e-5: 1.337 m³ after 240 min, half empty in 6.2 h
    outflow = soakaway_outflow_m3_s(perimeter_m=5.0, depth_m=1.2, soak_m_s=1e-5)
    sheet = soakaway_sheet(area_m2=50, depths_mm=M10_MM, minutes=MINUTES, outflow_m3_s=outflow)
    assert sheet.storage_m3 == pytest.approx(1.337, abs=0.002)
    assert sheet.minutes == 240
    assert sheet.half_empty_h == pytest.approx(6.2, abs=0.05)
    assert half_empty_h(stored_m3=1.0, outflow_m3_s=0.0) == math.inf


def test_a_soakaway_that_takes_all_as_it_comes_need_hold_nothing() -> None:
    sheet = soakaway_sheet(area_m2=1, depths_mm=M10_MM, minutes=MINUTES, outflow_m3_s=1.0)
    assert (sheet.storage_m3, sheet.minutes) == (0.0, 0.0)
