"""The weather of a site as plain values for the record of an assessment."""

from __future__ import annotations

from typing import Any

from gardenwater.site.climate import ChangedClimate, Monthly
from gardenwater.site.model import Site
from gardenwater.weather import MonthRun, Origin, Spell, Weather, look, sky
from gardenwater.weather.look_words import MADE_WORDS

Plain = dict[str, Any]


def weather_record(site: Site) -> Plain | None:
    """What a site is run on, and what is known of it; None without weather."""
    found = sky(site)
    if found is None:
        return None
    weather = found.weather
    made = found.origin is Origin.MADE
    return {
        "origin": found.origin.value,
        "made": made,
        "trust": MADE_WORDS if made else "",
        "source": weather.source,
        "first_day": None if made else weather.start.isoformat(),
        "last_day": None if made else weather.last.isoformat(),
        "days": weather.days,
        "whole_years": len(weather.years),
        "days_left_out": found.gap_days,
        "temperatures_from_monthly": found.temperatures_from_monthly,
        "notices": () if site.weather is None else site.weather.notices,
        **_look(weather),
        "monthly_figures": _monthly(site.monthly),
        "changed_climate": _change(site.change),
    }


def _look(weather: Weather) -> Plain:
    seen = look(weather)
    years = zip(seen.years, seen.rain_year_mm.tolist(), strict=True)
    return {
        "rain_of_years_mm": {str(year): mm for year, mm in years},
        "mean_year_rain_mm": float(seen.rain_year_mm.mean()) if seen.years else None,
        "driest_year": seen.driest,
        "middle_year": seen.middle,
        "wettest_year": seen.wettest,
        "longest_dry_spell": _spell(seen.dry_spell),
        "longest_wet_spell": _spell(seen.wet_spell),
        "driest_months": [_run(run) for run in seen.driest_runs],
    }


def _spell(spell: Spell | None) -> Plain | None:
    if spell is None:
        return None
    return {
        "first_day": spell.first.isoformat(),
        "last_day": spell.last.isoformat(),
        "days": spell.days,
        "rain_mm": spell.rain_mm,
    }


def _run(run: MonthRun) -> Plain:
    return {
        "months": run.months,
        "first_day": run.first.isoformat(),
        "last_day": run.last.isoformat(),
        "rain_mm": run.rain_mm,
        "usual_rain_mm": run.usual_mm,
    }


def _monthly(monthly: Monthly | None) -> Plain | None:
    if monthly is None:
        return None
    return {
        "rain_mm": monthly.rain_mm,
        "wet_days": monthly.wet_days,
        "t_min_c": monthly.t_min_c,
        "t_max_c": monthly.t_max_c,
        "source": monthly.source,
    }


def _change(change: ChangedClimate | None) -> Plain | None:
    if change is None:
        return None
    return {"rain_factor": change.rain_factor, "t_shift_c": change.t_shift_c, "source": change.source}
