"""A wet day by hand, and every litre of it for any site."""

from __future__ import annotations

import math

import numpy as np
import pytest
from affine import Affine
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, box

from gardenwater.catch import Spills, SpillWhy, spills
from gardenwater.errors import InputError
from gardenwater.ground import Ground
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, DiverterKind, FirstFlush, Link, Overflow, Roof, RoofForm, Tank, Thing
from tests.catch.made import diverter, pipe, roof, site_of, tank

# A roof of 60 m2 that yields 0.8 x 0.9 of 24 mm: 1,440 L fall, 288 L stay, 115.2 L are filtered off, 1,036.8 L run.
RUNS_L, FILTER_L = 1036.8, 115.2


def fed(form: DiverterKind, room_l: float, *more: Thing, **fields: object) -> Spills:
    """One roof, one pipe, one diverter, one tank with so much room."""
    tank_1 = tank(1, -2, -2, capacity_l=1500.0, water_l=1500.0 - room_l)
    return spills(site_of(roof(), pipe(1, 0, 0, **fields), diverter(1, 0, 0, form=form), tank_1, *more), 24.0, 6.0)


def litres(found: Spills) -> dict[tuple[str, SpillWhy], float]:
    return {(source.owner, why): 1000 * m3 for source in found.sources for why, m3 in source.parts}


def test_a_tank_with_room_takes_all_but_the_filter_losses() -> None:
    found = fed(DiverterKind.STOPS, 1200.0)
    assert found.taken_l == pytest.approx({"tank-1": RUNS_L})
    assert litres(found) == {("downpipe-1", SpillWhy.FILTER): pytest.approx(FILTER_L)}
    assert found.account.stays_l == pytest.approx(288.0)


def test_a_diverter_that_stops_sends_the_rest_down_its_pipe() -> None:
    found = fed(DiverterKind.STOPS, 400.0)
    assert found.taken_l == pytest.approx({"tank-1": 400.0})
    (source,) = found.sources
    assert source.at == (0.0, 0.0)
    assert source.why is SpillWhy.STOPPED
    assert litres(found) == pytest.approx(
        {("downpipe-1", SpillWhy.STOPPED): RUNS_L - 400.0, ("downpipe-1", SpillWhy.FILTER): FILTER_L}
    )
    assert source.volume_m3 == pytest.approx((RUNS_L - 400.0 + FILTER_L) / 1000)


@pytest.mark.parametrize("form", [DiverterKind.FEEDS, DiverterKind.WHOLE_PIPE])
def test_one_that_keeps_feeding_makes_the_tank_overflow_at_the_mouth_of_its_pipe(form: DiverterKind) -> None:
    mouth = Overflow(id="overflow-1", shape=LineString([(-2, -2.6), (-2, -8), (-4, -9)]), tank="tank-1")
    found = fed(form, 400.0, mouth)
    (source,) = [each for each in found.sources if each.owner == "tank-1"]
    assert (source.at, source.pipe, source.why) == ((-4.0, -9.0), "overflow-1", SpillWhy.TANK_FULL)
    assert source.volume_m3 * 1000 == pytest.approx(RUNS_L - 400.0)
    bare = fed(form, 400.0)
    assert next(each for each in bare.sources if each.owner == "tank-1").at == (-2.0, -2.0)


def test_what_a_diverter_cannot_pass_runs_by_and_nobodys_pipe_runs_out() -> None:
    slow = site_of(roof(), pipe(1, 0, 0), diverter(1, 0, 0, most_l_min=2.88), tank(1, -2, -2, water_l=0.0))
    # 1,036.8 L in 6 h are 2.88 L/min: 1/e of it passes by.
    assert litres(spills(slow, 24.0, 6.0))["downpipe-1", SpillWhy.PASSED_BY] == pytest.approx(RUNS_L / math.e)
    nobodys = spills(site_of(roof(), pipe(1, 0, 0)), 24.0, 6.0)
    assert nobodys.sources[0].why is SpillWhy.UNCAUGHT
    assert litres(nobodys)["downpipe-1", SpillWhy.UNCAUGHT] == pytest.approx(RUNS_L)


def test_a_drained_pipe_spills_nothing() -> None:
    found = fed(DiverterKind.STOPS, 400.0, drained=True)
    assert found.sources == ()
    assert found.account.drained_l == pytest.approx(RUNS_L - 400.0 + FILTER_L)
    assert found.account.filter_l == 0.0


def test_eaves_without_a_gutter_drip_beside_the_wall_unfiltered() -> None:
    found = spills(site_of(roof()), 24.0, 6.0)
    assert sorted(source.at for source in found.sources) == [(5.0, pytest.approx(-0.3)), (5.0, pytest.approx(6.3))]
    assert {source.owner for source in found.sources} == {"roof-1"}
    assert found.account.spilled_l == pytest.approx(1440 * 0.8)


def test_first_flush_is_kept_back_and_not_spilled() -> None:
    found = fed(DiverterKind.STOPS, 1200.0, FirstFlush(id="ff", shape=Point(0, 0), keeps_l=36.8))
    assert found.account.first_flush_l == pytest.approx(36.8)
    assert found.account.taken_l == pytest.approx(1000.0)


def test_two_pipes_fill_one_tank_together() -> None:
    """Half the water from each. Once full, the one that stops goes down its pipe, the other overflows."""
    site = site_of(
        roof(),
        pipe(1, 0, 0),
        pipe(2, 10, 0),
        diverter(1, 0, 0, tank="tank-1", form=DiverterKind.STOPS),
        diverter(2, 10, 0, tank="tank-1", form=DiverterKind.FEEDS),
        tank(1, 5, -2, capacity_l=1500.0, water_l=1100.0),
    )
    found = litres(spills(site, 24.0, 6.0))
    assert found["downpipe-1", SpillWhy.STOPPED] == pytest.approx(RUNS_L / 2 - 200.0)
    assert found["tank-1", SpillWhy.TANK_FULL] == pytest.approx(RUNS_L / 2 - 200.0)


def test_when_the_upper_tank_is_full_its_water_goes_on_to_the_lower_diverter() -> None:
    site = site_of(
        roof(),
        pipe(1, 0, 0),
        diverter(1, 0, 0, tank="tank-1", height_m=2.0),
        diverter(2, 0, 0, tank="tank-2", height_m=1.0),
        tank(1, -2, -2, capacity_l=1000.0, water_l=700.0),
        tank(2, -4, -2, capacity_l=1000.0, water_l=500.0),
    )
    found = spills(site, 24.0, 6.0)
    assert found.taken_l == pytest.approx({"tank-1": 300.0, "tank-2": 500.0})
    assert litres(found)["downpipe-1", SpillWhy.STOPPED] == pytest.approx(RUNS_L - 800.0)


def linked(height_m: float = 0.1, **second: object) -> Site:
    """A fed tank of 1,000 L with 100 L of room, and another linked to it."""
    return site_of(
        roof(),
        pipe(1, 0, 0),
        diverter(1, 0, 0, tank="tank-1"),
        tank(1, -2, -2, capacity_l=1000.0, water_l=900.0, overflow_height_m=1.0, stand_height_m=0.2),
        tank(
            2,
            -5,
            -2,
            **({"capacity_l": 1000.0, "water_l": 900.0, "overflow_height_m": 1.0, "stand_height_m": 0.2} | second),
        ),
        Link(id="link-1", shape=LineString([(-2, -2), (-5, -2)]), tank_a="tank-1", tank_b="tank-2", height_m=height_m),
    )


def test_linked_tanks_fill_as_one() -> None:
    found = spills(linked(), 24.0, 6.0)
    assert found.taken_l == pytest.approx({"tank-1": 100.0, "tank-2": 100.0})
    assert litres(found)["downpipe-1", SpillWhy.STOPPED] == pytest.approx(RUNS_L - 200.0)


def test_the_lower_rim_of_linked_tanks_spills_first_and_the_higher_float_never_stops() -> None:
    # The second tank stands 0.1 m lower: both fill to its rim, 0.9 of the first tank's height.
    found = spills(linked(stand_height_m=0.1, water_l=700.0), 24.0, 6.0)
    assert found.taken_l == pytest.approx({"tank-1": 0.0, "tank-2": 300.0})
    assert litres(found)["tank-2", SpillWhy.TANK_FULL] == pytest.approx(RUNS_L - 300.0)


def test_the_grounds_levels_count_for_linked_tanks() -> None:
    x = np.arange(-8, 2) + 0.5
    ground = Ground(np.tile(100 + 0.1 / 3 * x, (4, 1)), Affine(1, 0, -8, 0, -1, 0))
    found = spills(linked(water_l=700.0), 24.0, 6.0, ground=ground)
    assert found.taken_l["tank-1"] == pytest.approx(0.0, abs=1e-2)
    assert found.taken_l["tank-2"] == pytest.approx(300.0, abs=1e-2)


def test_a_link_above_the_overflow_joins_nothing() -> None:
    found = spills(linked(height_m=1.1), 24.0, 6.0)
    assert found.taken_l == pytest.approx({"tank-1": 100.0, "tank-2": 0.0})


def test_rain_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="depth and a duration"):
        spills(site_of(roof()), 24.0, 0.0)


forms = st.sampled_from(list(DiverterKind))


@st.composite
def sites(draw: st.DrawFn) -> Site:
    """Two roofs, up to five pipes, up to five diverters on them, up to three tanks and links between them."""
    things: list[Thing] = [
        Roof(
            id="a",
            shape=box(0, 0, 10, 6),
            form=draw(st.sampled_from(list(RoofForm))),
            filter_share=draw(st.floats(0, 1)),
        ),
        Roof(id="b", shape=box(20, 0, 25, 9), form=RoofForm.HIP, surface="metal"),
    ]
    spots = [(0, 0), (10, 0), (10, 6), (20, 0), (25, 9)]
    pipes = draw(st.integers(0, len(spots)))
    things.extend(pipe(n, *spots[n], drained=draw(st.booleans())) for n in range(pipes))
    tanks = draw(st.integers(0, 3))
    for n in range(tanks):
        capacity = draw(st.floats(50, 3000))
        water = capacity * draw(st.floats(0, 1.2))
        stand = draw(st.floats(0, 0.5))
        things.append(
            Tank(id=f"tank-{n}", shape=Point(3 * n, -5), capacity_l=capacity, water_l=water, stand_height_m=stand)
        )
    for n in range(draw(st.integers(0, 5)) if pipes and tanks else 0):
        on, to = draw(st.integers(0, pipes - 1)), draw(st.integers(0, tanks - 1))
        fields = {"downpipe": f"downpipe-{on}", "tank": f"tank-{to}", "form": draw(forms)}
        limits = {
            "share": draw(st.floats(0, 1)),
            "most_l_min": draw(st.floats(1, 50)),
            "height_m": draw(st.floats(0, 3)),
        }
        things.append(Diverter(id=f"diverter-{n}", shape=Point(0, 0), **fields, **limits))
    for n in range(draw(st.integers(0, 2)) if tanks > 1 else 0):
        a, b = n % tanks, (n + 1) % tanks
        shape = LineString([(3 * a, -5), (3 * b, -5)])
        things.append(
            Link(id=f"link-{n}", shape=shape, tank_a=f"tank-{a}", tank_b=f"tank-{b}", height_m=draw(st.floats(0, 2)))
        )
    if pipes:
        things.append(FirstFlush(id="ff", shape=Point(spots[0]), keeps_l=draw(st.floats(0, 300))))
    return Site(things=tuple(things))


@given(site=sites(), rain_mm=st.floats(0, 150), hours=st.floats(0.1, 48))
def test_every_litre_of_a_wet_day_is_accounted_for(site: Site, rain_mm: float, hours: float) -> None:
    found = spills(site, rain_mm, hours)
    account = found.account
    assert account.fallen_l == pytest.approx(105 * rain_mm)
    assert abs(account.residual_l) <= 1e-9 * max(account.fallen_l, 1.0)
    spilled_l = 1000 * math.fsum(source.volume_m3 for source in found.sources)
    assert spilled_l == pytest.approx(account.spilled_l + account.filter_l, abs=1e-9 * max(account.fallen_l, 1.0))
    for tank_id, taken_l in found.taken_l.items():
        held = site.thing(tank_id, Tank)
        assert -1e-9 <= taken_l <= max(held.capacity_l - held.water_l, 0.0) + 1e-6
    assert all(source.volume_m3 > 0 for source in found.sources)
    assert all(min(m3 for _, m3 in source.parts) > 0 for source in found.sources)


@given(site=sites(), rain_mm=st.floats(1, 100))
def test_more_rain_never_spills_less(site: Site, rain_mm: float) -> None:
    less, more = spills(site, rain_mm, 6.0).account, spills(site, 1.5 * rain_mm, 6.0).account
    tolerance = 1e-9 * more.fallen_l
    assert more.spilled_l + more.drained_l >= less.spilled_l + less.drained_l - tolerance
    assert more.taken_l >= less.taken_l - tolerance
