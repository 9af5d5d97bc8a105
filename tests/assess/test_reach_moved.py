"""Reach of a tank in the hand is read off its map at once; held against the rows that are made one by one."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable

import numpy as np
import pytest

from gardenwater.assess import Answers, Workbench
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Building, Tank
from tests.assess.conftest import MakeSite

_READ = (
    "minutes_per_can", "spare_head_m", "margin_m", "error_m", "needed_level_m", "share_in_reach", "usable_l",
    "usable_full_l", "cans_l", "too_high_m",
)  # fmt: skip


def coarse(bench: Workbench, site: Site) -> Answers:
    return bench.answers(site, question=Question.REACH, focus="tank-1", coarse=True)


def both(before: Site, moved: Site) -> tuple[Answers, Answers]:
    """The coarse answer after exact ones to the site as it was, and that of a bench that knows nothing of it."""
    bench = Workbench()
    bench.answers(before, question=Question.REACH, focus="tank-1")
    return coarse(bench, moved), coarse(Workbench(), moved)


def raised(garden: Site) -> Site:
    """A raised bed, a bed under water's reach, one off the ground."""
    beds = [bed.id for bed in garden.of(Bed)]
    return edits.change(garden, beds[0], raised_m=0.4)


@pytest.mark.parametrize(("east_m", "north_m"), [(0.0, 0.0), (1.5, -2.0), (-3.0, 4.0), (5.0, 8.0)])
def test_rows_are_those_that_are_made_one_by_one(garden: Site, east_m: float, north_m: float) -> None:
    before = raised(garden)
    quick, slow = both(before, edits.move(before, "tank-1", east_m, north_m))
    assert quick.reach is not None
    assert slow.reach is not None
    one, other = quick.reach.tank("tank-1"), slow.reach.tank("tank-1")
    assert one is not None
    assert other is not None
    np.testing.assert_array_equal(one.map.reason, other.map.reason)
    np.testing.assert_array_equal(one.sureness, other.sureness)
    for row, expected in zip(one.beds, other.beds, strict=True):
        assert (row.bed, row.status, row.reason, row.at) == (
            expected.bed, expected.status, expected.reason, expected.at,
        )  # fmt: skip
        for name in _READ:
            assert getattr(row, name) == pytest.approx(getattr(expected, name), abs=1e-6, nan_ok=True), name
    assert one.beds_reached == other.beds_reached


def test_an_empty_tank_reaches_nothing(garden: Site) -> None:
    empty = edits.change(garden, "tank-1", water_l=0.0)
    quick, slow = both(garden, empty)
    assert quick.reach is not None
    assert slow.reach is not None
    one, other = quick.reach.tank("tank-1"), slow.reach.tank("tank-1")
    assert one is not None
    assert other is not None
    assert [dataclasses.replace(row, distance_m=0.0, draw_s=0.0, draw_full_s=0.0) for row in one.beds] == [
        dataclasses.replace(row, distance_m=0.0, draw_s=0.0, draw_full_s=0.0) for row in other.beds
    ]


def test_the_other_tanks_and_the_best_of_all_are_those_of_the_last_exact_answers(garden: Site) -> None:
    bench = Workbench()
    exact = bench.answers(garden, question=Question.REACH, focus="tank-1").reach
    moved = coarse(bench, edits.move(garden, "tank-1", 2.0, 0.0)).reach
    assert exact is not None
    assert moved is not None
    assert moved.tank("tank-2") is exact.tank("tank-2")
    assert moved.best.reason.shape == moved.ground.shape
    ranks = {bed.bed: bed for bed in moved.beds}
    for bed, row in ranks.items():
        rows = [found for tank in moved.tanks if (found := tank.bed(bed)) is not None]
        assert any(row is each for each in rows)
        assert row.reached == any(each.reached for each in rows)


def test_what_a_drag_rests_on_is_made_once_though_the_last_answers_are_larger_than_its_share(
    make_site: MakeSite, garden: Site, slope_of: Callable[..., Ground]
) -> None:
    """Maps of all tanks were counted to it, so that nothing was kept and each frame looked through all of them."""
    fine = make_site(*garden.things, ground=slope_of(rows=375, cols=500, cell_m=0.08, fall=0.05))
    bench = Workbench(budget_mb=80.0)
    exact = bench.answers(fine, question=Question.REACH, focus="tank-1")
    assert exact.reach is not None
    assert sum(each.map.reason.size * 30 for each in exact.reach.tanks) > bench._brief.budget_bytes / 2
    first = coarse(bench, edits.move(fine, "tank-1", 0.1, 0.0)).reach
    second = coarse(bench, edits.move(fine, "tank-1", 0.2, 0.0)).reach
    assert first is not None
    assert second is not None
    assert first.best is second.best


def test_a_building_that_moved_too_makes_all_maps_anew(garden: Site) -> None:
    bench = Workbench()
    exact = bench.answers(garden, question=Question.REACH, focus="tank-1").reach
    house = garden.of(Building)[0].id
    moved = coarse(bench, edits.move(garden, [house, "tank-1"], 0.5, 0.0)).reach
    assert exact is not None
    assert moved is not None
    assert moved.tank("tank-2") is not exact.tank("tank-2")


def test_the_questions_own_answer_has_the_exact_map(garden: Site) -> None:
    bench = Workbench()
    bench.answers(garden, question=Question.REACH, focus="tank-1")
    moved = edits.move(garden, "tank-1", 2.0, 1.0)
    own = bench.answers(moved, question=Question.REACH, focus="tank-1", own=True).reach
    full = bench.answers(moved, question=Question.REACH, focus="tank-1").reach
    assert own is not None
    assert full is not None
    one, other = own.tank("tank-1"), full.tank("tank-1")
    assert one is not None
    assert other is not None
    assert one.map is other.map
    for row, expected in zip(one.beds, other.beds, strict=True):
        assert row.status is expected.status
        assert row.margin_m == pytest.approx(expected.margin_m, abs=0.05, nan_ok=True)
        assert math.isnan(row.draw_s)


def test_a_tank_that_is_dragged_off_the_ground_has_no_part(garden: Site) -> None:
    bench = Workbench()
    bench.answers(garden, question=Question.REACH, focus="tank-1")
    gone = coarse(bench, edits.move(garden, "tank-1", 500.0, 0.0)).reach
    assert gone is not None
    assert gone.tank("tank-1") is None
    assert gone.tank("tank-2") is not None
    assert len(garden.of(Tank)) == 2
