"""Where a tank could stand: by hand on small grounds, and each cell by brute force against the forward pass."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, box

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line
from gardenwater.reach import (
    BedNeed,
    FeedPoint,
    Prepared,
    Reason,
    StandLimits,
    StandMap,
    TankMeasure,
    WhyNot,
    base_fall,
    feeder_ways,
    needed_level,
    prepare,
    ranked_spots,
    stand_map,
    water_reach,
)
from tests.reach.grounds import ground_of

LINE = Line(19, flow_l_min=1.0)
TANK = TankMeasure(half_width_m=0.5, inlet_height_m=1.3, serving_height_m=0.7)
WIDE = StandLimits(most_stand_m=1.5, most_feeder_m=100.0, steepest=10.0)


def need_of(prepared: Prepared, *bed: float, key: str = "bed") -> BedNeed:
    outline = box(*bed)
    return BedNeed(key=key, area_m2=outline.area, needed_level_m=needed_level(prepared, bed=outline, line=LINE))


def test_on_level_ground_the_stand_is_needed_level_less_ground_less_water() -> None:
    prepared = prepare(ground_of(np.zeros((20, 20))))
    need = need_of(prepared, 15, 9, 17, 11)
    high = TankMeasure(half_width_m=0.5, inlet_height_m=1.3, serving_height_m=0.001)
    made = stand_map(
        prepared, needs=[need], feeds=[FeedPoint(key="p", at=(2.5, 10.5), level_m=2.0)], tank=high, limits=WIDE
    )
    spot = made.at(5.5, 10.5)
    assert spot.reason is WhyNot.STANDS
    assert spot.stand_m == pytest.approx(float(need.needed_level_m[9, 5]) - 0.001, abs=1e-6)
    assert (spot.beds, spot.share, spot.feed) == (("bed",), 1.0, "p")
    # 3 m from the pipe, less half the tank's width; a fall of 1 in 100 from 2 m
    assert spot.feeder_m == pytest.approx(2.5, abs=1e-4)
    assert spot.clears_m == pytest.approx(2.0 - 0.025 - spot.stand_m - 1.3, abs=1e-4)


def test_each_downpipe_says_how_far_it_is_and_at_which_level_its_water_comes() -> None:
    prepared = prepare(ground_of(np.zeros((20, 20))))
    feeds = [FeedPoint(key="west", at=(2.5, 10.5), level_m=3.0), FeedPoint(key="east", at=(17.5, 10.5), level_m=2.5)]
    limits = StandLimits(most_stand_m=1.5, most_feeder_m=12.0, feeder_fall=0.02, steepest=10.0)
    made = stand_map(prepared, needs=[need_of(prepared, 9, 1, 11, 2)], feeds=feeds, tank=TANK, limits=limits)
    # 5 m and 10 m away, less half the tank's width; a fall of 1 in 50
    near, far = made.feeds_at(7.5, 10.5)
    assert (near.key, far.key) == ("west", "east")
    assert (near.feeder_m, far.feeder_m) == (pytest.approx(4.5, abs=1e-4), pytest.approx(9.5, abs=1e-4))
    assert near.level_m == pytest.approx(3.0 - 0.02 * 4.5, abs=1e-4)
    assert far.level_m == pytest.approx(2.5 - 0.02 * 9.5, abs=1e-4)
    spot = made.at(7.5, 10.5)
    assert (spot.feed, spot.feeder_m, spot.feed_level_m) == ("west", near.feeder_m, near.level_m)
    # beyond the longest feeder of one, and off the grid
    assert [feed.key for feed in made.feeds_at(3.5, 10.5)] == ["west"]
    assert made.feeds_at(-5.0, 10.5) == ()
    for each in made.feeders:
        with pytest.raises(ValueError, match="read-only"):
            each.level_m[0, 0] = 1.0


def test_a_feeder_goes_round_a_building_and_ends_at_its_longest() -> None:
    ground = ground_of(np.zeros((21, 41)))
    wall = box(20, 4, 21, 17)
    ways = feeder_ways(ground, at=(17.5, 10.5), barriers=[wall], most_m=12.0)
    assert ways is not None
    rows, cols = ways.window
    length = np.full(ground.shape, np.nan)
    length[rows, cols] = ways.length_m
    assert length[10, 17] == 0.0
    assert length[10, 12] == pytest.approx(5.0, abs=1e-3)
    # over the wall's corner, whose cell it may not touch: at least the way by the corners themselves
    round_corner = math.dist((17.5, 10.5), (20, 17)) + 1.0 + math.dist((21, 17), (22.5, 15.5))
    assert length[5, 22] >= round_corner - 0.05
    assert length[5, 22] == pytest.approx(round_corner, abs=1.0)
    assert np.isnan(length[10, 40])
    assert np.nanmax(length) <= 12.0


def test_a_pipe_drawn_inside_its_wall_still_feeds() -> None:
    ground = ground_of(np.zeros((21, 21)))
    ways = feeder_ways(ground, at=(5.5, 10.5), barriers=[box(2, 5, 7, 16)], most_m=8.0)
    assert ways is not None
    assert np.isfinite(ways.length_m).any()
    assert feeder_ways(ground, at=(-50.0, 0.0), barriers=[], most_m=8.0) is None


def test_the_slope_of_a_base_is_that_of_the_ground() -> None:
    x = np.arange(40) * 0.1
    fall = base_fall(ground_of(np.tile(x, (30, 1)), 0.5, 0.5), 0.6)
    np.testing.assert_allclose(fall[5:-5, 5:-5], 0.2, atol=1e-6)
    np.testing.assert_allclose(fall, 0.2, atol=1e-6)  # at the rim over what there is


def reasons_map() -> StandMap:
    """Level ground with a rise in the east; a pipe in the west, a thing in the middle, a gap without levels."""
    levels = np.zeros((20, 60))
    levels[:, 40:] = 3.0
    levels[2, 30] = np.nan
    prepared = prepare(ground_of(levels))
    return stand_map(
        prepared,
        needs=[need_of(prepared, 50, 9, 52, 11, key="high"), need_of(prepared, 1, 1, 3, 3, key="low")],
        feeds=[FeedPoint(key="west", at=(5.5, 10.5), level_m=2.5)],
        tank=TANK,
        limits=StandLimits(most_feeder_m=25.0, steepest=0.5),
        taken=[box(12, 9, 14, 11)],
        within=box(0, 0, 60, 19),
    )


def test_why_not_is_said_in_its_order() -> None:
    made = reasons_map()
    at = made.at
    assert at(30.5, 17.5).reason is WhyNot.NO_LEVEL
    assert at(13.5, 10.5).reason is WhyNot.TAKEN
    assert at(14.5, 10.5).reason is WhyNot.TAKEN  # half its width and a hand from it
    assert at(15.5, 10.5).reason is WhyNot.STANDS
    assert at(20.5, 19.5).reason is WhyNot.OFF_SITE
    assert at(39.5, 10.5).reason is WhyNot.TOO_FAR
    assert at(20.5, 10.5).beds == ("low",)
    assert at(20.5, 10.5).share == pytest.approx(0.5)
    high = made.chances[0]
    # the bed lies at 3 m, water stands at 0.7 m on the floor; the feed allows a stand of at most 2.5 - 1.3 = 1.2 m
    assert (high.key, high.spots, high.why) == ("high", 0, WhyNot.STAND_HIGH) or high.why is WhyNot.FEED_LOW
    assert high.stand_m == pytest.approx(2.3, abs=0.05)
    assert high.short_m == pytest.approx(2.3 - 1.2, abs=0.15)
    assert made.chances[1].why is WhyNot.STANDS


def test_a_feed_too_low_and_a_stand_too_high_are_told_apart() -> None:
    prepared = prepare(ground_of(np.zeros((10, 10))))
    lift = Line(19, flow_l_min=1.0, lift_m=2.0)
    need = BedNeed(key="b", area_m2=1.0, needed_level_m=needed_level(prepared, bed=box(4, 4, 5, 5), line=lift))

    def at_feed(level_m: float) -> StandMap:
        feed = FeedPoint(key="p", at=(5.5, 5.5), level_m=level_m)
        return stand_map(prepared, needs=[need], feeds=[feed], tank=TANK, limits=StandLimits(most_stand_m=1.0))

    low, high = at_feed(2.0), at_feed(9.0)
    assert low.at(7.5, 5.5).reason is WhyNot.FEED_LOW
    assert high.at(7.5, 5.5).reason is WhyNot.STAND_HIGH
    # 2 m of lift and the losses, less 0.7 m of water, less the 1 m that is allowed
    assert high.at(7.5, 5.5).short_m == pytest.approx(2.0 - 0.7 - 1.0, abs=0.02)
    assert high.chances[0].why is WhyNot.STAND_HIGH
    assert low.chances[0].why is WhyNot.FEED_LOW
    assert ranked_spots(low).spots == ()
    no_way = prepare(ground_of(np.zeros((10, 10))), barriers=[box(3, 0, 4, 10)])
    walled = BedNeed(key="b", area_m2=1.0, needed_level_m=needed_level(no_way, bed=box(8, 4, 9, 5), line=LINE))
    made = stand_map(
        no_way, needs=[walled], feeds=[FeedPoint(key="p", at=(1.5, 5.5), level_m=5.0)], tank=TANK,
        limits=StandLimits(most_feeder_m=1.0),
    )  # fmt: skip
    assert made.at(1.5, 5.5).reason is WhyNot.NO_WAY
    assert made.chances[0].why is WhyNot.NO_WAY


def test_inputs_that_are_none() -> None:
    prepared = prepare(ground_of(np.zeros((5, 5))))
    with pytest.raises(InputError, match="needed levels"):
        stand_map(prepared, needs=[], feeds=[], tank=TANK)
    other = BedNeed(key="b", area_m2=1.0, needed_level_m=np.zeros((3, 3), dtype=np.float32))
    with pytest.raises(InputError, match="needed levels"):
        stand_map(prepared, needs=[other], feeds=[], tank=TANK)
    with pytest.raises(InputError, match="finite"):
        FeedPoint(key="p", at=(0.0, math.nan), level_m=1.0)
    with pytest.raises(InputError, match="limit"):
        StandLimits(most_stand_m=-1.0)
    with pytest.raises(InputError, match="off the ground"):
        stand_map(prepared, needs=[need_of(prepared, 1, 1, 2, 2)], feeds=[], tank=TANK).at(99.0, 0.0)


def test_spots_are_ranked_by_share_then_stand_then_feeder_and_stand_apart() -> None:
    levels = np.tile(np.linspace(2.0, 0.0, 60), (40, 1))  # falls to the east: 2 m over 60 m
    prepared = prepare(ground_of(levels))
    feeds = [FeedPoint(key=key, at=(x, 20.5), level_m=4.0) for key, x in (("a", 10.5), ("b", 40.5))]
    needs = [need_of(prepared, 20, 30, 22, 32, key="upper"), need_of(prepared, 55, 5, 57, 7, key="lower")]
    low = TankMeasure(half_width_m=0.5, inlet_height_m=1.3, serving_height_m=0.3)
    made = stand_map(prepared, needs=needs, feeds=feeds, tank=low, limits=StandLimits(most_feeder_m=8.0))
    ranked = ranked_spots(made, most=4, apart_m=4.0)
    order = [
        (-round(s.share / 0.01), math.ceil(s.stand_m / 0.05 - 1e-3), round(s.feeder_m / 0.5)) for s in ranked.spots
    ]
    assert order == sorted(order)
    assert {spot.feed for spot in ranked.spots} == {"a", "b"}
    assert ranked.of >= len(ranked.spots) == 4
    for one in ranked.spots:
        for other in ranked.spots:
            apart = max(abs(one.at[0] - other.at[0]), abs(one.at[1] - other.at[1]))
            assert one is other or apart > 4.0
    # the best of all cells is the first spot
    share, stand = made.share.ravel(), made.stand_m.ravel()
    assert ranked.spots[0].share == pytest.approx(share.max())
    assert ranked.spots[0].stand_m == pytest.approx(np.nanmin(stand[share >= share.max() - 1e-6]), abs=0.05)


bumps = st.lists(st.floats(-0.3, 0.9), min_size=49, max_size=49)


@settings(max_examples=12)
@given(bumps=bumps, wall=st.integers(1, 5), feed=st.floats(1.0, 3.5), seed=st.integers(0, 999))
def test_a_tank_on_any_cell_serves_just_the_beds_that_the_map_says(
    bumps: list[float], wall: int, feed: float, seed: int
) -> None:
    """Ridges, hollows and a building: at random cells the forward pass, with the tank on the stand, agrees.

    Band: 0.5 % of the loss and 5 mm (the two passes agree but for that).
    """
    levels = np.kron(np.array(bumps, dtype=np.float32).reshape(7, 7), np.ones((3, 3), dtype=np.float32))
    ground = ground_of(levels)
    building = box(3 * wall + 0.2, 8.2, 3 * wall + 0.8, 14.8)
    fence = LineString([(4.5, 17.5), (16.5, 17.5)])
    prepared = prepare(ground, barriers=[building, fence])
    needs = [need_of(prepared, 1, 1, 3, 3, key="a"), need_of(prepared, 17, 18, 20, 20, key="b")]
    limits = StandLimits(most_stand_m=1.0, most_feeder_m=12.0, steepest=10.0)
    point = FeedPoint(key="p", at=(10.5, 5.5), level_m=feed)
    made = stand_map(prepared, needs=needs, feeds=[point], tank=TANK, limits=limits, buildings=[building])
    ways = feeder_ways(ground, at=point.at, barriers=[building], most_m=12.0)
    assert ways is not None
    length = np.full(ground.shape, np.nan)
    length[ways.window] = ways.length_m
    random = np.random.default_rng(seed)
    for row, col in random.integers(0, 21, size=(6, 2)):
        answer = made.at_cell(int(row), int(col))
        _check_cell(prepared, needs, made, answer.beds, (int(row), int(col)), length, feed)


def _check_cell(
    prepared: Prepared,
    needs: list[BedNeed],
    made: StandMap,
    said: tuple[str, ...],
    cell: tuple[int, int],
    length: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    feed: float,
) -> None:
    base = float(prepared.ground.level_m[cell])
    away = max(length[cell] - 0.5, 0.0)
    cap = min(feed - 0.01 * away - base - 1.3, 1.0) if not math.isnan(away) else -1.0
    outlines = {"a": box(1, 1, 3, 3), "b": box(17, 18, 20, 20)}
    for need in needs:
        # the highest stand that is allowed serves the bed, by the forward pass, if and only if the map counts it
        lowest_ok = None
        if cap >= 0.0 and math.isfinite(cap):
            lowest_ok = _reaches(prepared, cell, base + cap + 0.7, outlines[need.key], 0.006)
            surely = _reaches(prepared, cell, base + cap + 0.7, outlines[need.key], -0.006)
            assert not surely or need.key in said
            assert lowest_ok or need.key not in said
        else:
            assert need.key not in said
        if need.key in said:
            stand = made.stand_m[cell]
            assert _reaches(prepared, cell, base + float(stand) + 0.7, outlines[need.key], 0.006)


def _reaches(prepared: Prepared, cell: tuple[int, int], level_m: float, bed: object, slack_m: float) -> bool:
    from gardenwater.reach import delivery_spot

    at = prepared.ground.centre_of(*cell)
    spot = delivery_spot(prepared, bed)  # type: ignore[arg-type]
    found = water_reach(prepared, at=at, water_level_m=level_m + slack_m, line=LINE)
    return found.at(*spot).reason is Reason.IN_REACH
