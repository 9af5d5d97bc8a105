"""Made years: the chain and its depths by the published figures, over long runs; what is kept exactly."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.files import import_weather
from gardenwater.site.climate import MONTH_DAYS
from gardenwater.weather import Monthly, Weather, chain_of, course, make_days, monthly_of, spells, usual_wet_days
from gardenwater.weather.made import LEAST_MEAN_MM
from tests.strategies import monthlies

EVEN = Monthly([50.0] * 12, [10.0] * 12, [5.0] * 12, [15.0] * 12)
RAIN = (76, 54, 50, 44, 38, 30, 26, 32, 48, 80, 86, 84)
WET = (15, 12, 11, 10, 9, 7, 6, 7, 9, 13, 15, 15)
LOW = (2.4, 2.3, 3.4, 4.8, 7.6, 10.4, 12.3, 12.2, 10.2, 7.6, 4.8, 3.0)
HIGH = (7.9, 8.4, 10.9, 13.9, 17.3, 20.4, 22.6, 22.2, 19.3, 15.0, 11.0, 8.5)
MILD = Monthly(RAIN, WET, LOW, HIGH)


def test_the_chain_of_a_month_of_50_mm_on_10_days_of_30() -> None:
    """Geng and others 1986 as the public source of the Wageningen generator has it (G_RAIN1): .25, .50, 6.99, .7153."""
    chain = chain_of(EVEN, days=[30.0] * 12)
    told = (chain.wet_after_dry[0], chain.wet_after_wet[0], chain.beta_mm[0], chain.alpha[0])
    assert told == pytest.approx((0.25, 0.5, 6.99, 0.7153), abs=0.0005)


def test_the_shape_is_held_under_a_small_mean() -> None:
    """The same source (G_RAIN3): 0.999 from a mean of 2.6056 mm a wet day down, where the fit reaches it."""
    assert pytest.approx(2.6056, abs=0.0005) == LEAST_MEAN_MM
    for mean_mm, alpha in ((LEAST_MEAN_MM * 0.9999, 0.999), (LEAST_MEAN_MM * 1.0001, 0.999), (1.0, 0.999)):
        chain = chain_of(Monthly([mean_mm * 10.0] * 12, [10.0] * 12))
        assert chain.alpha[0] == pytest.approx(alpha, abs=0.001)
        assert chain.alpha[0] * chain.beta_mm[0] == pytest.approx(mean_mm)


@settings(max_examples=25)
@given(monthlies())
def test_any_chain_has_the_wet_share_and_the_mean(monthly: Monthly) -> None:
    chain = chain_of(monthly)
    stationary = chain.wet_after_dry / (1.0 - chain.wet_after_wet + chain.wet_after_dry + (chain.wet_share == 0.0))
    assert stationary == pytest.approx(chain.wet_share, abs=1e-12)
    assert ((chain.wet_after_dry >= 0.0) & (chain.wet_after_wet <= 1.0 + 1e-12)).all()
    month_mm = chain.wet_share * np.array(MONTH_DAYS) * chain.alpha * chain.beta_mm
    assert month_mm == pytest.approx(np.asarray(monthly.rain_mm), rel=1e-9, abs=1e-9)


def wet_flags(weather: Weather) -> np.ndarray:
    return weather.rain_mm > 0.0


def test_wet_days_follow_the_chain_over_a_long_run() -> None:
    """Transitions of 2,000 made years against the chain's own; standard errors from the counts."""
    weather = make_days(dataclasses.replace(EVEN, wet_days=[d / 3.0 for d in MONTH_DAYS]), 1000, seed=3)
    wet = wet_flags(weather)
    after_dry, after_wet = wet[1:][~wet[:-1]], wet[1:][wet[:-1]]
    assert wet.mean() == pytest.approx(1 / 3, abs=4 * math.sqrt((1 / 3) * (2 / 3) * (1.25 / 0.75) / wet.size))
    assert after_dry.mean() == pytest.approx(0.25, abs=4 * math.sqrt(0.25 * 0.75 / after_dry.size))
    assert after_wet.mean() == pytest.approx(0.50, abs=4 * math.sqrt(0.5 * 0.5 / after_wet.size))
    lag1 = np.corrcoef(wet[:-1], wet[1:])[0, 1]
    assert lag1 == pytest.approx(0.25, abs=0.007)  # P(W|W) - P(W|D), whatever the wet share


def test_the_spread_of_wet_days_in_a_month() -> None:
    """Variance of the wet days of 30, wet share 0.4, lag-1 correlation 0.25 (G_RAIN4): 11.787, by the formula below."""
    n, f, r = 30, 0.4, 0.25
    formula = f * (1 - f) * (n + 2 * sum((n - k) * r**k for k in range(1, n)))
    assert formula == pytest.approx(11.787, abs=0.001)
    weather = make_days(dataclasses.replace(EVEN, wet_days=[f * d for d in MONTH_DAYS]), 1500, seed=5)
    wet = wet_flags(weather)
    thirties = wet[: wet.size // n * n].reshape(-1, n).sum(axis=1)
    assert thirties.var() == pytest.approx(formula, rel=4 * math.sqrt(2 / thirties.size))


def test_mean_wet_spell() -> None:
    """1 / (0.75 (1 - f)): days of a wet spell of the chain, here f = 0.4."""
    weather = make_days(dataclasses.replace(EVEN, wet_days=[0.4 * d for d in MONTH_DAYS]), 1000, seed=7)
    wet = wet_flags(weather)
    starts = np.flatnonzero(wet[1:] & ~wet[:-1]).size
    assert wet.sum() / starts == pytest.approx(1 / (0.75 * 0.6), rel=0.01)


def test_depths_are_gamma() -> None:
    """Mean and variance of the wet days of a long run: alpha beta, alpha beta squared."""
    weather = make_days(dataclasses.replace(EVEN, wet_days=[d / 3.0 for d in MONTH_DAYS]), 1000, seed=9)
    july = weather.rain_mm[(weather.months() == 7) & wet_flags(weather)]
    chain = chain_of(dataclasses.replace(EVEN, wet_days=[d / 3.0 for d in MONTH_DAYS]))
    assert july.mean() == pytest.approx(chain.alpha[6] * chain.beta_mm[6], rel=0.02)
    assert july.var() == pytest.approx(chain.alpha[6] * chain.beta_mm[6] ** 2, rel=0.05)
    assert np.median(july) == pytest.approx(2.87, rel=0.03)  # pinned: scipy.stats.gamma(alpha).median() * beta


@settings(max_examples=12)
@given(monthly=monthlies(), years=st.integers(1, 5), seed=st.integers(0, 5))
def test_monthly_means_are_kept_over_the_run(monthly: Monthly, years: int, seed: int) -> None:
    weather = make_days(monthly, years, seed)
    month = weather.months() - 1
    for number in range(12):
        of_month = month == number
        assert weather.rain_mm[of_month].sum() / years == pytest.approx(monthly.rain_mm[number], rel=1e-9, abs=1e-9)
        assert weather.t_min_c[of_month].mean() == pytest.approx(monthly.t_min_c[number], abs=1e-9)
        assert weather.t_max_c[of_month].mean() == pytest.approx(monthly.t_max_c[number], abs=1e-9)
    assert (weather.rain_mm >= 0.0).all()
    assert weather.made
    assert weather.years == tuple(range(1, years + 1))


def test_single_years_differ_and_a_seed_is_a_run() -> None:
    weather = make_days(MILD, 30, 1)
    assert make_days(MILD, 30, 1) == weather
    assert make_days(MILD, 30, 2) != weather
    totals = [weather.year(year).rain_mm.sum() for year in weather.years]
    assert np.mean(totals) == pytest.approx(sum(RAIN))
    assert 0.05 < np.std(totals) / np.mean(totals) < 0.25
    pinned = [round(each, 3) for each in weather.rain_mm[:6].tolist()]
    assert pinned == [
        0.0,
        0.0,
        2.104,
        0.0,
        9.077,
        1.035,
    ]  # pinned: the same days on every machine, by the inverse of the gamma distribution


def test_low_stays_below_high_where_the_figures_do() -> None:
    weather = make_days(MILD, 3, 1)
    assert (weather.t_min_c < weather.t_max_c).all()


def test_figures_without_temperatures_give_days_without() -> None:
    weather = make_days(Monthly(RAIN), 2, 1)
    assert not weather.knows("t_min_c")
    assert weather.rain_mm.sum() == pytest.approx(2 * sum(RAIN))


def test_a_month_without_wet_days_has_the_usual_ones() -> None:
    none = chain_of(dataclasses.replace(EVEN, wet_days=[0.0] * 12))
    assert none.wet_share * np.array(MONTH_DAYS) == pytest.approx(usual_wet_days(EVEN.rain_mm))
    assert usual_wet_days([0.0] * 12).tolist() == [0.0] * 12


def test_the_usual_wet_days_are_right_within_a_third_at_three_stations(shared_data) -> None:
    """Days with any rain of De Bilt, Merced and Milwaukee, of months with 10 mm or more; the factor is their mean."""
    factors = []
    for folder in ("climate-debilt-nl", "climate-merced-us", "climate-milwaukee-us"):
        known = monthly_of(import_weather(shared_data / folder / "daily.csv").payload)
        pairs = [(mm, days) for mm, days in zip(known.rain_mm, known.wet_days, strict=True) if mm >= 10.0]
        factors.append(np.mean([days / mm**0.45 for mm, days in pairs]))
    assert np.mean(factors) == pytest.approx(1.7, abs=0.05)
    assert [round(float(each), 1) for each in factors] == [2.3, 1.3, 1.6]


def test_made_droughts_are_too_few(shared_data) -> None:
    """What is said of made years: at De Bilt the longest dry spell on record is longer than in as many made years."""
    record = import_weather(shared_data / "climate-debilt-nl" / "daily.csv").payload
    made = make_days(monthly_of(record), len(record.years), 1)
    longest = [max(spell.days for spell in spells(each, wet=False)) for each in (record, made)]
    assert longest[0] > longest[1]


@settings(max_examples=25)
@given(st.lists(st.floats(-40, 45), min_size=12, max_size=12), st.integers(1900, 2100))
def test_the_course_keeps_each_month(means: list[float], year: int) -> None:
    dates = np.arange(np.datetime64(f"{year}-01-01"), np.datetime64(f"{year + 1}-01-01"))
    values = course(dates, means)
    month = dates.astype("datetime64[M]").astype(int) % 12
    spread = max(means) - min(means)
    for number in range(12):
        assert values[month == number].mean() == pytest.approx(means[number], abs=1e-3 * spread + 1e-9)
    assert np.abs(np.diff(values)).max() <= spread * 0.3 + 1e-9  # no step at the turn of a month


@pytest.mark.parametrize(
    ("monthly", "years", "words"),
    [
        (EVEN, 0, "0 years cannot be made"),
        (EVEN, 20_000, "20000 years cannot be made"),
        (dataclasses.replace(EVEN, rain_mm=[1.0] * 11), 1, "twelve"),
        (dataclasses.replace(EVEN, rain_mm=[math.nan] * 12), 1, "not known"),
        (dataclasses.replace(EVEN, rain_mm=[-1.0] * 12), 1, "It is"),
        (dataclasses.replace(EVEN, wet_days=[31.0] * 12), 1, "February has not 31 days"),
        (dataclasses.replace(EVEN, t_min_c=[20.0] * 12), 1, "above the highest"),
    ],
)
def test_figures_that_cannot_be_taken_are_named(monthly: Monthly, years: int, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        make_days(monthly, years, 1)
    assert caught.value.mend
