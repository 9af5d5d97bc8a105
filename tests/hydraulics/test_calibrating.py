"""Bucket and stopwatch: what was put into a made line comes out again, as far as the tests can tell it."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.hydraulics import BucketTest, Line, Told, calibrate, flow_l_min

THOUGHT = Line(19.05)


def caught(line: Line, head_m: float, length_m: float, off: float = 1.0) -> BucketTest:
    """What a bucket of 10 L takes to fill from this line; `off`: by how much the timing is wrong."""
    flow = float(flow_l_min(head_m - line.held_back_m, length_m, line))
    return BucketTest(head_m, length_m, 10.0, 600.0 / flow / off)


@given(st.floats(0.8, 60.0), st.floats(0.4, 2.5), st.floats(2.0, 50.0))
def test_one_test_finds_the_fittings(k: float, head: float, length: float) -> None:
    real = Line(19.05, fittings_k=k)
    found = calibrate(THOUGHT, [caught(real, head, length)])
    assert found.told is Told.FITTINGS
    assert found.line.fittings_k == pytest.approx(k, rel=1e-6)
    assert found.line.roughness_mm == THOUGHT.roughness_mm
    assert found.misfits[0] == pytest.approx(0.0, abs=1e-6)
    assert found.fits
    low, high = found.fittings_k_band
    assert low <= k <= high


def test_two_lengths_tell_a_rough_wall_from_fittings() -> None:
    real = Line(19.05, roughness_mm=0.3, fittings_k=4.0)
    found = calibrate(THOUGHT, [caught(real, 1.5, 1.0), caught(real, 1.5, 40.0)])
    assert found.told is Told.BOTH
    assert found.line.roughness_mm == pytest.approx(0.3, rel=0.1)
    assert found.line.fittings_k == pytest.approx(4.0, rel=0.05)
    assert found.off_before[1] > 0.2  # the line was thought to give a fifth more
    assert all(abs(misfit) < 0.01 for misfit in found.misfits)


def test_two_heads_on_one_length_do_not_and_the_band_says_so() -> None:
    real = Line(19.05, roughness_mm=0.02, fittings_k=4.0)
    found = calibrate(THOUGHT, [caught(real, 0.6, 15.0), caught(real, 1.5, 15.0)])
    assert found.told is Told.FITTINGS
    assert found.line.roughness_mm == THOUGHT.roughness_mm
    low, high = found.roughness_mm_band
    assert low < 0.001
    assert high > 0.02
    assert found.fits


def test_a_loss_that_no_fittings_explain_is_the_wall_or_nothing() -> None:
    # a garden hose cannot lose less than a smooth wall and an entrance do
    found = calibrate(THOUGHT, [BucketTest(0.5, 30.0, 10.0, 20.0)])
    assert found.told is Told.NEITHER
    assert found.line == THOUGHT
    assert not found.fits
    # fittings of 200 do not lose so much over a short length: the bore is not what it is thought to be
    assert calibrate(THOUGHT, [BucketTest(2.0, 1.0, 10.0, 6000.0)]).told is Told.NEITHER
    # over a long one a rough wall does
    rough = Line(19.05, roughness_mm=0.9, fittings_k=2.5)
    walled = calibrate(dataclasses.replace(THOUGHT, fittings_k=2.5), [caught(rough, 50.0, 1000.0)])
    assert walled.told is Told.WALL
    assert walled.fits


@given(st.floats(0.97, 1.03), st.floats(0.97, 1.03))
def test_a_timing_that_is_off_as_usual_is_within_the_band(first: float, second: float) -> None:
    real = Line(19.05, roughness_mm=0.3, fittings_k=6.0)
    found = calibrate(THOUGHT, [caught(real, 1.5, 1.0, first), caught(real, 1.5, 40.0, second)])
    assert found.told is Told.BOTH
    assert found.fittings_k_band[0] * 0.85 <= 6.0 <= found.fittings_k_band[1] * 1.15
    assert found.fits


def test_what_is_no_test_is_refused() -> None:
    with pytest.raises(InputError, match="Nothing was measured"):
        calibrate(THOUGHT, [])
    with pytest.raises(InputError, match="drives nothing"):
        calibrate(Line(19.05, lift_m=1.0), [BucketTest(0.9, 5.0, 10.0, 60.0)])
    for bad in ({"seconds": 0.0}, {"litres": -1.0}, {"head_m": math.nan}):
        with pytest.raises(InputError, match="BucketTest"):
            BucketTest(**{"head_m": 1.0, "length_m": 5.0, "litres": 10.0, "seconds": 60.0, **bad})
