"""Mends: tried on the site, always falling, far enough from buildings, and what they say holds when they are kept."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

import gardenwater as gw
from gardenwater.assess import Workbench
from gardenwater.assess.event import event_of
from gardenwater.assess.following import StepKind, follow, source_of_route
from gardenwater.assess.inputs import Inputs
from gardenwater.assess.mends import MendKind, place_of
from gardenwater.assess.mends.digging import swales
from gardenwater.assess.mends.judging import Judge
from gardenwater.assess.mends.leading import BORES_MM, bore_for, soakaway_size_m
from gardenwater.assess.mends.meeting import passing
from gardenwater.assess.mends.terrain import Terrain
from gardenwater.assess.rising import with_rain
from gardenwater.assess.stages import Bench as BenchOf
from gardenwater.assess.store import Store
from gardenwater.assess.takers import swale_room_m3
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground, levels_at
from gardenwater.hydraulics.openings import full_pipe_m3_s
from gardenwater.hydraulics.soakaways import half_empty_h, soakaway_outflow_m3_s
from gardenwater.report.overflow_words import mend_figures, mend_title
from gardenwater.site import edits
from gardenwater.site import things as t
from gardenwater.site.model import EventKind, Site
from gardenwater.tables import sample_site

MakeSite = Callable[..., Site]


@pytest.fixture(scope="module")
def bench() -> Workbench:
    return Workbench()


@pytest.fixture(scope="module")
def sample() -> Site:
    return gw.open_site(sample_site("quillet-bank.gpkg"))


def findings(bench: Workbench, site: Site) -> tuple[Finding, ...]:
    return bench.answers(site, question=Question.OVERFLOW).findings


def pool_on_path(bench: Workbench, site: Site) -> Finding:
    return next(each for each in findings(bench, site) if each.code == "overflow.pool-on-path")


def test_each_mend_of_the_samples_pool_takes_it_away(bench: Workbench, sample: Site) -> None:
    trouble = pool_on_path(bench, sample)
    found = bench.mends(sample, trouble)
    assert found.before_l == pytest.approx(trouble.number("volume_l"))
    assert len(found.mends) == 3
    assert len({mend.kind for mend in found.mends}) == 3
    for mend in found.mends:
        after = findings(bench, mend.on(sample))
        left = [each for each in after if each.code == trouble.code and each.subject == trouble.subject]
        assert sum(each.number("volume_l") for each in left) == pytest.approx(mend.remains_l, abs=1e-9)
        assert mend.remains_l < found.before_l
        grave = {(each.code, place_of(sample, each)) for each in findings(bench, sample) if each.severity <= 1}
        assert {(each.code, place_of(sample, each)) for each in after if each.severity <= 1} <= grave
    assert found.mends[0].remains_l == 0.0


def test_a_kept_mend_is_undone_whole(bench: Workbench, sample: Site) -> None:
    from gardenwater.site.history import History

    mend = bench.mends(sample, pool_on_path(bench, sample)).mends[0]
    history = History(sample)
    history.do("Keep the mend", mend.on)
    assert history.present != sample
    history.undo()
    assert history.present is sample


def test_pipes_fall_and_soakaways_keep_their_distances(bench: Workbench, sample: Site) -> None:
    ground = bench.answers(sample, question=Question.OVERFLOW).ground.ground
    houses = sample.of(t.Building)
    seen = set()
    for trouble in findings(bench, sample):
        for mend in bench.mends(sample, trouble).mends:
            seen.add(mend.kind)
            for thing in mend.things:
                if isinstance(thing, t.Soakaway):
                    assert min(house.shape.distance(thing.shape) for house in houses) >= 5.0
                    others = [each.shape.distance(thing.shape) for each in sample.of(t.Soakaway)]
                    assert min(others) >= 10.0
                if isinstance(thing, t.Swale):
                    levels = levels_at(ground, *np.array(thing.shape.coords).T)
                    assert np.ptp(levels) < 0.06  # along the contour
                    assert min(house.shape.distance(thing.shape) for house in houses) >= 3.0
            if mend.kind in {MendKind.PIPE, MendKind.SOAKAWAY}:
                assert mend.fall_m >= mend.length_m / 80 - 1e-9
                assert 0.3 - 0.1 <= mend.deepest_m <= 1.2 + 0.1  # levels at corners, on cells of half a metre
    assert {MendKind.PIPE, MendKind.SOAKAWAY, MendKind.SWALE} <= seen


def test_nothing_is_offered_where_there_is_nothing_to_mend(bench: Workbench, sample: Site) -> None:
    note = next(each for each in findings(bench, sample) if each.code == "overflow.soil")
    assert bench.mends(sample, note).mends == ()


def test_a_tank_that_keeps_being_fed_can_send_the_rest_down_its_pipe(
    make_site: Callable[..., Site], slope_of: Callable[..., object]
) -> None:
    """The tank stands above a path; its downpipe leads to a drain. When the diverter stops, nothing is spilled."""
    site = make_site(
        t.Building(id="building-1", shape=box(10.4, 22.4, 19.6, 27.6)),
        t.Roof(id="roof-1", shape=box(10, 22, 20, 28)),
        t.Downpipe(id="downpipe-1", shape=Point(20, 22), roof="roof-1", drained=True),
        t.Tank(id="tank-1", name="Tank", shape=Point(24, 21), water_l=1500.0),
        t.Diverter(
            id="diverter-1", shape=Point(20, 22), downpipe="downpipe-1", tank="tank-1", form=t.DiverterKind.FEEDS
        ),
        t.Path(id="path-1", shape=LineString([(0, 8), (40, 8)])),
        ground=slope_of(fall=0.05),
    )
    bench = Workbench()
    trouble = next(each for each in findings(bench, site) if each.code == "overflow.crosses-path")
    found = bench.mends(site, trouble)
    back = next(mend for mend in found.mends if mend.kind is MendKind.BACK)
    assert back.remains_l == 0.0
    (diverter,) = back.things
    assert isinstance(diverter, t.Diverter)
    assert diverter.form is t.DiverterKind.STOPS


def test_an_uncaught_pipe_is_led_away_from_its_foot(
    make_site: Callable[..., Site], slope_of: Callable[..., object]
) -> None:
    site = make_site(
        t.Building(id="building-1", shape=box(10.4, 22.4, 19.6, 27.6)),
        t.Roof(id="roof-1", shape=box(10, 22, 20, 28)),
        t.Downpipe(id="downpipe-1", name="Pipe", shape=Point(20, 22), roof="roof-1"),
        ground=slope_of(fall=0.05),
    )
    bench = Workbench()
    trouble = next(each for each in findings(bench, site) if each.code == "overflow.near-building")
    found = bench.mends(site, trouble)
    assert found.mends[0].remains_l == 0.0
    changed = found.mends[0].on(site)
    (pipe,) = changed.of(t.Overflow)
    assert (pipe.tank, pipe.downpipe) == ("", "downpipe-1")
    source = bench.answers(changed, question=Question.OVERFLOW).overflow.sources[0]  # type: ignore[union-attr]
    assert source.at == pytest.approx(pipe.shape.coords[-1])


@pytest.mark.parametrize("flow_l_s", [0.1, 0.9, 3.0, 20.0])
def test_the_bore_is_the_smallest_that_carries_the_flow(flow_l_s: float) -> None:
    bore = bore_for(flow_l_s, 1 / 80)
    smaller = [each for each in BORES_MM if each < bore]
    assert full_pipe_m3_s(bore_mm=bore, fall=1 / 80) * 1000 >= flow_l_s or bore == BORES_MM[-1]
    assert all(full_pipe_m3_s(bore_mm=each, fall=1 / 80) * 1000 < flow_l_s for each in smaller)


@pytest.mark.parametrize(("litres", "soak_mm_h"), [(500.0, 15.0), (3000.0, 15.0), (900.0, 5.0), (5000.0, 30.0)])
def test_a_soakaway_holds_what_comes_less_what_soaks(litres: float, soak_mm_h: float) -> None:
    """BRE Digest 365: S = I - O with the sides to half their depth; half empty within a day."""
    length, width = soakaway_size_m(litres, 6.0, soak_mm_h)
    outflow = soakaway_outflow_m3_s(perimeter_m=2 * (length + width), depth_m=1.0, soak_m_s=soak_mm_h / 3.6e6)
    held = length * width * 0.3
    assert held + outflow * 6 * 3600 >= litres / 1000.0 - 1e-9 or length == 12.0
    assert half_empty_h(stored_m3=held, outflow_m3_s=outflow) <= 24.0


def test_the_water_of_the_sample_is_followed_to_its_end(bench: Workbench, sample: Site) -> None:
    overflow = bench.answers(sample, question=Question.OVERFLOW).overflow
    assert overflow is not None
    for number, source in enumerate(overflow.sources):
        steps = follow(sample, overflow, number)
        assert steps[0].kind is StepKind.COMES_OUT
        assert steps[0].volume_l == pytest.approx(1000 * source.volume_m3)
        assert steps[-1].kind in {StepKind.POOLS, StepKind.TAKEN, StepKind.SOAKS, StepKind.LEAVES}
        for before, after in pairwise(steps):
            if after.line is not None and before.kind is not StepKind.OVER_SILL:
                assert math.dist(after.line.coords[0], before.at) < 1.0
    tank = next(number for number, source in enumerate(overflow.sources) if source.owner == "tank-3")
    pool = next(step for step in follow(sample, overflow, tank) if step.kind is StepKind.POOLS)
    assert pool.volume_l == pytest.approx(pool_on_path(bench, sample).number("volume_l"))
    route = overflow.ends[tank].route
    assert overflow.sources[source_of_route(overflow, route)].owner == "tank-3"


def test_something_begins_where_it_was_found_to_begin(bench: Workbench, sample: Site) -> None:
    """Dry tanks take the first rain, so that nothing spills from them at once."""
    site = edits.change(edits.settings(sample, tanks_full=False), "tank-3", water_l=1250.0)
    begin = next(each for each in bench.beginnings(site) if each.subject == "path-3")
    assert 0.05 < begin.share < 1.0
    for share, there in ((begin.share, True), (begin.share - 1 / 32, False)):
        codes = {
            (each.code, place_of(site, each)) for each in findings(bench, with_rain(site, share)) if each.severity <= 2
        }
        assert ((begin.code, "path-3") in codes) is there


def test_the_whole_rain_is_the_site_itself_and_none_spills_nothing(bench: Workbench, sample: Site) -> None:
    assert with_rain(sample, 1.0) == sample
    dry = bench.answers(with_rain(sample, 0.0), question=Question.OVERFLOW).overflow
    assert dry is not None
    assert dry.account.spilled_l < 0.01


def test_a_share_of_typed_litres_is_fewer_litres(sample: Site) -> None:
    site = edits.settings(sample, event=EventKind.LITRES, typed_l=400.0)
    assert event_of(with_rain(site, 0.25)).litres == pytest.approx(100.0)


def test_a_share_of_a_day_of_the_weather_is_less_rain_in_the_same_hours(sample: Site) -> None:
    site = edits.settings(sample, event=EventKind.WEATHER_DAY)
    whole, half = event_of(site), event_of(with_rain(site, 0.5))
    assert whole.day is not None
    assert (half.rain_mm, half.hours) == (pytest.approx(whole.rain_mm / 2), whole.hours)


# troubles that several share


def valley(*, meet_above: bool) -> Ground:
    """A valley that falls to the south, with a bowl in it; the ways of both sides meet above it, or only in it."""
    rows, cols = np.mgrid[0:100, 0:100]
    x, y = (cols + 0.5) * 0.4, 40.0 - (rows + 0.5) * 0.4
    side, steep, wide_m = (0.08, 0.2, 2.5) if meet_above else (0.02, 0.05, 7.0)
    level = 100.0 + 0.06 * y + side * np.abs(x - 19.8)
    from_bowl_m = np.hypot(x - 19.8, y - 10.0)
    bowl = np.where(from_bowl_m < wide_m, 100.0 + steep * from_bowl_m, np.inf)
    return Ground(np.minimum(level, bowl), Affine(0.4, 0.0, 0.0, 0.0, -0.4, 40.0))


@pytest.mark.parametrize("meet_above", [True, False])
def test_what_two_share_is_mended_where_they_meet(bench: Workbench, make_site: MakeSite, meet_above: bool) -> None:
    tanks = [
        t.Tank(id=f"tank-{n}", name=f"Tank {n}", shape=Point(x, 32.0), capacity_l=500.0, water_l=500.0)
        for n, x in ((1, 10.8), (2, 28.8))
    ]
    path = t.Path(id="path-1", name="Path", shape=LineString([(12, 10), (20, 10)]), width_m=1.0)
    site = make_site(
        *tanks,
        path,
        ground=valley(meet_above=meet_above),
        event=EventKind.LITRES,
        typed_l=800.0,
        wet_day_h=1.0,
        soil="loam",
    )
    trouble = pool_on_path(bench, site)
    assert set(trouble.others) == {"tank-1", "tank-2"}
    found = bench.mends(site, trouble)
    shared = [mend for mend in found.mends if mend.others and mend.remains_l < 1.0]
    assert shared
    assert shared[0] is found.mends[0]
    for mend in shared:
        assert {mend.owner, *mend.others} == {"tank-1", "tank-2"}
        title, figures = mend_title(mend, site), mend_figures(mend, site.settings.units, site)
        if meet_above:
            assert "where they meet" in title
            assert "Tank 1 and Tank 2" in figures
        else:
            assert len(mend.parts) == 2
            assert title[0] in "AT"
            assert figures == "Tank 1 and Tank 2"
        after = findings(bench, mend.on(site))
        assert not [each for each in after if each.code == trouble.code and each.subject == trouble.subject]
    # one's own mend leaves the other's water
    assert all(mend.remains_l > 1.0 for mend in found.mends if not mend.others)


def test_a_swale_is_as_long_as_what_comes_by_asks_for(bench: Workbench, make_site: MakeSite) -> None:
    tank = t.Tank(id="tank-1", name="Tank 1", shape=Point(19.8, 36.0), capacity_l=500.0, water_l=500.0)
    path = t.Path(id="path-1", name="Path", shape=LineString([(12, 10), (28, 10)]), width_m=1.0)
    site = make_site(
        tank, path, ground=valley(meet_above=True), event=EventKind.LITRES, typed_l=1500.0, soil="sand", wet_day_h=1.0
    )
    judge = Judge(site, pool_on_path(bench, site), BenchOf(Store(2**26), Inputs()), 1)
    ((low, *_, high),) = passing(judge, "tank-1")
    assert low.litres < high.litres < 1500.0  # some has soaked on the way
    route = judge.answer.spill.routes[0]
    assert route.volume_end_m3 * 1000.0 < low.litres
    swale = next(swales(judge, Terrain(site, judge.overflow.ground), [[low]])).things[0]
    assert isinstance(swale, t.Swale)
    soaks_m3 = swale.width_m * swale.shape.length * event_of(site).soak_mm_h / 1000.0 * event_of(site).hours
    takes_l = 1000.0 * (swale_room_m3(swale, judge.stages.built) + soaks_m3)
    assert low.litres <= takes_l or swale.shape.length == pytest.approx(16.0, abs=0.1)
