"""The line under each question: what is so, or what is lacking."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from shapely import Point, box

from gardenwater.assess import Workbench
from gardenwater.findings import Question, Severity, ShortAnswer, short_words
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import Site

BENCH = Workbench()
MakeSite = Callable[..., Site]


def short(site: Site, question: Question) -> ShortAnswer:
    return BENCH.answers(site, question=question).words[question]


def words(site: Site, question: Question) -> str:
    return short_words(short(site, question), str, site.settings.units).replace("\u00a0", " ")


def test_of_ground(garden: Site) -> None:
    assert words(garden, Question.GROUND) == "1.48 m of fall"  # 0.05 x 29.5 m between the outermost centres
    assert words(Site(), Question.GROUND) == "needs levels"


def test_of_catch(garden: Site) -> None:
    # half of 60 m2 x 600 mm leads to a tank: x 0.8 for tiles x 0.9 for the filter
    assert words(garden, Question.CATCH) == "13,000 L a year"
    assert short(garden, Question.CATCH).number("year_l") == pytest.approx(60 * 600 * 0.8 * 0.9 / 2, rel=1e-6)
    dry = edits.settings(garden, rain_year_mm=None)
    assert words(dry, Question.CATCH) == "520 L a wet day"
    loose = edits.remove(garden, "diverter-1")
    assert words(loose, Question.CATCH) == "no roof leads to a tank"
    assert short(loose, Question.CATCH).severity is Severity.WATCH


def test_of_reach(garden: Site) -> None:
    assert words(garden, Question.REACH) == "2 of 2 beds"
    assert short(garden, Question.REACH).severity is None
    empty = edits.change(edits.change(garden, "tank-1", water_l=0.0), "tank-2", water_l=0.0)
    assert words(empty, Question.REACH) == "0 of 2 beds"
    assert short(empty, Question.REACH).severity is Severity.FAILS
    assert words(edits.remove(garden, ["bed-1", "bed-2"]), Question.REACH) == "needs a bed"
    assert words(edits.remove(garden, ["tank-1", "tank-2"]), Question.REACH) == "needs a tank"


def test_of_overflow(garden: Site) -> None:
    off = short(garden, Question.OVERFLOW)
    assert off.code == "overflow.leaves"
    assert off.severity is Severity.WATCH
    assert words(edits.remove(garden, "roof-1"), Question.OVERFLOW) == "needs a roof"
    drained = garden
    for pipe in ("downpipe-1", "downpipe-2"):
        drained = edits.change(drained, pipe, drained=True)
    assert words(drained, Question.OVERFLOW) == "nothing spills"


def test_overflow_names_the_gravest(garden: Site) -> None:
    lawn = t.KeepDry(id="keep_dry-1", shape=box(18, 8, 22, 12))
    assert words(edits.put(garden, lawn), Question.OVERFLOW) == "1 on keep-dry ground"
    shed = t.Building(id="building-2", shape=box(20.5, 8, 24, 12))
    both = edits.put(garden, lawn, shed)
    assert words(both, Question.OVERFLOW) == "1 near a building"
    assert short(both, Question.OVERFLOW).severity is Severity.UNSAFE


def test_water_that_stays_on_the_site(garden: Site) -> None:
    pond = t.Pond(id="pond-2", shape=box(16, 14, 26, 19), freeboard_m=0.5)
    kept = edits.put(edits.change(garden, "downpipe-1", drained=True), pond)
    assert words(kept, Question.OVERFLOW).endswith("L kept on site")


def test_lasting_waits_for_weather(garden: Site) -> None:
    assert short(garden, Question.LASTING).needs
    assert words(garden, Question.LASTING) == "needs weather"


@pytest.mark.parametrize("question", [Question.NEXT_STEP, Question.ROUNDS])
def test_what_is_not_answered_says_so(garden: Site, question: Question) -> None:
    assert short(garden, question).needs
    assert words(garden, question) == "not in this version"


def test_a_question_without_its_things_says_so_first(make_site: MakeSite) -> None:
    site = make_site(t.Tank(id="tank-1", shape=Point(10, 10)))
    assert [words(site, question) for question in (Question.CATCH, Question.REACH, Question.OVERFLOW)] == [
        "needs a roof",
        "needs a bed",
        "needs a roof",
    ]
