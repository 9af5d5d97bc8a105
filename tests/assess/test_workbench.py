"""What is worked out again after a change, and what is not; counted at the engines' doors."""

from __future__ import annotations

import dataclasses
import math
import threading
from collections import Counter
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from shapely import box

from gardenwater.assess import Answers, Workbench, overflow_stages, reach_stages, spilling, stages, workbench
from gardenwater.errors import Cancelled
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site.model import LogEntry, Site
from tests.assess.conftest import MakeSite

_DOORS = (
    (stages, "ground_of"),
    (stages, "wiring"),
    (stages, "parts"),
    (stages, "catch_answer"),
    (reach_stages, "prepare"),
    (reach_stages, "water_reach"),
    (reach_stages, "needed"),
    (reach_stages, "best_of"),
    (overflow_stages, "prepare"),
    (spilling, "spill_all"),
    (workbench, "all_findings"),
)

Calls = Counter[str]


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Calls:
    """How often each engine was called, by room and name."""
    counted: Calls = Counter()

    def watched(name: str, function: Callable[..., Any]) -> Callable[..., Any]:
        def call(*given: Any, **named: Any) -> Any:
            counted[name] += 1
            return function(*given, **named)

        return call

    for module, name in _DOORS:
        door = f"{module.__name__.rsplit('.', 1)[1]}.{name}"
        monkeypatch.setattr(module, name, watched(door, getattr(module, name)))
    return counted


def asked(bench: Workbench, site: Site, question: Question = Question.REACH, **more: Any) -> Answers:
    return bench.answers(site, question=question, **more)


@pytest.fixture
def bench(garden: Site, calls: Calls) -> Workbench:
    """A workbench that has the garden's answers already."""
    made = Workbench()
    asked(made, garden)
    calls.clear()
    return made


def test_the_first_answers_call_each_engine(garden: Site, calls: Calls) -> None:
    answers = asked(Workbench(), garden)
    assert calls == {
        "stages.ground_of": 1,
        "stages.wiring": 1,
        "stages.parts": 1,
        "stages.catch_answer": 1,
        "reach_stages.prepare": 1,
        "reach_stages.water_reach": 2,
        "reach_stages.needed": 4,  # two beds, and the two tanks have lines of two bores
        "reach_stages.best_of": 1,
        "overflow_stages.prepare": 1,
        "spilling.spill_all": 1,
        "workbench.all_findings": 1,
    }
    assert answers.reach is not None
    assert answers.overflow is not None
    assert set(answers.words) == set(Question)


def test_the_first_own_answers_say_what_needs_no_findings(garden: Site) -> None:
    words = Workbench().answers(garden, question=Question.REACH, own=True).words
    everything = Workbench().answers(garden, question=Question.REACH).words
    assert {Question.GROUND, Question.REACH} <= set(words)
    assert Question.OVERFLOW not in words
    assert all(words[question] == everything[question] for question in words)


def test_asking_again_works_out_nothing(garden: Site, bench: Workbench, calls: Calls) -> None:
    for question in Question:
        asked(bench, garden, question)
    assert calls == {}


@pytest.mark.parametrize(
    "change",
    [
        lambda site: edits.rename(site, "tank-1", "A tank by another name"),
        lambda site: edits.rename(site, "bed-1", ""),
        lambda site: edits.rename_site(site, "Elsewhere", about="much the same"),
        lambda site: edits.change(site, "pond-1", note="newts"),
        lambda site: edits.lock(site, ["tank-1", "bed-2"], locked=True),
        lambda site: site.replace(log=(LogEntry("2026-05-01T10:00:00+01:00", "sowed beans"),)),
    ],
    ids=["rename a tank", "rename a bed", "rename the site", "note", "lock", "log"],
)
def test_names_notes_and_locks_are_inputs_of_nothing(
    garden: Site, bench: Workbench, calls: Calls, change: Callable[[Site], Site]
) -> None:
    before = asked(bench, garden)
    after = asked(bench, change(garden))
    assert calls == {}
    assert after.reach is before.reach
    assert after.overflow is before.overflow
    assert after.findings == before.findings
    assert after.site is not before.site


def test_a_moved_tank_makes_its_own_map_and_the_spill(garden: Site, bench: Workbench, calls: Calls) -> None:
    moved = edits.move(garden, "tank-1", 0.4, -0.3)
    before, after = asked(bench, garden), asked(bench, moved)
    assert calls == {
        "stages.wiring": 1,
        "stages.catch_answer": 1,
        "reach_stages.water_reach": 1,
        "reach_stages.best_of": 1,
        "spilling.spill_all": 1,
        "workbench.all_findings": 1,
    }
    assert before.reach is not None
    assert after.reach is not None
    assert after.reach.tank("tank-2").map is before.reach.tank("tank-2").map  # type: ignore[union-attr]


def test_a_tank_without_a_roof_spills_nothing_anew(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.change(garden, "tank-2", opaque=False))
    assert calls["reach_stages.water_reach"] == 0
    assert calls["reach_stages.needed"] == 0


def test_a_moved_bed_makes_its_needed_levels(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.move(garden, "bed-1", 1.0, 0.0))
    assert calls == {"reach_stages.needed": 2, "workbench.all_findings": 1}


def test_a_moved_building_makes_both_grounds_anew(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.move(garden, "building-1", 0.0, 1.0))
    assert calls["reach_stages.prepare"] == calls["overflow_stages.prepare"] == 1
    assert calls["reach_stages.water_reach"] == 2
    assert calls["spilling.spill_all"] == 1
    assert calls["stages.ground_of"] == calls["stages.parts"] == 0


def test_another_water_level_is_a_pass_of_its_own(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.change(garden, "tank-2", water_l=700.0))
    assert calls["reach_stages.water_reach"] == 1
    assert calls["reach_stages.needed"] == 0


def test_another_rain_only_pours_anew(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.settings(garden, wet_day_mm=50.0))
    assert calls == {"stages.catch_answer": 1, "spilling.spill_all": 1, "workbench.all_findings": 1}


def test_a_tree_and_a_bank(garden: Site, bench: Workbench, calls: Calls) -> None:
    from shapely import LineString, Point

    from gardenwater.site.things import Bank, Tree

    asked(bench, edits.put(garden, Tree(id="tree-1", shape=Point(25, 25).buffer(2))))
    assert calls == {"workbench.all_findings": 1}
    asked(bench, edits.put(garden, Bank(id="bank-1", shape=LineString([(2, 15), (6, 15)]))))
    assert calls["reach_stages.prepare"] == calls["overflow_stages.prepare"] == 1


def test_undo_finds_its_result_again(garden: Site, bench: Workbench, calls: Calls) -> None:
    first = asked(bench, garden)
    asked(bench, edits.remove(edits.move(garden, "tank-1", 2.0, 0.0), "bed-2"))
    calls.clear()
    again = asked(bench, garden)
    assert calls == {}
    assert again.reach is first.reach
    assert again.overflow is first.overflow


def test_things_in_another_order_give_the_same_maps(garden: Site, bench: Workbench, calls: Calls) -> None:
    asked(bench, edits.reorder(garden, "tank-2", to=0))
    assert calls["reach_stages.water_reach"] == calls["reach_stages.needed"] == 0


# budget, cancel, threads


def same(one: Answers, other: Answers) -> bool:
    """Whether two sets of answers say the same, to the last bit."""
    assert one.reach is not None
    assert other.reach is not None
    assert one.overflow is not None
    assert other.overflow is not None
    pairs = [
        (getattr(one.reach.best, field.name), getattr(other.reach.best, field.name))
        for field in dataclasses.fields(one.reach.best)
    ]
    pairs.append((one.overflow.spill.pool_depth_m, other.overflow.spill.pool_depth_m))
    return (
        all(np.array_equal(a, b, equal_nan=a.dtype.kind == "f") for a, b in pairs)
        and repr(one.reach.beds) == repr(other.reach.beds)
        and one.overflow.account == other.overflow.account
        and one.findings == other.findings
        and one.words == other.words
    )


def test_a_small_budget_changes_no_answer(garden: Site, bench: Workbench) -> None:
    tight = Workbench(budget_mb=0.4)
    for _ in range(2):
        assert same(asked(tight, garden), asked(bench, garden))
        assert 0 < tight.held_mb <= 0.4


def test_what_was_not_used_goes_first(garden: Site, calls: Calls) -> None:
    bench = Workbench(budget_mb=3.0)
    for step in range(12):
        asked(bench, edits.move(garden, "tank-1", 0.1 * step, 0.0))
        assert bench.held_mb <= 3.0
    calls.clear()
    asked(bench, edits.move(garden, "tank-1", 1.1, 0.0))
    assert calls == {}
    asked(bench, garden)
    assert calls["reach_stages.water_reach"] > 0


def test_cancel_ends_the_work_and_leaves_nothing_half_done(garden: Site, bench: Workbench) -> None:
    for looks in (1, 3, 7, 15):
        left = [looks]

        def cancel(left: list[int] = left) -> bool:
            left[0] -= 1
            return left[0] < 0

        fresh = Workbench()
        with pytest.raises(Cancelled):
            asked(fresh, garden, cancel=cancel)
        assert same(asked(fresh, garden), asked(bench, garden))


def test_a_cancelled_call_keeps_the_stages_that_were_done(garden: Site, calls: Calls) -> None:
    bench = Workbench()

    def after_the_first_map() -> bool:
        return calls["reach_stages.water_reach"] >= 2

    with pytest.raises(Cancelled):
        asked(bench, garden, cancel=after_the_first_map, focus="tank-2")
    calls.clear()
    asked(bench, garden)
    assert calls["reach_stages.prepare"] == 0
    assert calls["reach_stages.water_reach"] == 1


def test_two_threads_get_equal_answers(garden: Site, bench: Workbench) -> None:
    moved = edits.move(garden, "tank-1", 1.0, 0.0)
    shared, got = Workbench(), {}
    start = threading.Barrier(2, timeout=30)

    def work(name: str, sites: tuple[Site, ...]) -> None:
        start.wait()
        got[name] = [asked(shared, site) for site in sites]

    threads = [
        threading.Thread(target=work, args=("one", (garden, moved))),
        threading.Thread(target=work, args=("two", (moved, garden))),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert same(got["one"][0], got["two"][1])
    assert same(got["one"][1], got["two"][0])
    assert same(got["one"][0], asked(bench, garden))


def test_two_workbenches_agree_to_the_last_bit(garden: Site, bench: Workbench) -> None:
    assert same(asked(Workbench(), garden), asked(bench, garden))


def test_progress_only_grows(garden: Site) -> None:
    told: list[tuple[float, str]] = []
    asked(Workbench(), garden, progress=lambda share, words: told.append((share, words)))
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert 0 <= shares[0] <= shares[-1] <= 1
    assert len({words for _, words in told}) > 2


# coarse


@pytest.fixture
def wide(make_site: Callable[..., Site], garden: Site, slope_of: Callable[..., Ground]) -> Site:
    """The garden on cells of 5 cm, 600 x 800 of them."""
    return make_site(*garden.things, ground=slope_of(rows=600, cols=800, cell_m=0.05, fall=0.05))


def test_coarse_answers_are_on_a_ground_of_some_160_cells(wide: Site) -> None:
    bench = Workbench()
    answers = asked(bench, wide, coarse=True, focus="tank-1")
    assert answers.coarse
    assert answers.reach is not None
    rows, cols = answers.reach.ground.shape
    assert 120**2 < rows * cols < 210**2
    assert answers.overflow is None
    poured = asked(bench, wide, Question.OVERFLOW, coarse=True)
    assert poured.reach is None
    assert poured.overflow is not None
    assert poured.overflow.ground.shape == (rows, cols)


def test_coarse_answers_are_near_the_exact_ones(wide: Site) -> None:
    bench = Workbench()
    exact = asked(bench, wide)
    coarse = asked(bench, wide, coarse=True)
    assert exact.reach is not None
    assert coarse.reach is not None
    for fine, rough in zip(exact.reach.beds, coarse.reach.beds, strict=True):
        assert rough.status is fine.status
        assert rough.minutes_per_can == pytest.approx(fine.minutes_per_can, rel=0.1)
    poured = asked(bench, wide, Question.OVERFLOW, coarse=True)
    assert poured.overflow is not None
    assert exact.overflow is not None
    assert poured.overflow.account.spilled_l == pytest.approx(exact.overflow.account.spilled_l)


def test_a_drag_makes_one_coarse_map_a_frame(wide: Site, calls: Calls) -> None:
    bench = Workbench()
    asked(bench, wide)
    bench.ready(wide, question=Question.REACH)
    calls.clear()
    for step in range(1, 6):
        asked(bench, edits.move(wide, "tank-1", 0.1 * step, 0.0), coarse=True, focus="tank-1")
    assert calls["reach_stages.water_reach"] == 5
    assert calls["reach_stages.needed"] == calls["reach_stages.prepare"] == 0
    assert calls["workbench.all_findings"] == calls["spilling.spill_all"] == 0


def test_what_all_maps_may_take_fits_into_what_a_bench_keeps() -> None:
    """Maps and needed levels that did not fit together were all worked out anew at each move of one of 26 tanks."""
    kept = workbench.BUDGET_MB * 1e6 * (1.0 - workbench._BRIEF_SHARE)
    assert 0.8 * kept > workbench.MOST_BYTES


def test_a_frame_of_a_drag_takes_the_margin_from_the_map(wide: Site) -> None:
    bench = Workbench()
    near, far = asked(bench, wide, coarse=True).reach, asked(bench, wide).reach
    assert near is not None
    assert far is not None
    for quick, full in zip(near.beds, far.beds, strict=True):
        assert quick.status is full.status
        assert quick.margin_m == pytest.approx(full.margin_m, abs=0.05)
        assert math.isnan(quick.draw_s)


def test_coarse_answers_carry_the_last_findings_of_the_same_things(garden: Site, bench: Workbench) -> None:
    exact = asked(bench, garden)
    moved = edits.move(garden, "tank-1", 0.5, 0.0)
    coarse = asked(bench, moved, coarse=True)
    assert coarse.findings == exact.findings
    assert coarse.words == exact.words
    assert coarse.catch is exact.catch
    fewer = asked(bench, edits.remove(garden, "bed-1"), coarse=True)
    assert fewer.findings == ()


def test_a_ground_too_large_for_all_maps_is_thinned_and_said_so(garden: Site, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbench, "MOST_BYTES", 4800 * (45 + 2 * 34 + 2 * 6) / 3)
    monkeypatch.setattr(workbench, "MOST_OVERFLOW_CELLS", 4800 / 8)
    answers = asked(Workbench(), garden)
    assert answers.reach is not None
    assert answers.overflow is not None
    assert answers.ground.ground.shape == (60, 80)
    assert answers.reach.ground.shape == (30, 40)  # a third of the cells is under a factor of 2
    assert answers.overflow.ground.shape == (20, 27)
    told = {finding.code: finding for finding in answers.findings}
    assert told["ground.thinned"].number("cell_m") == pytest.approx(1.0)
    assert told["overflow.thinned"].number("cell_m") == pytest.approx(1.5)
    assert told["overflow.thinned"].number("fine_m") == pytest.approx(0.5)


# sites that lack something


def test_a_bare_site_says_what_each_question_needs() -> None:
    answers = asked(Workbench(), Site())
    assert answers.reach is None
    assert answers.overflow is None
    assert {question: short.code for question, short in answers.words.items()} == {
        Question.GROUND: "ground.needs-levels",
        Question.CATCH: "catch.needs-roof",
        Question.REACH: "reach.needs-tank",
        Question.OVERFLOW: "overflow.needs-roof",
        Question.LASTING: "lasting.needs-weather",
        Question.NEXT_STEP: "next-step.not-answered",
        Question.ROUNDS: "rounds.not-answered",
    }
    assert all(short.needs for short in answers.words.values())


def test_tanks_and_beds_off_the_ground_have_no_part_in_reach(garden: Site) -> None:
    from shapely import Point

    from gardenwater.site.things import Bed, Tank

    things = (
        Tank(id="tank-9", name="Far tank", shape=Point(500, 500)),
        Bed(id="bed-9", name="Far bed", shape=box(600, 600, 604, 604)),
    )
    answers = asked(Workbench(), edits.put(garden, *things))
    assert answers.reach is not None
    assert [tank.tank for tank in answers.reach.tanks] == ["tank-1", "tank-2"]
    assert answers.reach.bed("bed-9") is not None
    told = {(finding.code, finding.subject) for finding in answers.findings}
    assert ("ground.thing-off", "tank-9") in told
    assert ("reach.bed-out", "bed-9") in told


def test_a_long_drag_pushes_out_nothing_that_exact_answers_rest_on(
    garden: Site, slope_of: Callable[..., Ground], make_site: MakeSite, calls: Calls
) -> None:
    """Hundreds of coarse frames used to push out needed levels and maps of all tanks."""
    fine = make_site(*garden.things, ground=slope_of(rows=375, cols=500, cell_m=0.08, fall=0.05))
    bench = Workbench(budget_mb=80.0)
    asked(bench, fine)
    before = bench.held_mb
    for step in range(1, 50):
        moved = edits.move(fine, "tank-1", 0.01 * step, 0.0)
        coarse = asked(bench, moved, coarse=True, focus="tank-1")
    assert coarse.reach is not None
    assert coarse.reach.ground.shape == (125, 167)
    assert bench.held_mb > before + 15.0  # as many as its share holds, and not all 49
    calls.clear()
    asked(bench, moved)
    assert calls["reach_stages.water_reach"] == 1
    assert calls["reach_stages.needed"] == 0
