"""A crop through its season: basal coefficient, height and roots. FAO-56 chapters 6 to 8 and annex 8."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.figures import ROOTS_AT_FIRST_M, CropFigures
from gardenwater.demand.model import Stage

Floats = NDArray[np.float64]
T = TypeVar("T", float, NDArray[np.float64])

BARE_KC = 0.15
"""Least crop coefficient, of dry soil without a leaf: Kc min of FAO-56 equation 76."""
_ADJUSTED_FROM = 0.45
"""Coefficients below it are left as they are: FAO-56 equation 70."""
_FIRST_HEIGHT_M = 0.05
"""Height of what was just sown or planted: judgement; it is only of weight in Kc max."""


def climate_lift(wind_m_s: Floats | float, humidity_pct: Floats | float, height_m: Floats | float) -> Floats:
    """What wind and dry air add to a crop coefficient. FAO-56 equations 62, 70 and 72.

    wind_m_s: at 2 m; humidity_pct: the lowest of the day. Both are taken at most as far as the equation was made for: 1
    to 6 m/s, 20 to 80 %.
    """
    wind, humidity = np.clip(wind_m_s, 1.0, 6.0), np.clip(humidity_pct, 20.0, 80.0)
    return _lift(wind, humidity, (np.asarray(height_m) / 3.0) ** 0.3)


def _lift(wind: T, humidity: T, tallness: T) -> T:
    return (0.04 * (wind - 2.0) - 0.004 * (humidity - 45.0)) * tallness


def curve(ends: tuple[int, int, int, int], at: tuple[float, float, float], days: Floats) -> Floats:
    """A coefficient on numbered days of a season, the first is 1. FAO-56 figure 34 and equation 66.

    ends: number of the last day of each stage. at: its value at the start, in mid season and at the end.
    """
    first, grown, middle, last = ends
    return np.interp(days, (first, grown, middle, last), (at[0], at[1], at[1], at[2]))


@dataclass(frozen=True, slots=True)
class Standing:
    """A crop on each day of a season; float64 (days,), `stage` uint8.

    kcb: basal coefficient, fitted to the season's air. wetness: what the single coefficient is more. height_m, root_m.
    """

    kcb: Floats
    wetness: Floats
    height_m: Floats
    root_m: Floats
    stage: NDArray[np.uint8]


def _fitted(value: float, crop: CropFigures, wind_m_s: Floats, humidity_pct: Floats) -> float:
    """A coefficient fitted to the air of its part of the season; as it is where the weather has none of that part."""
    if value < _ADJUSTED_FROM or wind_m_s.size == 0:
        return value
    wind = min(max(float(np.add.reduce(wind_m_s)) / wind_m_s.size, 1.0), 6.0)
    humidity = min(max(float(np.add.reduce(humidity_pct)) / humidity_pct.size, 20.0), 80.0)
    return value + float(_lift(wind, humidity, (crop.height_m / 3.0) ** 0.3))


def _grown(first: float, last: float, share: Floats) -> Floats:
    return first + (last - first) * share


def standing(crop: CropFigures, first: int, last: int, wind_m_s: Floats, humidity_pct: Floats) -> Standing:
    """A crop on the days of the weather on which it stands, from day `max(first, 0)` to the day before `last`.

    first: the first day of its season, from the first day of the weather. wind_m_s, humidity_pct: of all days of the
    weather; mid season and end are fitted to their means over those two stages of this very season (equation 70).
    """
    ini, dev, mid, _ = (int(end) for end in np.cumsum(crop.stages))
    ends = (ini, dev, mid, crop.length)
    in_middle = slice(max(first + dev, 0), max(first + mid, 0))
    in_end = slice(max(first + mid, 0), max(first + crop.length, 0))
    kcb = (
        crop.kcb[0],
        _fitted(crop.kcb[1], crop, wind_m_s[in_middle], humidity_pct[in_middle]),
        _fitted(crop.kcb[2], crop, wind_m_s[in_end], humidity_pct[in_end]),
    )
    days = np.arange(max(first, 0), min(last, wind_m_s.size), dtype=np.float64) - first + 1.0
    grown = curve(ends, (0.0, 1.0, 1.0), days)
    if crop.perennial:
        grown = np.ones_like(grown)
    return Standing(
        kcb=curve(ends, kcb, days),
        wetness=curve(ends, crop.wetness, days),
        height_m=_grown(min(_FIRST_HEIGHT_M, crop.height_m), crop.height_m, grown),
        root_m=_grown(min(ROOTS_AT_FIRST_M, crop.root_m), crop.root_m, grown),
        stage=(np.searchsorted(np.array(ends), days) + int(Stage.INITIAL)).astype(np.uint8),
    )
