"""The year strip, the day it shows, its words and its curve, on invented years whose figures can be counted."""

from __future__ import annotations

import dataclasses
import datetime as dt
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import Point, box

from gardenwater.assess.answers import Answers, LastingAnswer
from gardenwater.errors import InputError
from gardenwater.findings import Question
from gardenwater.ground import ground_of
from gardenwater.report import plan_page, plan_picture
from gardenwater.report.drawing import Align, Dots, Fill, LayerName, Mark, Shape, Strokes, Text
from gardenwater.report.typeface import measure
from gardenwater.report.year import (
    StripForm,
    YearDays,
    day_reading,
    hand_marks,
    layout_of,
    strip_marks,
    strip_words,
)
from gardenwater.report.year.bed_words import bed_label, bed_wants, cans_words, short_of_full
from gardenwater.report.year.curve import Against, curve_marks, now_of
from gardenwater.report.year.day import BedDay, Dryness, day_of
from gardenwater.report.year.of_answers import year_days, year_names
from gardenwater.report.year.page import telling_day, year_picture
from gardenwater.report.year.strip import rain_top_mm
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tank
from gardenwater.units import UnitSystem
from tests.report.lasting_made import made_lasting

METRIC = UnitSystem.METRIC
START = dt.date(2003, 1, 1)
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]


def _year(days: int = 365, *, start: dt.date = START, **arrays: np.ndarray) -> YearDays:
    """Full tanks of 1,000 L, no rain, no need, but for what is given."""
    given = {name: np.zeros(days) for name in ("rain_mm", "spill_l", "need_l", "met_l", "refused_l")}
    given |= {"store_l": np.full(days, 1000.0), "short": np.zeros(days, dtype=bool)} | arrays
    return YearDays(name="driest of 30 on record, 2003", short_name="driest of 30", start=start, made=False,
                    capacity_l=1000.0, **given)  # fmt: skip


def _dry_year() -> YearDays:
    """Dry on days 190 to 199 (10 to 19 July): 100 L needed, 40 L given; most refused on day 195, 15 July."""
    short = np.zeros(365, dtype=bool)
    short[190:200] = True
    need, refused, store = np.where(short, 100.0, 0.0), np.where(short, 60.0, 0.0), np.full(365, 1000.0)
    refused[195], store[190:200] = 90.0, 40.0
    return _year(need_l=need, met_l=np.where(short, 40.0, 0.0), refused_l=refused, short=short, store_l=store)


@pytest.fixture
def site() -> Site:
    return Site(
        name="Trial garden",
        things=(
            Tank(id="tank-1", name="Shed tank", shape=Point(10, 20)),
            Tank(id="tank-2", name="Butt", shape=Point(14, 20), capacity_l=300.0),
            Bed(id="bed-1", name="Beans", shape=box(5, 10, 13, 13)),
            Bed(id="bed-2", name="Roots", shape=box(20, 3, 28, 6)),
        ),
    )


@pytest.fixture
def lasting(site: Site) -> LastingAnswer:
    return made_lasting(site)


@pytest.fixture
def answers(site: Site, lasting: LastingAnswer) -> Answers:
    return Answers(site=site, coarse=False, ground=ground_of(site), lasting=lasting)


def _words(marks: list[Mark]) -> list[str]:
    return [mark.words for mark in marks if isinstance(mark, Text)]


# the year


def test_the_first_dry_day_and_the_driest_are_those_of_the_arrays() -> None:
    year = _dry_year()
    assert (year.first_dry, year.driest, year.days_short, year.telling) == (190, 195, 10, 190)
    assert year.date(190) == dt.date(2003, 7, 10)


def test_a_year_that_lasts_tells_of_its_lowest_store() -> None:
    store = np.full(365, 900.0)
    store[222] = 300.0
    year = _year(store_l=store)
    assert year.first_dry is None
    assert year.telling == year.driest == 222


def test_unmet_is_need_less_what_was_given_on_short_days_only() -> None:
    year = _dry_year()
    assert year.unmet_l.sum() == pytest.approx(10 * (100.0 - 40.0))
    kept = dataclasses.replace(year, short=np.zeros(365, dtype=bool))
    assert kept.unmet_l.sum() == 0.0


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        (dt.date(2003, 7, 10), 190),
        (dt.date(1976, 7, 10), 190),
        (dt.date(2000, 2, 29), 58),  # 28 February: 2003 has no 29th
        (dt.date(2024, 12, 31), 364),
    ],
)
def test_a_day_of_another_year_is_found_by_month_and_day(asked: dt.date, found: int) -> None:
    assert _year().day_of(asked) == found


def test_a_season_over_new_year_keeps_its_days() -> None:
    year = _year(start=dt.date(2003, 7, 1))
    assert year.date(year.day_of(dt.date(1990, 1, 15))) == dt.date(2004, 1, 15)


# the picture


@given(width=st.floats(300, 2600), height=st.floats(60, 330), count=st.integers(365, 366), data=st.data())
@settings(max_examples=40)
def test_the_hand_stands_on_the_day_it_is_put_on(width: float, height: float, count: int, data: st.DataObject) -> None:
    form = StripForm.OPEN if height > 100 else StripForm.FOLDED
    layout = layout_of(form, width, height, measure=measure)
    day = data.draw(st.integers(0, count - 1))
    assert layout.day_at(layout.x_of(day, count), count) == day


@pytest.mark.parametrize("factor", [0.9, 1.0, 1.5])
@pytest.mark.parametrize(("form", "height"), [(StripForm.OPEN, 232.0), (StripForm.OPEN, 98.0), (StripForm.LOW, 57.0)])
def test_rows_stand_one_below_the_other_within_the_strip(form: StripForm, height: float, factor: float) -> None:
    layout = layout_of(form, 900.0, height * factor, measure=measure, factor=factor)
    rows = [row for row in (layout.rain, layout.store, layout.need) if row is not None]
    assert all(above.bottom < below.y for above, below in pairwise(rows))
    assert rows[-1].bottom == pytest.approx(layout.plot.bottom)
    assert layout.months_y < height * factor
    assert layout.plot.right < 900.0


def test_rain_bars_stand_for_each_wet_day_and_are_as_high_as_its_rain() -> None:
    rain = np.zeros(365)
    rain[[10, 50, 300]] = (10.0, 40.0, 20.0)
    year = _year(rain_mm=rain)
    layout = layout_of(StripForm.OPEN, 1000.0, 232.0, measure=measure)
    bars = next(m for m in strip_marks(year, layout, units=METRIC) if isinstance(m, Strokes) and m.pen.role == "rain")
    heights = np.abs(bars.ends[:, 1, 1] - bars.ends[:, 0, 1])
    assert heights == pytest.approx(layout.rain.height * np.array([0.25, 1.0, 0.5]))
    assert bars.ends[:, 0, 0] == pytest.approx([layout.x_of(day, 365) for day in (10, 50, 300)])


@pytest.mark.parametrize(("most_mm", "top_mm"), [(3.0, 10.0), (12.0, 15.0), (40.0, 40.0), (41.0, 50.0), (104.0, 150.0)])
def test_the_rain_row_ends_at_a_round_depth(most_mm: float, top_mm: float) -> None:
    rain = np.zeros(365)
    rain[3] = most_mm
    assert rain_top_mm(_year(rain_mm=rain), METRIC) == pytest.approx(top_mm)


def test_the_unmet_part_of_the_need_is_filled_for_each_short_day() -> None:
    year, layout = _dry_year(), layout_of(StripForm.OPEN, 1000.0, 232.0, measure=measure)
    assert layout.need is not None
    marks = strip_marks(year, layout, units=METRIC)
    filled = [mark for mark in marks if isinstance(mark, Shape) and mark.fill == Fill("fails")]
    assert len(filled) == 1
    assert len(filled[0].path) == 10
    block = filled[0].path[0].points
    assert block[:, 1].max() == pytest.approx(layout.need.bottom - 0.4 * layout.need.height)
    assert block[:, 1].min() == pytest.approx(layout.need.y)
    assert "10 days short" in _words(marks)


def test_a_short_day_that_makes_up_for_earlier_ones_has_its_mark_on_the_need() -> None:
    """100 L are needed of new and 150 given, as more was refused before: nothing floats above the need's line."""
    dry = _dry_year()
    met = dry.met_l.copy()
    met[192], top = 150.0, 400.0
    need = dry.need_l.copy()
    need[100] = met[100] = top
    layout = layout_of(StripForm.OPEN, 1000.0, 232.0, measure=measure)
    assert layout.need is not None
    marks = strip_marks(dataclasses.replace(dry, met_l=met, need_l=need), layout, units=METRIC)
    blocks = next(mark for mark in marks if isinstance(mark, Shape) and mark.fill == Fill("fails")).path
    line = layout.need.bottom - 100.0 / top * layout.need.height
    assert blocks[2].points[:, 1].max() == pytest.approx(line)
    assert blocks[2].points[:, 1].min() == pytest.approx(line - 1.2)
    assert min(block.points[:, 1].min() for block in blocks) == pytest.approx(line - 1.2)


@pytest.mark.parametrize("height_px", [70.0, 84.0, *range(92, 106, 2), 150.0, 232.0])
def test_names_and_values_of_rows_keep_apart_in_a_low_strip(height_px: float) -> None:
    layout = layout_of(StripForm.OPEN, 1000.0, height_px, measure=measure)
    marks = [mark for mark in strip_marks(_dry_year(), layout, units=METRIC) if isinstance(mark, Text)]
    names = [mark for mark in marks if mark.align is Align.RIGHT and mark.x < layout.plot.x]
    lines = sorted(mark.y for mark in names)
    assert {"Rain", "Store", "Need"} <= {mark.words for mark in names}
    assert min(low - high for high, low in pairwise(lines)) > 10.0
    values = [mark for mark in marks if mark.x > layout.plot.right]
    assert min(mark.y - 0.75 * mark.style.size_px for mark in values) >= 0.0


def test_folded_a_line_on_the_base_says_when_it_is_dry() -> None:
    layout = layout_of(StripForm.FOLDED, 1000.0, 78.0, measure=measure)
    marks = strip_marks(_dry_year(), layout, units=METRIC)
    lines = [mark for mark in marks if isinstance(mark, Strokes) and mark.pen.role == "fails"]
    assert sum(len(mark.ends) for mark in lines) == 10
    assert {"The year", "driest of 30"} <= set(_words(marks))
    assert not [mark for mark in strip_marks(_year(), layout, units=METRIC)
                if isinstance(mark, Strokes) and mark.pen.role == "fails"]  # fmt: skip


def test_each_spill_is_a_tick_above_the_capacity() -> None:
    spill = np.zeros(365)
    spill[[5, 6]] = (10.0, 1000.0)
    layout = layout_of(StripForm.OPEN, 1000.0, 232.0, measure=measure)
    marks = strip_marks(_year(spill_l=spill), layout, units=METRIC)
    ticks = next(mark for mark in marks if isinstance(mark, Strokes) and mark.pen.role == "spill")
    assert len(ticks.ends) == 2
    assert (ticks.ends[:, :, 1] <= layout.store.y).all()
    small, large = ticks.ends[:, 0, 1] - ticks.ends[:, 1, 1]
    assert small < large


def test_all_months_are_named_once() -> None:
    words = _words(strip_marks(_year(), layout_of(StripForm.OPEN, 1000.0, 232.0, measure=measure), units=METRIC))
    assert [word for word in words if word in MONTHS] == MONTHS


@pytest.mark.parametrize(("date", "align"), [(dt.date(2003, 7, 7), Align.LEFT), (dt.date(2003, 11, 2), Align.RIGHT)])
def test_the_date_stands_at_the_hand_s_right_and_from_november_at_its_left(date: dt.date, align: Align) -> None:
    year, layout = _year(), layout_of(StripForm.FOLDED, 1000.0, 78.0, measure=measure)
    marks = hand_marks(year, year.day_of(date), layout, units=METRIC)
    told = next(mark for mark in marks if isinstance(mark, Text))
    assert told.words == f"{date.day}\u00a0{date:%B}"
    assert told.align is align


def test_a_day_is_read_in_numbers() -> None:
    assert day_reading(_dry_year(), 190, METRIC).replace("\u00a0", " ") == (
        "10 July: no rain, 40 L left, 100 L needed, 40 L given, some refused"
    )
    assert "dry from 10 July, 10 days short" in strip_words(_dry_year(), 0, units=METRIC).replace("\u00a0", " ")
    assert "never dry" in strip_words(_year(), 0, units=METRIC)


# the answer's years and days


def test_the_years_of_an_answer_are_named(lasting: LastingAnswer) -> None:
    names = year_names(lasting)
    assert [each.key for each in names] == ["driest", "middle", "2002", "2001", "2000", "1999"]
    assert names[0].name == "driest of 4 on record, 2000"
    assert [each.named for each in names] == [True, True, False, False, False, False]


def test_made_years_are_called_made(site: Site) -> None:
    names = year_names(made_lasting(site, made=True))
    assert names[0].name == "driest of 4 made years"
    assert names[2].name.startswith("made year 4")


def test_a_year_s_days_are_those_of_its_balance(lasting: LastingAnswer) -> None:
    year, balance = year_days(lasting, "middle"), lasting.of("middle").balance
    assert year.start == balance.start == dt.date(2001, 1, 1)
    assert year.store_l == pytest.approx(balance.volume_m3.sum(axis=1) * 1000.0)
    assert year.need_l.sum() == pytest.approx(lasting.of("middle").figures.need_l)
    assert year.days_short == lasting.of("middle").figures.short_days
    assert year.capacity_l == 1800.0


def test_a_day_has_what_the_balance_has(answers: Answers, lasting: LastingAnswer) -> None:
    balance = lasting.of("driest").balance
    date = dt.date(2000, 8, 4)
    at, state = balance.index(date), day_of(answers, "", date)
    assert state is not None
    assert state.tanks["tank-2"].volume_l == pytest.approx(balance.volume_m3[at, 1] * 1000.0)
    assert state.beds["bed-1"].depletion_mm == pytest.approx(balance.depletion_mm[at, 0])
    assert state.beds["bed-1"].short_l == pytest.approx(balance.short_l[at, 0])
    assert day_of(answers, "", dt.date(1990, 1, 1)) is None
    assert day_of(answers, "nobody's year", date) is None
    assert day_of(None, "", date) is None


def test_how_dry_a_bed_is_goes_by_when_it_wants_water(answers: Answers, lasting: LastingAnswer) -> None:
    balance = lasting.of("driest").balance
    wants = np.flatnonzero(balance.wanted_l[:, 0] > 0.5)
    for at in range(120, 300):
        date = balance.start + dt.timedelta(days=at)
        state = day_of(answers, "", date)
        assert state is not None
        ahead = wants[wants >= at]
        days = int(ahead[0]) - at if ahead.size else 999
        expected = Dryness.TODAY if days == 0 else Dryness.SOON if days <= 3 else Dryness.MOIST
        if balance.short_l[at, 0] > 0.5:
            expected = Dryness.DRY
        assert state.beds["bed-1"].dryness is expected


def _bed(**given: object) -> BedDay:
    usual = {
        "bed": "bed-1", "dryness": Dryness.MOIST, "depletion_mm": 11.2, "wanted_l": 0.0, "met_gravity_l": 0.0,
        "met_can_l": 0.0, "short_l": 0.0, "next_day": None, "next_l": 0.0, "within": (),
    }  # fmt: skip
    return BedDay(**(usual | given))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("bed", "label", "wants"),
    [
        (_bed(), "moist", "wants nothing more this year"),
        (
            _bed(dryness=Dryness.SOON, next_day=dt.date(2003, 7, 10), next_l=35.0),
            "water in 3 days",
            "wants 4 cans by Thursday",  # 10 July 2003 was a Thursday
        ),
        (
            _bed(dryness=Dryness.TODAY, next_day=dt.date(2003, 7, 7), next_l=10.0, wanted_l=10.0),
            "water today, 1 can",
            "wants 1 can today",
        ),
        (_bed(dryness=Dryness.DRY, short_l=85.0), "dry, 9 cans", "wants 9 cans more today"),
    ],
)
def test_what_a_bed_says(bed: BedDay, label: str, wants: str) -> None:
    date = dt.date(2003, 7, 7)
    assert bed_label(bed, date, 10.0).replace("\u00a0", " ") == label
    assert bed_wants(bed, date, 10.0).replace("\u00a0", " ") == wants
    assert short_of_full(bed, METRIC).replace("\u00a0", " ") == "11 mm short of full"


def test_cans_are_whole() -> None:
    assert cans_words(0.6, 10.0) == "1 can"
    assert cans_words(40.0000001, 10.0).replace("\u00a0", " ") == "4 cans"


# the plan of a day


def test_the_plan_of_lasting_shows_beds_by_how_dry_they_are_and_tanks_by_the_day(site: Site, answers: Answers) -> None:
    drawing = plan_picture(site, answers, question=Question.LASTING)
    shown = telling_day(answers)
    assert shown is not None
    beds = [mark for mark in drawing.layer(LayerName.BEDS).marks if isinstance(mark, Shape)]
    roles = {Dryness.MOIST: "bed_1", Dryness.SOON: "bed_2", Dryness.TODAY: "bed_3", Dryness.DRY: "bed_4"}
    wanted = [roles[shown.state.beds[bed].dryness] for bed in ("bed-1", "bed-2")]
    assert [mark.fill.role for mark in beds if mark.fill is not None] == wanted
    told = {placed.label.key: placed.lines[-1].words for placed in drawing.words.placed}
    assert told["bed-1"] == bed_label(shown.state.beds["bed-1"], shown.state.date, 10.0)
    assert not [mark for mark in drawing.layer(LayerName.THINGS_BELOW).marks if isinstance(mark, Dots)]


def test_other_questions_have_no_layers_of_a_day(site: Site, answers: Answers) -> None:
    names = [layer.name for layer in plan_picture(site, answers, question=Question.GROUND)]
    assert LayerName.BEDS not in names
    assert LayerName.STORES not in names


# the curve, and paper


def test_the_curve_passes_through_the_site_as_it_is(lasting: LastingAnswer) -> None:
    assert lasting.sizes is not None
    curve = lasting.sizes.curve("tanks")
    assert curve is not None
    assert now_of(curve) == pytest.approx((1800.0, 0.77))


@pytest.mark.parametrize("against", list(Against))
@pytest.mark.parametrize("units", list(UnitSystem))
def test_each_curve_has_its_axes_in_people_s_units(lasting: LastingAnswer, against: Against, units: UnitSystem) -> None:
    assert lasting.sizes is not None
    size = {"width_px": 312.0, "height_px": 168.0, "units": units, "measure": measure}
    marks = curve_marks(lasting.sizes, against, **size)  # type: ignore[arg-type]
    words = _words(marks)
    assert "now" in words
    assert "100" in words
    unit = {Against.TANKS: ("litres", "US gal")}.get(against, ("m²", "sq ft"))[units is UnitSystem.US]
    assert any(word.startswith(unit) for word in words)
    for mark in marks:
        if isinstance(mark, Shape):
            points = np.concatenate([part.points for part in mark.path])
            assert (points >= -0.01).all()
            assert points[:, 0].max() <= 312.01


def test_the_sheet_of_lasting_has_the_year_under_the_plan(site: Site, answers: Answers) -> None:
    page = plan_page(site, answers, question=Question.LASTING)
    words = _words(list(page.layer(LayerName.PAGE).marks))
    assert {"Whether the store lasts", "Rain", "Store", "Need", "Jan", "Dec", "Does it last?", "moist"} <= set(words)


def test_the_year_is_a_picture_of_its_own(answers: Answers) -> None:
    words = _words(list(year_picture(answers).layer(LayerName.PAGE).marks))
    assert words[0] == "Trial garden, the year: driest of 4 on record, 2000"
    with pytest.raises(InputError):
        year_picture(dataclasses.replace(answers, lasting=None))


@pytest.mark.parametrize("width_px", [230.0, 256.0, 268.0, 300.0, 330.0])
def test_the_legend_of_the_curve_keeps_clear_of_the_axis_s_name(lasting: LastingAnswer, width_px: float) -> None:
    assert lasting.sizes is not None
    marks = curve_marks(lasting.sizes, Against.TANKS, width_px=width_px, height_px=168.0, units=METRIC, measure=measure)
    axis = next(mark for mark in marks if isinstance(mark, Text) and mark.words == "% met")
    lines = [part.points for mark in marks if isinstance(mark, Shape) for part in mark.path]
    samples = [points for points in lines if points.shape == (2, 2) and (points[:, 1] == axis.y - 4.0).all()]
    assert len(samples) == 2
    assert min(points[:, 0].min() for points in samples) > axis.x + measure(axis.words, axis.style)[0] + 4.0
    assert ("half as much roof again" in _words(marks)) is (width_px >= 300.0)
