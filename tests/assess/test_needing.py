"""What beds and ponds want, of any site with weather and latitude."""

from __future__ import annotations

import dataclasses
import datetime as dt

import numpy as np
import pytest
from shapely import box

import gardenwater as gw
from gardenwater.assess import Workbench
from gardenwater.assess.needing import NeedAnswer
from gardenwater.demand import bed_days, bed_year, open_water_mm, run_bed
from gardenwater.desktop.card.of_things import thing_contents
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Pond
from gardenwater.weather import Weather, handle_of, reference_et

PLACE = {"latitude_deg": 45.0, "altitude_m": 100.0}
BED = Bed(id="bed-1", name="Salads", shape=box(1.0, 1.0, 6.0, 3.0), crop="lettuce")
POND = Pond(id="pond-1", shape=box(8.0, 1.0, 11.0, 2.0))


def weather(*, made: bool = False) -> Weather:
    """A year without rain whose warmest day is in the middle of July."""
    mean = 15.0 - 10.0 * np.cos(2.0 * np.pi * (np.arange(365) - 15) / 365.0)
    return Weather(start=dt.date(2002, 1, 1), rain_mm=np.zeros(365), t_min_c=mean - 5.0, t_max_c=mean + 5.0, made=made)


def a_site(days: Weather | None, *, latitude_deg: float | None = 45.0) -> Site:
    site = gw.new_site(latitude_deg=latitude_deg, altitude_m=100.0)
    site = edits.put(edits.put(site, BED), POND)
    return site if days is None else dataclasses.replace(site, weather=handle_of(days))


def need_of(site: Site) -> NeedAnswer | None:
    return Workbench().answers(site, question=Question.GROUND).need


def test_beds_and_ponds_want_what_demand_says() -> None:
    need = need_of(a_site(weather()))
    assert need is not None
    et0_mm = reference_et(weather(), **PLACE)
    days = bed_days(BED, weather(), et0_mm, **PLACE)
    bed = need.bed("bed-1")
    assert bed is not None
    assert bed.year.year_l == bed_year(days, run_bed(days)).year_l > 0.0
    pond = need.pond("pond-1")
    assert pond is not None
    # by hand: all that open water of 3 m² loses in the year (FAO-56 Table 12: 1.05), most of it in July
    assert pond.evaporates_l.sum() == pytest.approx(float(open_water_mm(et0_mm).sum()) * 3.0)
    assert pond.peak_month == 7
    assert need.last_day == dt.date(2002, 12, 31)
    assert need.found_by == "Hargreaves, from temperatures alone."
    assert need.bed("pond-1") is None
    assert need.pond("bed-1") is None


def test_the_last_day_of_a_record_says_what_is_needed_then() -> None:
    record = weather().slice(dt.date(2002, 1, 1), dt.date(2002, 6, 20))
    need = need_of(a_site(record))
    assert need is not None
    last = need.beds[0].last
    assert last is not None
    assert last.stands
    assert last.cans > 0 or last.wait_days < 10.0


def test_made_years_have_no_last_day() -> None:
    need = need_of(a_site(weather(made=True)))
    assert need is not None
    assert need.last_day is None
    assert need.beds[0].last is None


def test_without_weather_or_latitude_nothing_is_known() -> None:
    assert need_of(a_site(None)) is None
    assert need_of(a_site(weather(), latitude_deg=None)) is None


def test_nothing_wants_nothing() -> None:
    empty = dataclasses.replace(gw.new_site(latitude_deg=45.0), weather=handle_of(weather()))
    assert need_of(empty) is None


def test_the_record_has_it_in_litres() -> None:
    record = gw.assess(a_site(weather())).record()["needs"]
    assert record["beds"][0]["name"] == "Salads"
    assert sum(record["beds"][0]["need_l"]) == pytest.approx(record["beds"][0]["year_l"])
    assert len(record["ponds"][0]["evaporates_l"]) == 12
    assert record["last_day"] == "2002-12-31"


def test_the_cards_say_it_whatever_the_question() -> None:
    site = a_site(weather())
    answers = Workbench().answers(site, question=Question.GROUND)
    bed = thing_contents(BED, site, answers, Question.REACH)
    assert bed.about.startswith("Lettuce, on loam. In ")
    assert "without rain: " in bed.about
    more = dict(bed.more)
    assert more["Needs in the mean year"] == more["Needs in the year of most"], "there is but one year"
    assert more["Needs on 31 December 2002"] == "nothing, no crop stands"
    assert more["Lettuce"] == "16 April to 29 June"
    assert bed.sources[-1].startswith("Need: FAO-56")
    assert bed.sources[-1].endswith("Reference evapotranspiration: Hargreaves, from temperatures alone.")
    pond = thing_contents(POND, site, answers, Question.OVERFLOW)
    assert "In July some " in pond.about
    assert pond.about.replace("\u00a0", " ").endswith(" L a week go to the air")


def test_the_cards_keep_quiet_without_weather() -> None:
    site = a_site(None)
    answers = Workbench().answers(site, question=Question.GROUND)
    assert thing_contents(BED, site, answers, Question.REACH).about == "Lettuce, on loam"
    assert thing_contents(POND, site, answers, Question.OVERFLOW).about == "Pond"
