"""Findings of the weather: how far what rests on it is to be trusted."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.climate import ChangedClimate
from gardenwater.site.model import Site
from gardenwater.weather import Weather, monthly_of, ready

LEAST_YEARS = 3


def weather_findings(site: Site) -> Iterator[Finding]:
    """What is to be said of a site's record of days and of its change of climate."""
    if site.weather is not None:
        yield from _record(site.weather.payload, lent=site.monthly is not None)
    if site.change is not None:
        yield _changed(site, site.change)


def _record(record: Weather, *, lent: bool) -> Iterator[Finding]:
    whole = len(record.years)
    if whole < LEAST_YEARS:
        yield made("weather.few-years", numbers={"years": float(whole)}, stake=float(LEAST_YEARS - whole))
    left_out = np.flatnonzero(ready(record).left_out)
    if left_out.size:
        years = {int(year) for year in record.dates()[left_out].astype("datetime64[Y]").astype(np.int64)}
        numbers = {"days": float(left_out.size), "years": float(len(years))}
        yield made("weather.left-out", numbers=numbers, stake=float(left_out.size))
    if lent and not (record.knows("t_min_c") and record.knows("t_max_c")):
        yield made("weather.temperatures-lent")


def _changed(site: Site, change: ChangedClimate) -> Finding:
    """What the change comes to in a year, each month by its own rain where that is known."""
    monthly = site.monthly if site.weather is None else monthly_of(site.weather.payload)
    rain = np.ones(12) if monthly is None else np.nan_to_num(np.asarray(monthly.rain_mm))
    factor = np.asarray(change.rain_factor)
    share = float((rain * factor).sum() / rain.sum()) if rain.sum() > 0.0 else float(factor.mean())
    return made("weather.changed", numbers={"share": share, "warmer_k": float(np.mean(change.t_shift_c))})
