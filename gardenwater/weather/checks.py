"""The checks of a record of days: which figures cannot be, and which are unlikely.

Each gives the places of the figures in the arrays, int64. They follow the checks of the Global Historical Climatology
Network (Durre, Menne, Gleason, Houston and Vose 2010, Journal of Applied Meteorology and Climatology 49:1615-1633),
their thresholds from memory, with the calendar month in the place of a window of days.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from gardenwater.site.climate import MONTHS
from gardenwater.weather.model import Days

Places = NDArray[np.int64]

POSSIBLE: Final = {
    "rain_mm": (0.0, 1825.0),
    "t_min_c": (-89.2, 56.7),
    "t_max_c": (-89.2, 56.7),
    "radiation_mj_m2": (0.0, 48.0),
    "wind_m_s": (0.0, 110.0),
    "humidity_mean_pct": (0.0, 100.0),
    "dew_point_c": (-95.0, 36.0),
}
"""Least and most of a day. Rain and temperatures: the world's records (WMO archive of extremes: Foc-Foc 1966, Vostok
1983, Furnace Creek 1913). Radiation: no day above the air has more than 48 MJ/m2 (FAO-56 annex 2, table 2.6). Wind and
dew point: no source, wide of all records."""
_RAIN_TIMES = 9.0
_RAIN_SHARE_PCT = 95.0
_LEAST_WET_DAYS = 20
_SIGMAS = 6.0
_LEAST_SIGMA_K = 1.0
_QUARTILES_TO_SIGMA = 1.349
_STREAK_DAYS = 20
_LEAST_DAYS = 60
_DRY_YEAR_MM, _WET_YEAR_MM = 12.0, 12_000.0
_MUCH_YEAR_MM, _HEAVY_DAY_MM = 2500.0, 254.0
_INCH_YEAR_MM, _INCH_DAY_MM = 130.0, 16.0
_YEAR_DAYS = 365.25


def outside(values: Days, column: str) -> Places:
    """Figures that no day on Earth has had; negative rain is a case of its own and not among them."""
    least, most = POSSIBLE[column]
    low = np.zeros(values.size, dtype=np.bool_) if column == "rain_mm" else values < least
    return np.flatnonzero(low | (values > most))


def unlikely_rain(rain_mm: Days, month: NDArray[np.int64]) -> Places:
    """Rain over nine times the 95th percentile of the wet days of its month, where twenty of them are known."""
    found = [np.empty(0, dtype=np.int64)]
    for number in range(1, MONTHS + 1):
        wet = np.flatnonzero((month == number) & (rain_mm > 0.0))
        if wet.size >= _LEAST_WET_DAYS:
            limit = _RAIN_TIMES * np.percentile(rain_mm[wet], _RAIN_SHARE_PCT)
            found.append(wet[rain_mm[wet] > limit])
    return np.sort(np.concatenate(found))


def unlikely_temperature(values: Days, month: NDArray[np.int64]) -> Places:
    """Temperatures more than six standard deviations (by the quartiles) off the middle of their month."""
    found = [np.empty(0, dtype=np.int64)]
    for number in range(1, MONTHS + 1):
        of_month = np.flatnonzero((month == number) & ~np.isnan(values))
        if of_month.size >= _LEAST_DAYS:
            low, middle, high = np.percentile(values[of_month], (25.0, 50.0, 75.0))
            sigma = max((high - low) / _QUARTILES_TO_SIGMA, _LEAST_SIGMA_K)
            found.append(of_month[np.abs(values[of_month] - middle) > _SIGMAS * sigma])
    return np.sort(np.concatenate(found))


def streaks(values: Days, *, nonzero: bool) -> list[tuple[int, int]]:
    """Runs of at least twenty days with one and the same figure: first and last place. nonzero: runs of 0 are none."""
    same = np.diff(values) == 0.0
    edges = np.flatnonzero(np.diff(np.concatenate(([False], same, [False])).astype(np.int8)))
    runs = [(int(first), int(last)) for first, last in zip(edges[::2], edges[1::2], strict=True)]
    return [run for run in runs if run[1] - run[0] + 1 >= _STREAK_DAYS and not (nonzero and values[run[0]] == 0.0)]


def rain_of_a_year_mm(rain_mm: Days) -> float:
    """Rain of a mean year, mm, from all days known; NaN where fewer than 60 are."""
    known = rain_mm[~np.isnan(rain_mm)]
    return float(known.mean() * _YEAR_DAYS) if known.size >= _LEAST_DAYS else float("nan")


def looks_like_tenths(rain_mm: Days) -> bool:
    """Whether rain taken for mm is likely tenths: more in a year than anywhere, or much of it and in whole numbers.

    The most known is Mawsynram, 11,870 mm in a mean year (from memory); over 2,500 mm in whole numbers with a day over
    254 mm: common sense, no source.
    """
    year_mm = rain_of_a_year_mm(rain_mm)
    known = rain_mm[~np.isnan(rain_mm)]
    whole = bool((known == np.round(known)).all()) and known.size > 0 and float(known.max()) > _HEAVY_DAY_MM
    return year_mm > _WET_YEAR_MM or (year_mm > _MUCH_YEAR_MM and whole)


def looks_like_inches(rain_mm: Days) -> bool:
    """Whether rain taken for mm is likely inches: little in a year, on many days, and never much on one."""
    year_mm = rain_of_a_year_mm(rain_mm)
    wet_share = float((rain_mm > 0.0).sum() / max((~np.isnan(rain_mm)).sum(), 1))
    return _DRY_YEAR_MM < year_mm < _INCH_YEAR_MM and wet_share > 0.1 and float(np.nanmax(rain_mm)) < _INCH_DAY_MM
