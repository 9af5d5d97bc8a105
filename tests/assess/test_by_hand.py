"""The answers are what the engines say when they are called by hand, on the same ground and with the same fields."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

import gardenwater as gw
from gardenwater.assess import Answers, Status, Sureness, Workbench
from gardenwater.catch import spills, year_yields, yields
from gardenwater.findings import Question
from gardenwater.ground import ground_of, level_at
from gardenwater.hydraulics import Line
from gardenwater.overflow import Source, Taker, prepare, spill_all
from gardenwater.reach import Reason, needed_level, water_reach
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Building, Pond, Tank


@pytest.fixture(scope="module")
def bench() -> Workbench:
    return Workbench()


@pytest.fixture
def answers(bench: Workbench, garden: Site) -> Answers:
    return bench.answers(garden, question=Question.REACH)


LINES = {"tank-1": Line(bore_mm=19.05), "tank-2": Line(bore_mm=12.7)}  # the usual line; the drawn one, a hose of 13 mm


def test_the_ground(garden: Site, answers: Answers) -> None:
    assert answers.ground.ground is garden.ground.payload  # type: ignore[union-attr]
    assert ground_of(garden).level_error_m == answers.ground.level_error_m


@pytest.mark.parametrize("tank_id", ["tank-1", "tank-2"])
def test_the_map_of_each_tank(garden: Site, answers: Answers, tank_id: str) -> None:
    tank = garden.thing(tank_id, Tank)
    ground = answers.ground.ground
    level_m = level_at(ground, tank.shape.x, tank.shape.y) + tank.stand_height_m + tank.water_height_m
    by_hand = water_reach(
        ground,
        at=(tank.shape.x, tank.shape.y),
        water_level_m=level_m,
        line=LINES[tank_id],
        barriers=[building.shape for building in garden.of(Building)],
    )
    assert answers.reach is not None
    reach = answers.reach.tank(tank_id)
    assert reach is not None
    assert reach.line == LINES[tank_id]
    assert reach.line_id == ("watering_line-1" if tank_id == "tank-2" else "")
    assert reach.water_level_m == level_m
    for name in ("distance_m", "residual_head_m", "flow_l_min", "minutes_per_can", "margin_m", "reason"):
        assert np.array_equal(getattr(reach.map, name), getattr(by_hand, name), equal_nan=name != "reason"), name


def test_the_needed_level_of_each_bed(garden: Site, answers: Answers) -> None:
    assert answers.reach is not None
    barriers = [building.shape for building in garden.of(Building)]
    for reach in answers.reach.tanks:
        tank = garden.thing(reach.tank, Tank)
        for row in reach.beds:
            needed = needed_level(
                answers.ground.ground, bed=garden.thing(row.bed, Bed).shape, line=LINES[tank.id], barriers=barriers
            )
            at_tank = float(needed[answers.ground.ground.cell_at(tank.shape.x, tank.shape.y)])  # type: ignore[index]
            assert row.needed_level_m == pytest.approx(at_tank, abs=0.01)
            # of all points the tightest for its error, not that of the least margin alone
            assert row.margin_m >= reach.water_level_m - at_tank - 0.01
            assert row.margin_m - row.error_m <= reach.water_level_m - at_tank + 0.01


def test_sure_cells_have_the_margin_of_their_error(garden: Site, bench: Workbench) -> None:
    low = gw.edits.change(gw.edits.change(garden, "tank-2", water_l=300.0), "tank-1", water_l=130.0)
    answers = bench.answers(low, question=Question.REACH)
    assert answers.reach is not None
    settings = garden.settings
    for reach in answers.reach.tanks:
        error = settings.ground_error_m * np.sqrt(2 * (1 - np.exp(-reach.map.distance_m / settings.error_length_m)))
        in_reach = reach.map.reason == Reason.IN_REACH
        sure = reach.sureness == Sureness.SURE
        # the error grows with the way: none of the way can be wrong by more than the end is
        assert sure[in_reach & (reach.map.margin_m >= error + 1e-5)].all()
        own = reach.map.water_level_m - reach.map.ground.level_m
        assert not sure[in_reach & (own < error - 1e-5)].any()
        assert not sure[~in_reach].any()
        assert ((reach.sureness == Sureness.OUT) == ~in_reach).all()
        assert {*np.unique(reach.sureness)} == set(Sureness)


def test_the_best_tank_at_each_cell(answers: Answers) -> None:
    assert answers.reach is not None
    best, tanks = answers.reach.best, answers.reach.tanks
    minutes = np.stack([tank.map.minutes_per_can for tank in tanks])
    in_reach = np.stack([tank.map.reason == Reason.IN_REACH for tank in tanks])
    soonest = np.fmin.reduce(np.where(in_reach, minutes, np.nan), axis=0)
    reached = in_reach.any(axis=0)
    assert np.array_equal(best.minutes_per_can[reached], soonest[reached])
    assert (best.reason[reached] == Reason.IN_REACH).all()
    assert np.array_equal(best.tank_index[reached], np.nanargmin(np.where(in_reach, minutes, np.inf), axis=0)[reached])
    for name in ("residual_head_m", "distance_m", "flow_l_min"):
        of_best = np.stack([getattr(tank.map, name) for tank in tanks])
        rows, cols = np.nonzero(reached)
        chosen = of_best[best.tank_index[rows, cols], rows, cols]
        assert np.array_equal(getattr(best, name)[rows, cols], chosen), name
    slow = ~reached & np.stack([tank.map.reason == Reason.SLOW for tank in tanks]).any(axis=0)
    assert (best.reason[slow] == Reason.SLOW).all()
    neither = ~reached & ~slow
    assert (best.tank_index[neither] == -1).all()
    assert np.isnan(best.minutes_per_can[neither]).all()
    assert np.array_equal(best.sureness, np.maximum.reduce([tank.sureness for tank in tanks]))


def test_the_best_tank_for_each_bed(answers: Answers) -> None:
    assert answers.reach is not None
    order = list(Status)
    for best in answers.reach.beds:
        rows = [row for tank in answers.reach.tanks if (row := tank.bed(best.bed)) is not None]
        assert best in rows
        assert all(order.index(best.status) <= order.index(row.status) or row.status is Status.SLOW for row in rows)
        of_its_status = [row.minutes_per_can for row in rows if row.status is best.status]
        assert math.isnan(best.minutes_per_can) or best.minutes_per_can == min(of_its_status)
    assert answers.reach.beds_reached == sum(bed.reached for bed in answers.reach.beds)


def test_litres(garden: Site, answers: Answers) -> None:
    assert answers.catch is not None
    settings = garden.settings
    wet_day = yields(garden, settings.wet_day_mm, hours=settings.wet_day_h)
    assert dict(answers.catch.wet_day.pipes) == dict(wet_day.pipes)
    year = year_yields(garden)
    assert year is not None
    assert answers.catch.year is not None
    assert dict(answers.catch.year.tanks) == dict(year.tanks)
    assert answers.catch.uncaught == ("downpipe-2",)


@pytest.mark.parametrize("tanks_full", [False, True])
def test_the_spill(bench: Workbench, garden: Site, tanks_full: bool) -> None:
    site = gw.edits.settings(garden, tanks_full=tanks_full)
    overflow = bench.answers(site, question=Question.OVERFLOW).overflow
    assert overflow is not None
    settings = site.settings
    full = [
        dataclasses.replace(thing, water_l=thing.capacity_l) if tanks_full and isinstance(thing, Tank) else thing
        for thing in site
    ]
    wet = spills(
        site.replace(things=tuple(full)),
        settings.wet_day_mm,
        settings.wet_day_h,
        ground=site.ground.payload,  # type: ignore[union-attr]
    )
    pond = site.thing("pond-1", Pond)
    by_hand = spill_all(
        prepare(site.ground.payload, barriers=[building.shape for building in site.of(Building)]),  # type: ignore[union-attr]
        [Source(source.at, source.volume_m3, source.owner) for source in wet.sources],
        over_h=settings.wet_day_h,
        soak_mm_h=15.0,  # loam
        takers=[Taker(pond.shape, pond.shape.area * pond.freeboard_m, 0.0, "pond-1")],
    )
    assert overflow.sources == wet.sources
    assert np.array_equal(overflow.spill.pool_depth_m, by_hand.pool_depth_m)
    assert [route.line for route in overflow.spill.routes] == [route.line for route in by_hand.routes]
    assert overflow.spill.taken_m3 == by_hand.taken_m3
    assert overflow.account.soaked_l == pytest.approx(by_hand.soaked_m3 * 1000)
    assert overflow.account.taken_by_tanks_l == pytest.approx(wet.account.taken_l)
    assert ("tank-1" in [source.owner for source in overflow.sources]) is False  # its diverter stops by itself


def test_every_litre_is_accounted_for(answers: Answers) -> None:
    assert answers.overflow is not None
    account = answers.overflow.account
    up = (account.stays_on_roofs_l, account.kept_by_first_flush_l, account.taken_by_tanks_l, account.into_drains_l)
    assert account.rain_l == pytest.approx(math.fsum((*up, account.spilled_l)), rel=1e-12)
    down = (account.soaked_l, account.takers_l, account.pooled_l, account.off_site_l)
    assert account.spilled_l == pytest.approx(math.fsum(down), rel=1e-9)
    assert abs(account.residual_l) < 1e-9 * account.spilled_l


def test_the_whole_job_in_one_call(bench: Workbench, garden: Site) -> None:
    assessment = gw.assess(garden)
    answers = bench.answers(garden, question=Question.OVERFLOW)
    assert assessment.findings == answers.findings
    assert assessment.words == answers.words
    assert repr(assessment.reach.beds) == repr(answers.reach.beds)  # type: ignore[union-attr]
    assert assessment.overflow.account == answers.overflow.account  # type: ignore[union-attr]
    assert not assessment.coarse
