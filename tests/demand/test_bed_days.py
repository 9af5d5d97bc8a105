"""A bed's days: place, cover, pots, rules and the start; and what a change of each does to the need."""

from __future__ import annotations

import datetime as dt
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gardenwater.demand import Asks, BedDays, BedRun, Stage, bed_days, common_sky, open_water_mm, run_bed, stack
from gardenwater.demand.bed_days import zone_days
from gardenwater.demand.model import Growth
from gardenwater.demand.place import Place
from gardenwater.errors import InputError
from gardenwater.site.things import Bed, WateringRule
from gardenwater.tables import table
from gardenwater.weather import Weather, reference_et
from tests import strategies
from tests.demand.conftest import PLACE, bed, days_of, plain_weather


def _run(weather: Weather, **fields: Any) -> tuple[BedDays, BedRun]:
    days = days_of(bed(**fields), weather)
    return days, run_bed(days)


@pytest.mark.parametrize(("single_mm", "p"), [(3.0, 0.48), (5.0, 0.40), (8.0, 0.28)])
def test_readily_available_water_goes_by_the_days_demand(single_mm: float, p: float) -> None:
    # FAO-56 Table 22, footnote 2: p = p of the table + 0.04 (5 - ETc), tomatoes
    ones = np.ones(1)
    byte = np.ones(1, dtype=np.uint8)
    grown = Growth(0.9 * ones, 0.1 * ones, 0.6 * ones, 0.7 * ones, 0.4 * ones, byte, byte)
    place = Place(single_mm * ones, 0.0 * ones, 2.0 * ones, 45.0 * ones)
    days, _ = zone_days(grown, place, table("soils").row("loam"), passes=1.0, deepest_m=0.7)
    assert float(days["readily_mm"][0] / days["available_mm"][0]) == pytest.approx(p, abs=1e-9)


def test_the_parts_of_a_day_by_hand() -> None:
    ones = np.ones(1)
    byte = np.ones(1, dtype=np.uint8)
    grown = Growth(1.10 * ones, 0.05 * ones, 0.6 * ones, 0.7 * ones, 0.4 * ones, byte, byte)
    place = Place(6.0 * ones, 3.0 * ones, 3.0 * ones, 35.0 * ones)
    days, covered = zone_days(grown, place, table("soils").row("loam"), passes=0.75, deepest_m=0.7)
    # FAO-56 equation 72, then 76, 71
    kc_max = 1.2 + (0.04 * 1.0 + 0.004 * 10.0) * 0.2**0.3
    assert float(covered[0]) == pytest.approx(((1.10 - 0.15) / (kc_max - 0.15)) ** 1.3)
    assert float(days["transpiration_mm"][0]) == pytest.approx(6.6)
    assert float(days["drying_mm"][0]) == pytest.approx(0.75 * (kc_max - 1.10) * 6.0)
    assert float(days["drying_bare_mm"][0]) == pytest.approx(0.75 * kc_max * 6.0)
    assert float(days["available_mm"][0]) == pytest.approx(1000.0 * (0.25 - 0.12) * 0.7)
    # the mulch cuts the part of the single coefficient that is not the crop's: 1.15 becomes 1.1375 (FAO-56 chapter 10)
    p = 0.4 + 0.04 * (5.0 - 1.1375 * 6.0)
    assert float(days["readily_mm"][0]) == pytest.approx(p * 91.0)


def test_a_year_of_a_bed(weather: Weather) -> None:
    days, past = _run(weather, crop="lettuce")
    in_season = days.grown.crop == 1
    assert in_season.sum() == 3 * 75
    assert (past.need_mm[~in_season] == 0.0).all(), "nothing is asked for where nothing grows"
    assert (past.transpired_mm[~in_season] == 0.0).all()
    assert past.evaporated_mm[~in_season].sum() > 0.0, "bare soil dries"
    assert abs(past.residual_mm) < 1e-9 * past.water_mm.sum()
    # with all the water it asks for it hardly goes short: a little on the days on which it is watered, as stress goes
    # by the depletion at their start
    full = days.table["transpiration_mm"]
    assert past.transpired_mm.sum() == pytest.approx(full.sum(), rel=0.05)
    waters = past.need_mm > 0.0
    assert past.transpired_mm[in_season & ~waters] == pytest.approx(full[in_season & ~waters])


def test_a_cover_keeps_the_rain_off_and_the_need_up(weather: Weather) -> None:
    _, open_run = _run(weather, crop="tomatoes")
    _, covered = _run(weather, crop="tomatoes", under_cover=True)
    assert covered.water_mm.sum() == 0.0
    assert covered.need_mm.sum() > open_run.need_mm.sum()


@pytest.mark.parametrize(
    "change",
    [
        {"cover": "straw", "cover_share": 0.8},
        {"shelter": "hedge-near"},
        {"shade": 0.4},
        {"wetted_share": 0.3},
        {"season_days": 60.0},
        {"own_kcb": 0.6},
    ],
    ids=str,
)
def test_each_of_these_saves_water(weather: Weather, change: dict[str, Any]) -> None:
    _, usual = _run(weather, crop="tomatoes")
    _, less = _run(weather, crop="tomatoes", **change)
    assert less.need_mm.sum() < 0.98 * usual.need_mm.sum()


def test_more_mulch_means_less_evaporation_over_the_years(weather: Weather) -> None:
    runs = [_run(weather, crop="none", cover="straw", cover_share=share)[1] for share in (0.0, 0.25, 0.5, 0.75, 1.0)]
    lost = [float(run.evaporated_mm.sum()) for run in runs]
    assert lost == sorted(lost, reverse=True)
    # FAO-56: half as much of each day's under a whole cover; more than half over the years, as with rain on each fifth
    # day some of what it keeps evaporates later
    assert 0.5 * lost[0] < lost[-1] < 0.9 * lost[0]


def test_one_drying_out_loses_half_under_a_whole_mulch() -> None:
    rain = np.zeros(365)
    rain[0] = 40.0
    dry = plain_weather(1, rain_mm=rain)
    bare, mulched = (_run(dry, crop="none", cover="straw", cover_share=share)[1] for share in (0.0, 1.0))
    # FAO-56 chapters 10 and 11; loam loses 19 mm, 1000 (0.25 - 0.06) 0.10
    assert float(bare.evaporated_mm.sum()) == pytest.approx(19.0, rel=0.03)
    assert float(mulched.evaporated_mm.sum()) == pytest.approx(9.5, rel=0.03)


def test_plastic_makes_a_crop_use_more_and_the_soil_less(weather: Weather) -> None:
    _, bare = _run(weather, crop="tomatoes")
    _, film = _run(weather, crop="tomatoes", cover="plastic-film", cover_share=1.0)
    assert film.transpired_mm.sum() > 1.15 * bare.transpired_mm.sum()
    assert film.evaporated_mm.sum() < 0.5 * bare.evaporated_mm.sum()


def test_a_pot_is_watered_more_often_and_less_each_time(weather: Weather) -> None:
    _, ground = _run(weather, crop="tomatoes")
    _, pot = _run(weather, crop="tomatoes", soil_depth_m=0.2)
    often = [(run.need_mm > 0.0).sum() for run in (ground, pot)]
    assert often[1] > 2 * often[0]
    assert pot.depletion_mm.max() <= 1000.0 * 0.13 * 0.2 + 1e-9
    assert (pot.deep_mm <= 1e-9 + 26.0).all()
    assert pot.passed_mm.sum() > ground.passed_mm.sum(), "the rain runs through"


def test_roots_stop_at_the_floor_of_the_pot(weather: Weather) -> None:
    days, _ = _run(weather, crop="tomatoes", soil_depth_m=0.1)
    assert (days.grown.root_m == 0.1).all()


def test_depletion_at_the_start_is_a_share_of_all_that_is_held(weather: Weather) -> None:
    full, dry = (_run(weather, crop="apples", used_at_start=share)[1] for share in (0.0, 1.0))
    assert full.start_mm == 0.0
    assert dry.start_mm == pytest.approx(1000.0 * 0.13 * 1.0), "loam of 0.13, roots of 1 m"
    assert dry.transpired_mm[0] == 0.0
    assert abs(dry.residual_mm) < 1e-9 * dry.water_mm.sum()


def test_deep_soil_that_the_last_crop_dried_is_dry_for_the_next() -> None:
    # no rain at all: what the first season took from below stays taken
    dry = plain_weather(rain_mm=np.zeros(1095))
    days, past = _run(dry, crop="tomatoes", watering=WateringRule.FIXED_CANS, cans_each=0.0)
    assert past.need_mm.sum() == 0.0
    first, third = (
        float(past.transpired_mm[days.grown.crop == 1][part].sum()) for part in (slice(145), slice(290, None))
    )
    assert third < 0.2 * first
    assert past.transpired_mm.sum() + past.evaporated_mm.sum() <= 1000.0 * 0.13 * 0.7 + 1e-9


def test_watering_on_fixed_days() -> None:
    weather = plain_weather(1)
    days, past = _run(weather, crop="lettuce", sown="1 May", watering=WateringRule.FIXED_DAYS, every_days=4.0)
    may = (dt.date(2001, 5, 1) - weather.start).days
    asked = np.flatnonzero(days.table["asks"])
    assert asked.tolist() == list(range(may, may + 75, 4))
    assert set(days.table["asks"][asked]) == {Asks.FILL_UP}
    before = np.concatenate(([0.0], past.depletion_mm[:-1]))
    assert past.need_mm[asked] == pytest.approx(before[asked])


def test_watering_with_a_fixed_number_of_cans() -> None:
    weather = plain_weather(1)
    rule = {"watering": WateringRule.FIXED_CANS, "every_days": 7.0, "cans_each": 3.0}
    days = days_of(bed(crop="lettuce", **rule), weather, can_l=8.0)
    past = run_bed(days)
    # 3 cans of 8 L on 10 m²
    assert set(past.need_mm.round(9)) == {0.0, 2.4}
    assert (past.need_mm > 0).sum() == 11, "each seventh of 75 days, the first included"


def test_fixed_days_go_on_from_before_the_weather() -> None:
    weather = plain_weather(1, start=dt.date(2001, 5, 6))
    days = days_of(bed(crop="lettuce", sown="1 May", watering=WateringRule.FIXED_DAYS, every_days=4.0), weather)
    # 1, 5 and 9 May: the third of them is the fourth day of the weather
    assert np.flatnonzero(days.table["asks"])[0] == 3


def test_a_perennial_rests_with_its_roots_in_place(weather: Weather) -> None:
    days, past = _run(weather, crop="berry-bushes")
    rests = days.grown.stage == Stage.DORMANT
    assert 3 * 100 < rests.sum() < 3 * 200
    assert (days.grown.root_m == 0.6).all()
    assert (days.grown.kcb[rests] == 0.2).all(), "the least of its coefficients (FAO-56 Table 17)"
    assert past.need_mm[rests].sum() == 0.0


def test_snow_waters_the_bed_when_it_thaws() -> None:
    cold = np.concatenate([np.full(20, -10.0), np.full(345, 10.0)])
    rain = np.zeros(365)
    rain[5] = 20.0
    weather = plain_weather(1, rain_mm=rain, t_min_c=cold - 3.0, t_max_c=cold + 3.0)
    days, _ = _run(weather)
    assert days.table["water_mm"][:20].sum() == 0.0
    assert days.table["water_mm"][20] == pytest.approx(20.0), "27.4 mm could thaw"


def test_open_water_evaporates() -> None:
    # 4 mm a day on 3 m² in a week (FAO-56 Table 12, Kc 1.05): 88 L
    assert float(open_water_mm(np.full(7, 4.0)).sum()) * 3.0 == pytest.approx(88.2)


@pytest.mark.parametrize(("shelter", "least", "most"), [("hedge-far", 0.03, 0.10), ("hedge-near", 0.10, 0.30)])
def test_shelter_saves_what_was_found(shelter: str, least: float, most: float) -> None:
    # FAO 24 (1977) chapter 1.3, from memory: about 5 % at 25 heights, 10 to 30 % within 10, in dry and windy weather
    days = 365
    weather = plain_weather(
        1,
        t_min_c=np.full(days, 16.0),
        t_max_c=np.full(days, 34.0),
        wind_m_s=np.full(days, 4.0),
        dew_point_c=np.full(days, 6.0),
    )
    summer = slice(120, 243)
    windy, still = (float(days_of(bed(shelter=key), weather).et0_mm[summer].sum()) for key in ("open", shelter))
    assert least < 1.0 - still / windy < most


def test_unknown_days_are_refused() -> None:
    rain = np.zeros(365)
    rain[7] = np.nan
    with pytest.raises(InputError, match="not known") as refused:
        days_of(bed(), plain_weather(1, rain_mm=rain))
    assert refused.value.where == "rain_mm"
    with pytest.raises(InputError, match="one figure for each day"):
        bed_days(bed(), plain_weather(1), np.zeros(7), **PLACE)


def test_what_beds_share_is_worked_out_once(weather: Weather) -> None:
    et0_mm = reference_et(weather, **PLACE)
    sky = common_sky(weather, et0_mm, **PLACE)
    alone, shared = days_of(bed(crop="peas"), weather), days_of(bed(crop="peas"), weather, sky=sky)
    assert (alone.table == shared.table).all()


def test_days_are_read_only_and_stack_in_order(weather: Weather) -> None:
    beds = [days_of(bed(crop=crop), weather) for crop in ("peas", "leeks")]
    block = stack(beds)
    assert block.days.shape == (weather.days, 2)
    assert (block.days[:, 1] == beds[1].table).all()
    assert not any(array.flags.writeable for array in (block.days, block.beds, block.state, beds[0].table))
    with pytest.raises(InputError, match="different days"):
        stack([beds[0], days_of(bed(), plain_weather(1))])
    with pytest.raises(InputError, match="no bed"):
        stack([])


@settings(max_examples=25)
@given(strategies.things(Bed), st.sampled_from([45.0, -33.0, 60.0]))
def test_any_bed_can_be_run_and_accounts_for_its_water(one: Any, latitude_deg: float) -> None:
    weather = plain_weather(1)
    days = days_of(one, weather, latitude_deg=latitude_deg)
    past = run_bed(days)
    came = past.water_mm.sum() + past.need_mm.sum()
    assert abs(past.residual_mm) < 1e-9 * max(came, 1.0)
    for name in ("available_mm", "readily_mm", "transpiration_mm", "drying_mm", "bare"):
        assert np.isfinite(days.table[name]).all(), name
        assert (days.table[name] >= 0.0).all(), name
    assert (days.table["readily_mm"] < days.table["available_mm"]).all()
    assert (past.depletion_mm <= days.available_mm * (1.0 + 1e-9)).all()
