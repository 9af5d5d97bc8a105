"""The crop coefficient through a season, against FAO-56's examples (Allen and others, 1998)."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from gardenwater.demand.curve import climate_lift, curve, standing
from gardenwater.demand.figures import CropFigures, figures
from gardenwater.demand.model import Stage


def _tomatoes() -> CropFigures:
    found = figures("tomatoes")
    assert found is not None
    return found


@pytest.mark.parametrize(("wind_m_s", "humidity_pct", "kc"), [(1.3, 75.0, 1.07), (4.6, 44.0, 1.30)])
def test_a_coefficient_is_fitted_to_the_air(wind_m_s: float, humidity_pct: float, kc: float) -> None:
    # FAO-56 equation 62 with 1.2 and a crop of 2 m: Taipei and Mocha; from memory, and reproduced by the equation
    assert 1.2 + float(climate_lift(wind_m_s, humidity_pct, 2.0)) == pytest.approx(kc, abs=0.006)


def test_the_air_counts_as_far_as_the_equation_was_made_for() -> None:
    # FAO-56 equation 62: 1 to 6 m/s, 20 to 80 %
    assert climate_lift(9.0, 5.0, 1.0) == climate_lift(6.0, 20.0, 1.0)
    assert climate_lift(0.0, 99.0, 1.0) == climate_lift(1.0, 80.0, 1.0)


@pytest.mark.parametrize(("day", "kcb"), [(1, 0.15), (25, 0.15), (40, 0.77), (70, 1.19), (95, 0.56), (100, 0.35)])
def test_the_curve_of_a_season(day: int, kcb: float) -> None:
    # FAO-56 equation 66, dry beans of 25, 25, 30 and 20 days, 0.15, 1.19 and 0.35; from memory, reproduced by hand
    at = curve((25, 50, 80, 100), (0.15, 1.19, 0.35), np.array([float(day)]))
    assert float(at[0]) == pytest.approx(kcb, abs=0.006)


def test_a_season_on_its_days() -> None:
    crop = _tomatoes()
    mild = np.full(400, 2.0), np.full(400, 45.0)
    here = standing(crop, 10, 10 + crop.length, *mild)
    assert here.kcb.size == crop.length == 145
    # in air of 45 % and 2 m/s the table's figures stand (FAO-56 Table 17)
    assert (here.kcb[0], here.kcb[69], here.kcb[114], here.kcb[-1]) == pytest.approx((0.15, 1.10, 1.10, 0.70))
    assert [int(here.stage[at]) for at in (0, 29, 30, 69, 70, 114, 115, 144)] == [
        Stage.INITIAL,
        Stage.INITIAL,
        Stage.DEVELOPMENT,
        Stage.DEVELOPMENT,
        Stage.MIDDLE,
        Stage.MIDDLE,
        Stage.LATE,
        Stage.LATE,
    ]
    # roots from 0.15 m to the lesser depth of Table 22, which is for watering by
    assert (here.root_m[0], here.root_m[-1]) == pytest.approx((0.15, 0.7))
    assert (np.diff(here.root_m) >= 0.0).all()
    assert (np.diff(here.height_m) >= 0.0).all()


def test_a_season_that_began_before_the_weather_is_there_in_part() -> None:
    crop = _tomatoes()
    air = np.full(400, 2.0), np.full(400, 45.0)
    whole, part = standing(crop, 0, crop.length, *air), standing(crop, -100, crop.length - 100, *air)
    assert part.kcb == pytest.approx(whole.kcb[100:])
    assert standing(crop, 390, 390 + crop.length, *air).kcb == pytest.approx(whole.kcb[:10])


def test_mid_season_is_fitted_to_its_own_air_and_not_to_that_of_other_days() -> None:
    crop = _tomatoes()
    wind, humidity = np.full(400, 2.0), np.full(400, 45.0)
    wind[70:115], humidity[70:115] = 4.0, 30.0
    here = standing(crop, 0, crop.length, wind, humidity)
    # equation 70 by hand: 1.10 + (0.04 x 2 + 0.004 x 15) (0.6 / 3) ^ 0.3
    assert here.kcb[80] == pytest.approx(1.10 + 0.14 * 0.2**0.3)
    assert here.kcb[-1] == pytest.approx(0.70)


def test_a_low_coefficient_is_left_as_it_is() -> None:
    # FAO-56 equation 70: from 0.45 on
    crop = dataclasses.replace(_tomatoes(), kcb=(0.15, 1.1, 0.4))
    here = standing(crop, 0, crop.length, np.full(400, 6.0), np.full(400, 20.0))
    assert here.kcb[-1] == pytest.approx(0.4)


def test_a_perennial_stands_full_grown_from_the_first_day() -> None:
    crop = figures("apples")
    assert crop is not None
    here = standing(crop, 0, crop.length, np.full(400, 2.0), np.full(400, 45.0))
    assert (here.root_m == crop.root_m).all()
    assert (here.height_m == crop.height_m).all()
