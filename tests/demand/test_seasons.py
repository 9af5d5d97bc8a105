"""When crops stand on a bed."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import pytest

from gardenwater.demand.figures import crops_of, figures
from gardenwater.demand.seasons import Season, season_words, seasons_of, usual_day
from gardenwater.site.things import Bed
from tests.demand.conftest import bed

START = dt.date(2001, 1, 1)


def _seasons(one: Bed, *, days: int = 365, latitude_deg: float = 45.0, start: dt.date = START) -> tuple[Season, ...]:
    return seasons_of(one, crops_of(one), start=start, days=days, latitude_deg=latitude_deg)


@pytest.mark.parametrize(
    ("month", "latitude_deg", "day"),
    [
        (4.0, 50.0, (4, 1)),
        (4.5, 50.0, (4, 16)),
        (4.5, -35.0, (10, 16)),
        (10.0, -35.0, (4, 1)),
        (1.0, -35.0, (7, 1)),
        (12.5, 0.0, (12, 16)),
    ],
)
def test_the_south_sows_half_a_year_later(month: float, latitude_deg: float, day: tuple[int, int]) -> None:
    found = usual_day(month, latitude_deg)
    assert (found.month, found.day) == day


def test_a_crop_stands_in_each_year() -> None:
    # lettuce: 75 days (FAO-56 Table 11) from the middle of April
    april = (dt.date(2001, 4, 16) - START).days
    assert _seasons(bed(crop="lettuce"), days=730) == (
        Season(1, april, april + 75),
        Season(1, april + 365, april + 365 + 75),
    )


def test_a_day_that_is_given_is_taken_in_the_south_too() -> None:
    may = (dt.date(2001, 5, 12) - START).days
    for latitude_deg in (45.0, -45.0):
        assert _seasons(bed(crop="lettuce", sown="12 May"), latitude_deg=latitude_deg)[0].first == may


def test_a_southern_season_runs_over_the_turn_of_the_year() -> None:
    found = _seasons(bed(crop="tomatoes"), latitude_deg=-35.0)
    # planted on 1 November: 145 days reach into the next year; the one planted before the weather is there in part
    november = (dt.date(2001, 11, 1) - START).days
    assert found == (Season(1, november - 365, november - 365 + 145), Season(1, november, november + 145))


def test_a_second_crop_follows_a_week_after_the_first() -> None:
    first, second = _seasons(bed(crop="lettuce", second_crop="spinach"))
    assert (first.crop, second.crop) == (1, 2)
    assert second.first == first.last + 7
    assert second.last - second.first == 65


def test_a_later_crop_clears_the_bed() -> None:
    first, second = _seasons(bed(crop="cabbage", sown="1 March", second_crop="spinach", second_sown="1 June"))
    assert first.last == second.first == (dt.date(2001, 6, 1) - START).days


def test_a_second_crop_can_stand_alone_and_none_at_all() -> None:
    assert [season.crop for season in _seasons(bed(crop="none", second_crop="radishes"))] == [2]
    assert _seasons(bed(crop="none")) == ()


def test_the_29th_of_february_moves_nothing() -> None:
    leap = dt.date(2004, 1, 1)
    found = _seasons(bed(crop="lettuce", sown="1 March"), start=leap, days=366)
    assert leap + dt.timedelta(days=found[0].first) == dt.date(2004, 3, 1)


def test_a_season_of_a_whole_year_never_overlaps_itself() -> None:
    found = _seasons(bed(crop="citrus"), days=1500)
    assert all(one.last <= other.first for one, other in pairwise(found))
    assert sum(min(each.last, 1500) - max(each.first, 0) for each in found) >= 1500 - 2, "leap days alone are free"


def test_a_crop_of_ones_own() -> None:
    first, _ = crops_of(bed(crop="tomatoes", season_days=290.0, own_kcb=0.55, root_m=0.4))
    usual = figures("tomatoes")
    assert first is not None
    assert usual is not None
    assert first.stages == (60, 80, 90, 60), "each stage twice as long as its 30, 40, 45 and 30 days"
    assert first.kcb == pytest.approx((0.15, 0.55, 0.35)), "half of 1.10 and of 0.70"
    assert (first.root_m, first.wetness) == (0.4, usual.wetness)


def test_a_short_season_has_all_four_stages() -> None:
    first, _ = crops_of(bed(crop="asparagus", season_days=20.0))
    assert first is not None
    assert first.length == 20
    assert min(first.stages) >= 1


def test_seasons_in_words() -> None:
    both = bed(crop="lettuce", second_crop="spinach", second_sown="1 August")
    assert season_words(both, latitude_deg=51.0) == (
        ("Lettuce", "16 April to 29 June"),
        ("Spinach", "1 August to 4 October"),
    )
    assert season_words(bed(crop="tomatoes"), latitude_deg=-35.0) == (("Tomatoes", "1 November to 25 March"),)
    assert season_words(bed(crop="none"), latitude_deg=51.0) == ()
