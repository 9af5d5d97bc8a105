"""What goes along when things are moved: each case drawn on a small sheet.

The roof lies from (0, 0) to (10, 5), its downpipe at (0, 0), the tank at (12, 1), a pond round (30, 1).
"""

from __future__ import annotations

import dataclasses

import pytest
from shapely import LineString, Point, box

from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import (
    Building,
    Ditch,
    Diverter,
    Door,
    Downpipe,
    FirstFlush,
    Gutter,
    Link,
    Overflow,
    Pond,
    Roof,
    Tank,
    Tap,
    Thing,
    WateringLine,
)

ROOF = Roof(id="roof-1", shape=box(0, 0, 10, 5))
PIPE = Downpipe(id="downpipe-1", shape=Point(0, 0), roof="roof-1")
GUTTER = Gutter(id="gutter-1", shape=LineString([(10, 0), (0, 0)]), roof="roof-1", downpipe="downpipe-1")
DIVERTER = Diverter(id="diverter-1", shape=Point(0.2, 0), downpipe="downpipe-1", tank="tank-1")
FLUSH = FirstFlush(id="first_flush-1", shape=Point(0, -0.2), downpipe="downpipe-1")
TANK = Tank(id="tank-1", shape=Point(12, 1))
FAR_TANK = Tank(id="tank-2", shape=Point(22, 1))
NEAR_TAP = Tap(id="tap-1", shape=Point(12.7, 1), tank="tank-1")
FAR_TAP = Tap(id="tap-2", shape=Point(18, 1), tank="tank-1")
LINK = Link(id="link-1", shape=LineString([(22, 1), (17, 3), (12, 1)]), tank_a="tank-1", tank_b="tank-2")
LINE = WateringLine(id="watering_line-1", shape=LineString([(12.6, 1), (12.6, -9)]), tank="tank-1")
POND = Pond(id="pond-1", shape=box(28, 0, 32, 2))
OVERFLOW = Overflow(id="overflow-1", shape=LineString([(12, 1.5), (20, 8), (29, 1)]), tank="tank-1", taker="pond-1")
BUILDING = Building(id="building-1", shape=box(0.5, 0.5, 9.5, 4.5))
DOOR = Door(id="door-1", shape=Point(5, 0.5))
LOOSE_DOOR = Door(id="door-2", shape=Point(5, 9))
SITE = Site(
    things=(
        ROOF, PIPE, GUTTER, DIVERTER, FLUSH, TANK, FAR_TANK, NEAR_TAP, FAR_TAP, LINK, LINE, POND, OVERFLOW,
        BUILDING, DOOR, LOOSE_DOOR,
    )
)  # fmt: skip


def moved(*ids: str, site: Site = SITE, dx_m: float = 1.0, dy_m: float = 2.0) -> dict[str, list[tuple[float, float]]]:
    """First corner points of what a move changed, by id."""
    after = edits.move(site, ids, dx_m, dy_m)
    changed = {}
    for thing in after:
        old = site.thing(thing.id, Thing)
        if thing != old:
            shape = thing.shape
            changed[thing.id] = list(shape.coords) if shape.geom_type != "Polygon" else [shape.bounds[:2]]
            assert dataclasses.replace(thing, shape=old.shape) == old, "nothing but the shape changes"
    return changed


def test_a_roof_takes_gutters_pipes_and_what_is_on_them() -> None:
    assert moved("roof-1") == {
        "roof-1": [(1, 2)],
        "downpipe-1": [(1, 2)],
        "gutter-1": [(11, 2), (1, 2)],
        "diverter-1": [(1.2, 2)],
        "first_flush-1": [(1, 1.8)],
    }


def test_a_downpipe_takes_its_devices_and_the_end_of_its_gutter() -> None:
    assert moved("downpipe-1") == {
        "downpipe-1": [(1, 2)],
        "gutter-1": [(10, 0), (1, 2)],
        "diverter-1": [(1.2, 2)],
        "first_flush-1": [(1, 1.8)],
    }


def test_a_tank_takes_the_tap_at_its_side_and_the_ends_that_touch_it() -> None:
    assert moved("tank-1") == {
        "tank-1": [(13, 3)],
        "tap-1": [(13.7, 3)],
        "link-1": [(22, 1), (17, 3), (13, 3)],
        "watering_line-1": [(13.6, 3), (12.6, -9)],
        "overflow-1": [(13, 3.5), (20, 8), (29, 1)],
    }


def test_both_tanks_take_their_link_whole() -> None:
    changed = moved("tank-1", "tank-2")
    assert changed["link-1"] == [(23, 3), (18, 5), (13, 3)]


def test_a_taker_takes_the_mouth_and_with_the_tank_the_whole_overflow() -> None:
    assert moved("pond-1") == {"pond-1": [(29, 2)], "overflow-1": [(12, 1.5), (20, 8), (30, 3)]}
    assert moved("pond-1", "tank-1")["overflow-1"] == [(13, 3.5), (21, 10), (30, 3)]


def test_a_ditch_is_as_wide_as_it_is_for_a_mouth_at_its_side() -> None:
    ditch = Ditch(id="ditch-1", shape=LineString([(28, 3), (34, 3)]), width_m=3.5)
    site = edits.put(edits.change(SITE, "overflow-1", taker=""), ditch)
    site = edits.change(site, "overflow-1", taker="ditch-1")
    assert moved("ditch-1", site=site)["overflow-1"][-1] == (30, 3)


def test_a_building_takes_the_doors_in_its_walls() -> None:
    assert moved("building-1") == {"building-1": [(1.5, 2.5)], "door-1": [(6, 2.5)]}


def test_a_line_that_is_chosen_itself_goes_whole() -> None:
    assert moved("tank-1", "watering_line-1")["watering_line-1"] == [(13.6, 3), (13.6, -7)]
    assert moved("overflow-1") == {"overflow-1": [(13, 3.5), (21, 10), (30, 3)]}


@pytest.mark.parametrize("stays", ["diverter-1", "gutter-1", "first_flush-1"])
def test_what_is_locked_stays_behind(stays: str) -> None:
    site = edits.lock(SITE, stays, locked=True)
    assert stays not in moved("roof-1", site=site)
    assert "roof-1" in moved("roof-1", site=site)


@pytest.mark.parametrize("stays", ["link-1", "tap-1", "watering_line-1", "overflow-1"])
def test_locked_pipes_and_taps_stay_behind_their_tank(stays: str) -> None:
    site = edits.lock(SITE, stays, locked=True)
    assert set(moved("tank-1", site=site)) == set(moved("tank-1")) - {stays}


def test_ends_that_do_not_touch_stay() -> None:
    site = edits.reshape(SITE, "watering_line-1", LineString([(14, 1), (14, -9)]))
    assert "watering_line-1" not in moved("tank-1", site=site)


def test_a_pipe_that_would_shrink_to_nothing_is_refused() -> None:
    short = edits.reshape(SITE, "watering_line-1", LineString([(12, 1), (13, 1)]))
    with pytest.raises(EditError, match="all lie on one spot") as refused:
        edits.move(short, "tank-1", 1.0, 0.0)
    assert refused.value.where == "Watering line, Place"


def test_turning_takes_along_the_same_things() -> None:
    after = edits.turn(SITE, "roof-1", 180.0)
    changed = {thing.id for thing in after if thing != SITE.get(thing.id)}
    assert changed == set(moved("roof-1"))
    # half a turn about (5, 2.5) sends (0, 0) to (10, 5)
    assert after.thing("downpipe-1", Downpipe).shape.equals_exact(Point(10, 5), 1e-9)
    assert edits.turn(SITE, "tank-1", 90.0).thing("link-1", Link).shape.equals_exact(LINK.shape, 1e-9)


def test_moving_there_and_back_brings_everything_back() -> None:
    for thing in SITE:
        there = edits.move(SITE, thing.id, 3.0, -4.0)
        back = edits.move(there, thing.id, -3.0, 4.0)
        assert all(new.shape.equals_exact(old.shape, 1e-12) for old, new in zip(SITE, back, strict=True))
