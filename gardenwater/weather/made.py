"""Years made from twelve monthly figures: a two-state chain of wet and dry days, gamma depths."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.site.climate import MONTHS, Monthly, monthly_faults
from gardenwater.weather.model import Weather
from gardenwater.weather.seasons import course, month_days

Twelve = NDArray[np.float64]
"""One figure a month, float64 (12,), January first."""

_WET_AFTER_DRY = 0.75
_BETA_SLOPE, _BETA_OFFSET_MM = 1.83, 2.16
_LEAST_ALPHA = 0.999
_LEAST_WET_DAYS = 0.01
LEAST_MEAN_MM = _LEAST_ALPHA * _BETA_OFFSET_MM / (_LEAST_ALPHA * _BETA_SLOPE - 1.0)
"""Mean depth of a wet day below which the shape is held at 0.999: 2.606 mm, where the fitted shape would pass it."""
_MOST_YEARS = 10_000
FIRST_MADE_YEAR = 1
"""Made years are numbered from 1, so that none is taken for a year on record."""


@dataclass(frozen=True, slots=True)
class Chain:
    """What wet and dry days of each month are drawn from, float64 (12,) each.

    wet_share: of all days. wet_after_dry, wet_after_wet: probabilities. alpha: shape of the gamma depths. beta_mm:
    their scale. Source: Geng, Penning de Vries and Supit 1986, Agricultural and Forest Meteorology 36:363-376.
    """

    wet_share: Twelve
    wet_after_dry: Twelve
    wet_after_wet: Twelve
    alpha: Twelve
    beta_mm: Twelve


def usual_wet_days(rain_mm: Sequence[float]) -> Twelve:
    """Wet days of each month where only its rain R is known: 1.7 R ** 0.45, at most three days in four.

    The exponent is that of New, Hulme and Jones 2000 (Journal of Climate 13:2217-2238); the factor is the mean of three
    stations on record (De Bilt 2.3, Milwaukee 1.6, Merced 1.3), days with any rain, months of 10 mm or more: right
    within a third. Fewer wet days mean heavier rain and longer dry spells.
    """
    return np.minimum(1.7 * np.asarray(rain_mm, dtype=np.float64) ** 0.45, 0.75 * month_days())


def chain_of(monthly: Monthly, days: Sequence[float] | None = None) -> Chain:
    """The chain of twelve monthly figures.

    days: days of each month; the calendar's mean unless given. A month with rain but with less than one wet day in a
    hundred years (a station counts the days over its threshold) has the usual number for its rain.
    """
    rain = np.asarray(monthly.rain_mm, dtype=np.float64)
    length = month_days() if days is None else np.asarray(days, dtype=np.float64)
    usual = usual_wet_days(monthly.rain_mm)
    given = usual if monthly.wet_days is None else np.asarray(monthly.wet_days, dtype=np.float64)
    wet_days = np.where(rain > 0.0, np.minimum(np.where(given >= _LEAST_WET_DAYS, given, usual), length), 0.0)
    share = wet_days / length
    mean_mm = np.divide(rain, wet_days, out=np.ones(MONTHS), where=wet_days > 0.0)
    small = mean_mm < LEAST_MEAN_MM
    beta = np.where(small, mean_mm / _LEAST_ALPHA, _BETA_SLOPE * mean_mm - _BETA_OFFSET_MM)
    alpha = np.where(small, _LEAST_ALPHA, mean_mm / beta)
    after_dry = _WET_AFTER_DRY * share
    return Chain(share, after_dry, (1.0 - _WET_AFTER_DRY) + after_dry, alpha, beta)


def make_days(monthly: Monthly, years: int, seed: int = 1) -> Weather:
    """Days of whole years made from twelve monthly figures; the same for the same seed.

    Rain: each day is wet or dry by the day before (two-state chain), a wet day's depth is gamma-distributed (Geng and
    others 1986). The rain of each month is then scaled so that its mean over the run is the figure given; single years
    differ as the chain has it. Temperatures follow the monthly means through the year without a day's chance, wet or
    dry; they are unknown where the figures have none. A chain makes too few long droughts: set the driest year on
    record beside it where there is one.

    years: 1 to 10,000, numbered from 1. Raises InputError for figures that cannot be taken.
    """
    _refuse(monthly, years)
    start = dt.date(FIRST_MADE_YEAR, 1, 1)
    end = np.datetime64(dt.date(FIRST_MADE_YEAR + years - 1, 12, 31), "D")
    dates = np.arange(np.datetime64(start, "D"), end + 1)
    month = dates.astype("datetime64[M]").astype(np.int64) % MONTHS
    random = np.random.default_rng(seed)
    wet = _wet(chain := chain_of(monthly), month, random)
    rain = _depths(chain, month, wet, random)
    return Weather(
        start=start,
        rain_mm=_kept(rain, month, np.asarray(monthly.rain_mm, dtype=np.float64) * years, random),
        t_min_c=None if monthly.t_min_c is None else _with_means(dates, month, monthly.t_min_c),
        t_max_c=None if monthly.t_max_c is None else _with_means(dates, month, monthly.t_max_c),
        made=True,
        source=monthly.source,
    )


def _refuse(monthly: Monthly, years: int) -> None:
    if not 1 <= years <= _MOST_YEARS:
        raise InputError(f"{years} years cannot be made.", where="years", mend=f"Give 1 to {_MOST_YEARS:,}.")
    for fault in monthly_faults(monthly, optional=("wet_days", "t_min_c", "t_max_c")):
        raise InputError(fault.what, where=f"monthly, {fault.label}", mend=fault.mend)


def _wet(chain: Chain, month: NDArray[np.int64], random: np.random.Generator) -> NDArray[np.bool_]:
    """Which days are wet, bool (days,).

    As wet is always likelier after a wet day, a draw below both probabilities is wet and one above both is dry,
    whatever the day before; one between them keeps the state. So each day is as the last that was settled.
    """
    draw = random.random(month.size)
    wet, settled = draw < chain.wet_after_dry[month], np.ones(month.size, dtype=np.bool_)
    settled[:] = wet | (draw >= chain.wet_after_wet[month])
    settled[0] = True
    wet[0] = draw[0] < chain.wet_share[month[0]]
    last_settled = np.maximum.accumulate(np.where(settled, np.arange(month.size), 0))
    result: NDArray[np.bool_] = wet[last_settled]
    return result


def _depths(
    chain: Chain, month: NDArray[np.int64], wet: NDArray[np.bool_], random: np.random.Generator
) -> NDArray[np.float64]:
    """Rain of each day, mm, float64 (days,): of its own draw by the inverse of the gamma distribution.

    A library's sampler may draw otherwise in a later version, and other figures would shift its whole stream; the
    inverse does neither.
    """
    from scipy.special import gammaincinv

    draw = random.random(month.size)
    of_wet = month[wet]
    rain = np.zeros(month.size)
    rain[wet] = gammaincinv(chain.alpha[of_wet], draw[wet]) * chain.beta_mm[of_wet]
    return rain


def _kept(
    rain: NDArray[np.float64], month: NDArray[np.int64], wanted_mm: Twelve, random: np.random.Generator
) -> NDArray[np.float64]:
    """The rain scaled month by month to what all years together should have; a month without any gets one day."""
    for number in range(MONTHS):
        days = np.flatnonzero(month == number)
        total = rain[days].sum()
        if total > 0.0:
            rain[days] *= wanted_mm[number] / total
        elif wanted_mm[number] > 0.0:
            rain[days[int(random.random() * days.size)]] = wanted_mm[number]
    return rain


def _with_means(dates: NDArray[np.datetime64], month: NDArray[np.int64], means: Sequence[float]) -> NDArray[np.float64]:
    """The course of monthly means, each month's mean over all years exact."""
    values = course(dates, means)
    for number, mean in enumerate(means):
        values[month == number] += mean - values[month == number].mean()
    return values
