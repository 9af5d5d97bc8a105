"""Published daily balances by FAO-56's dual coefficient, and the library that made them run on a bed of ours.

The published ones are inputs and outputs of the tests of a public library (see tests/data/SOURCES.md): irrigated cotton
in Arizona, dry and wet, and rain-fed maize. Where they and the kernel part: that library takes more from the surface
than its layer holds on days on which little of it is bare (its depletion is cut off at TEW), lets p go by the dual
coefficient instead of the single one, keeps a dripline's share wetted when it rains as well, and counts the days of a
season from 0 where FAO-56 equation 66 counts from 1. All of it together stays under 2 % of the season.
"""

from __future__ import annotations

import csv
import dataclasses
import json
import warnings
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from gardenwater.demand import kernels_zone, run_bed
from gardenwater.demand.bed_days import zone_days
from gardenwater.demand.curve import curve
from gardenwater.demand.model import Growth
from gardenwater.demand.place import Place
from gardenwater.demand.records_zone import BED, STATE
from gardenwater.tables import Soil, table
from gardenwater.weather.air import humidity_at_noon_pct
from gardenwater.weather.et import vapour_of
from tests.demand.conftest import bed, days_of, plain_weather

DATA = Path(__file__).resolve().parent.parent / "data" / "soilwater"
FIRST_DAY = 0.0
"""What a season's first day is numbered in the published balances."""


def _columns(case: str) -> dict[str, np.ndarray]:
    with (DATA / f"{case}.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return {name: np.array([float(row[name]) for row in rows]) for name in rows[0] if name != "day"}


def _soil(par: dict[str, float]) -> Soil:
    loam = table("soils").row("loam")
    return dataclasses.replace(loam, field_capacity=par["thetaFC"], wilting_point=par["thetaWP"])


def _growth(par: dict[str, float], days: int) -> Growth:
    ends = tuple(int(end) for end in np.cumsum([par[name] for name in ("Lini", "Ldev", "Lmid", "Lend")]))
    at = np.arange(days) + FIRST_DAY
    kcb = curve(ends, (par["Kcbini"], par["Kcbmid"], par["Kcbend"]), at)
    kc = curve(ends, (par["Kcmini"], par["Kcmmid"], par["Kcmend"]), at)
    grown = np.maximum.accumulate((kcb - par["Kcbini"]) / (par["Kcbmid"] - par["Kcbini"]))
    return Growth(
        kcb=kcb,
        wetness=kc - kcb,
        height_m=par["hini"] + (par["hmax"] - par["hini"]) * grown,
        root_m=par["Zrini"] + (par["Zrmax"] - par["Zrini"]) * grown,
        depletion_p=np.full(days, par["pbase"]),
        stage=np.ones(days, dtype=np.uint8),
        crop=np.ones(days, dtype=np.uint8),
    )


def _run(par: dict[str, float], given: dict[str, np.ndarray]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Evaporation, transpiration and depletion of each day, with the published weather and irrigation."""
    count = given["et0_mm"].size
    place = Place(given["et0_mm"], given["rain_mm"] - given["runoff_mm"], given["wind_m_s"], given["humidity_min_pct"])
    days, _ = zone_days(_growth(par, count), place, _soil(par), passes=1.0, deepest_m=par["Zrmax"])
    beds, state = np.zeros(1, dtype=BED), np.zeros(1, dtype=STATE)
    beds["evaporable_mm"] = 1000.0 * (par["thetaFC"] - 0.5 * par["thetaWP"]) * par["Ze"]
    beds["readily_evaporable_mm"] = par["REW"]
    state["surface_mm"], state["wetted"] = beds["evaporable_mm"], 1.0
    state["root_mm"] = 1000.0 * (par["thetaFC"] - par["theta0"]) * par["Zrini"]
    found = np.zeros((3, count))
    for at in range(count):
        beds["by_hand"] = given["wetted"][at]
        evaporated, transpired, _ = kernels_zone.day(
            days.reshape(count, 1), beds, state, at, 0, float(given["irrigation_mm"][at])
        )
        found[:, at] = evaporated, transpired, state["root_mm"][0]
    return found[0], found[1], found[2]


@pytest.mark.parametrize("case", ["cotton_dry", "cotton_wet", "maize_rain_fed"])
def test_a_published_season(case: str) -> None:
    par = json.loads((DATA / "parameters.json").read_text(encoding="utf-8"))[case]
    given = _columns(case)
    evaporated, transpired, depletion = _run(par, given)
    season = float(given["evaporated_mm"].sum() + given["transpired_mm"].sum())
    # asked for: 2 % of the season's evapotranspiration
    assert abs(float(evaporated.sum() + transpired.sum()) - season) < 0.01 * season
    assert abs(float(transpired.sum()) - float(given["transpired_mm"].sum())) < 0.01 * season
    assert abs(float(evaporated.sum()) - float(given["evaporated_mm"].sum())) < 0.01 * season
    assert np.abs(depletion - given["depletion_mm"]).max() < 6.0


def test_the_rain_fed_season_agrees_by_the_day() -> None:
    # nothing of what the two part in matters there but p, and that seldom
    par = json.loads((DATA / "parameters.json").read_text(encoding="utf-8"))["maize_rain_fed"]
    given = _columns("maize_rain_fed")
    _, _, depletion = _run(par, given)
    assert np.abs(depletion - given["depletion_mm"]).max() < 0.2


def _library_run(days: Any, past: Any, wind: float, humidity: np.ndarray, first: int, length: int) -> Any:
    """The season of tomatoes by the library itself, with our days' weather and waterings."""
    import pandas as pd
    import pyfao56

    dates = pd.date_range("2001-01-01", periods=days.days)
    keys = dates.strftime("%Y-%j")
    sky = pyfao56.Weather()
    sky.rfcrp, sky.z, sky.lat, sky.wndht = "S", 100.0, 45.0, 2.0
    nan = np.full(days.days, np.nan)
    columns = dict.fromkeys(("Srad", "Tmax", "Tmin", "Vapr", "Tdew", "RHmax"), nan)
    columns |= {
        "RHmin": humidity,
        "Wndsp": np.full(days.days, wind),
        "Rain": days.table["water_mm"],
        "ETref": days.et0_mm,
    }
    sky.wdata = pd.DataFrame(columns, index=keys)
    watering = pyfao56.Irrigation()
    for at in np.flatnonzero(past.need_mm[first : first + length] > 0.0) + first:
        watering.addevent(dates[at].year, dates[at].dayofyear, float(past.need_mm[at]), 1.0)
    crop, soil = table("crops").row("tomatoes"), table("soils").row("loam")
    used = float(past.depletion_mm[first - 1]) / (1000.0 * 0.15)
    parameters = pyfao56.Parameters(
        Kcmini=crop.kc_ini, Kcmmid=crop.kc_mid, Kcmend=crop.kc_end,
        Kcbini=crop.kcb_ini, Kcbmid=crop.kcb_mid, Kcbend=crop.kcb_end,
        Lini=30, Ldev=40, Lmid=45, Lend=30, hini=0.05, hmax=crop.height_m,
        thetaFC=soil.field_capacity, thetaWP=soil.wilting_point, theta0=soil.field_capacity - used,
        Zrini=0.15, Zrmax=0.7, pbase=crop.depletion_p, Ze=0.10, REW=soil.readily_evaporable_mm, CN2=70,
    )  # fmt: skip
    start, end = keys[first], keys[first + length - 1]
    model = pyfao56.Model(start, end, parameters, sky, irr=watering, K_adj=True)
    model.run()
    return model.odata


def test_the_library_itself_on_a_bed_of_tomatoes() -> None:
    days_in = 365
    weather = plain_weather(1, wind_m_s=np.full(days_in, 3.0))
    days = days_of(bed(crop="tomatoes", sown="1 May"), weather)
    past = run_bed(days)
    season = np.flatnonzero(days.grown.crop == 1)
    first, length = int(season[0]), int(season.size)
    humidity = humidity_at_noon_pct(vapour_of(weather), weather.t_max_c)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of its own use of pandas
        other = _library_run(days, past, 3.0, humidity, first, length)
    ours = float(past.evaporated_mm[season].sum() + past.transpired_mm[season].sum())
    assert ours == pytest.approx(float(other["ETa"].sum()), rel=0.02)
    assert float(past.transpired_mm[season].sum()) == pytest.approx(float(other["T"].sum()), rel=0.02)
    # its curve is a day behind
    curve_of_it = other["Kcb"].to_numpy(dtype=float)
    assert days.grown.kcb[season][:-1] == pytest.approx(curve_of_it[1:], abs=0.01)
