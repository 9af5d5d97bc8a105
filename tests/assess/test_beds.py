"""What one tank does for one bed, on ground whose answer can be worked out by head."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest
from affine import Affine
from shapely import Point, box

from gardenwater.assess import BedReach, Status
from gardenwater.assess.beds import Here, Store, bed_reach, cells_of, line_to, spot_of
from gardenwater.assess.reaching import at_levels
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, flow_l_min, head_loss_m
from gardenwater.reach import LevelError, Reason, needed, water_reach
from gardenwater.site.things import Bed, Tank

FLAT = Ground(np.full((40, 40), 100.0), Affine(0.5, 0, 0, 0, -0.5, 20))
LINE = Line(bore_mm=19.05)
TANK = Tank(id="tank-1", shape=Point(2.25, 10.25), stand_height_m=0.4)  # floor at 100.4, 1,500 L to 1.26 m
BED = Bed(id="bed-1", shape=box(14, 9, 17, 12))
NO_ERROR = LevelError()


def served(
    bed: Bed = BED,
    *,
    water_level_m: float = 101.0,
    errors: LevelError = NO_ERROR,
    ground: Ground = FLAT,
    line: Line = LINE,
) -> BedReach:
    """The row of a bed for a tank whose water stands so high: outlet 100.48, overflow 101.66."""
    store = Store(
        floor_level_m=100.4, outlet_level_m=100.48, water_level_m=water_level_m, overflow_level_m=100.4 + 1.26
    )
    at = spot_of(ground, bed)
    reach = water_reach(ground, at=(2.25, 10.25), water_level_m=water_level_m, line=line, error=errors)
    asked, cell = needed(ground, bed=bed.shape, line=line_to(bed, line), deliver_at=at), ground.cell_at(2.25, 10.25)
    assert cell is not None
    here = Here(float(asked.level_m[cell]), float(asked.tight_m[cell]))
    tank = dataclasses.replace(TANK, water_l=1500 * (water_level_m - 100.4) / 1.26)
    cells = cells_of(ground, bed)
    return bed_reach(bed, tank, store, reach, at=at, cells=cells, here=here, errors=errors)


def test_a_bed_on_flat_ground() -> None:
    row = served()
    distance = math.dist((2.25, 10.25), row.at)
    loss = float(head_loss_m(1.0, distance, LINE))
    assert row.status is Status.SURE
    assert row.reason is Reason.IN_REACH
    assert row.distance_m == pytest.approx(distance, rel=1e-5)
    assert row.spare_head_m == pytest.approx(1.0 - loss, abs=1e-4)
    assert row.margin_m == pytest.approx(
        row.spare_head_m, abs=0.006
    )  # the passes agree but for 5 mm and 0.5 % of the loss
    assert row.minutes_per_can == pytest.approx(10 / float(flow_l_min(1.0, distance, LINE)), rel=0.015)
    assert row.needed_level_m == pytest.approx(100 + loss, abs=0.006)
    assert row.share_in_reach == 1.0
    assert row.too_high_m == 0.0
    assert row.reached


def test_usable_litres_stand_above_the_needed_level_and_the_outlet() -> None:
    row = served()
    # the need is under the outlet (100.48): all but the dead 0.08 of 1.26 m of 1,500 L can be used
    assert row.needed_level_m < 100.48
    assert row.usable_full_l == pytest.approx(1500 * (1 - 0.08 / 1.26))
    assert row.usable_l == pytest.approx(1500 * (0.6 - 0.08) / 1.26)
    high = served(Bed(id="bed-1", shape=BED.shape, raised_m=1.0))
    assert high.usable_full_l == pytest.approx(1500 * (101.66 - high.needed_level_m) / 1.26, rel=1e-4)
    assert high.usable_l == 0.0  # the water stands at 101, under the need of a bed raised to 101


def test_a_bed_that_is_too_high() -> None:
    row = served(Bed(id="bed-1", shape=BED.shape, raised_m=1.2))
    assert row.status is Status.OUT
    assert row.too_high_m == pytest.approx(0.2, abs=0.02)
    assert row.spare_head_m == pytest.approx(-row.too_high_m, abs=1e-4)
    assert row.margin_m == pytest.approx(-row.too_high_m, abs=1e-4)
    assert math.isnan(row.minutes_per_can)
    assert row.share_in_reach == 0.0
    assert not row.reached


@pytest.mark.parametrize(("raised_m", "minutes_factor"), [(0.5, 2**-0.5), (0.75, 0.25**0.5)])
def test_a_raised_bed_gets_the_flow_of_the_head_that_is_left(raised_m: float, minutes_factor: float) -> None:
    row = served(Bed(id="bed-1", shape=BED.shape, raised_m=raised_m))
    expected = 10 / float(flow_l_min(1.0 - raised_m, row.distance_m, LINE))
    assert row.minutes_per_can == pytest.approx(expected, rel=0.02)
    assert row.minutes_per_can > served().minutes_per_can / minutes_factor * 0.8
    assert row.spare_head_m == pytest.approx(served().spare_head_m - raised_m, abs=1e-6)


@pytest.mark.parametrize(
    ("water_m", "error_m", "status"),
    [
        (100.62, 0.10, Status.SURE),
        (100.60, 0.10, Status.MARGINAL),
        (100.545, 0.10, Status.MARGINAL),
        (100.45, 0.10, Status.OUT),  # under the outlet
    ],
)
def test_sure_marginal_out(water_m: float, error_m: float, status: Status) -> None:
    # a bed raised by 0.5 m: the margin is the water level less 100.5 and a loss of a few mm
    far = LevelError(error_m / 2**0.5, error_m / 2**0.5, length_m=1e-6)
    row = served(Bed(id="bed-1", shape=BED.shape, raised_m=0.5), water_level_m=water_m, errors=far)
    assert row.error_m == pytest.approx(error_m, rel=1e-5)
    assert row.status is status


def test_a_bed_within_the_error_of_the_water_is_marginal_though_out() -> None:
    far = LevelError(0.1, 0.1, length_m=1e-6)
    bed = Bed(id="bed-1", shape=BED.shape, raised_m=0.7)
    near, off = (served(bed, water_level_m=level, errors=far) for level in (100.62, 100.52))
    assert near.status is Status.MARGINAL
    assert near.margin_m < 0
    assert not near.reached
    assert off.status is Status.OUT


def test_slow_water_is_called_slow() -> None:
    thirsty = Line(bore_mm=13.0, flow_l_min=30.0)
    row = served(line=thirsty)
    assert row.reason is Reason.SLOW
    assert row.status is Status.SLOW
    assert row.minutes_per_can > 10 / 30
    assert not row.reached


def test_a_raised_bed_whose_ground_is_reached_but_not_its_soil() -> None:
    thirsty = Line(bore_mm=19.05, flow_l_min=12.0)
    ground = served(line=thirsty)
    assert ground.reason is Reason.IN_REACH
    slow = served(Bed(id="bed-1", shape=BED.shape, raised_m=0.9), line=thirsty)
    assert (slow.reason, slow.status) == (Reason.SLOW, Status.SLOW)
    high = served(Bed(id="bed-1", shape=BED.shape, raised_m=1.1), line=thirsty)
    assert (high.reason, high.status) == (Reason.TOO_HIGH, Status.OUT)


def test_a_tank_without_water_above_its_outlet_gives_none() -> None:
    row = served(water_level_m=100.47)
    assert row.status is Status.OUT
    assert row.reason is Reason.TOO_HIGH
    assert row.usable_l == 0.0
    assert row.usable_full_l > 1000
    assert row.too_high_m == pytest.approx(0.01)  # up to the outlet, though the bed lies lower


def test_a_bed_on_ground_without_levels() -> None:
    levels = np.full((40, 40), 100.0)
    levels[:, 24:] = np.nan
    ground = Ground(levels, FLAT.transform)
    store = Store(floor_level_m=100.4, outlet_level_m=100.48, water_level_m=101.0, overflow_level_m=101.66)
    reach = water_reach(ground, at=(2.25, 10.25), water_level_m=101.0, line=LINE)
    at = spot_of(ground, BED)
    cells = cells_of(ground, BED)
    row = bed_reach(BED, TANK, store, reach, at=at, cells=cells, here=Here(math.nan), errors=NO_ERROR)
    assert BED.shape.contains(Point(at))
    assert (row.status, row.reason) == (Status.OUT, Reason.NO_DATA)
    assert math.isnan(row.margin_m)
    assert math.isnan(row.too_high_m)
    assert row.usable_l == row.usable_full_l == row.share_in_reach == 0.0


def test_the_spot_is_the_highest_cell_unless_given() -> None:
    levels = np.full((40, 40), 100.0)
    levels[18, 30] = 100.5
    ground = Ground(levels, FLAT.transform)
    assert spot_of(ground, BED) == ground.centre_of(18, 30)
    given = Bed(id="bed-1", shape=BED.shape, deliver_x_m=15.0, deliver_y_m=9.5)
    assert spot_of(ground, given) == (15.0, 9.5)


def test_half_a_bed_in_reach() -> None:
    levels = np.full((40, 40), 100.0)
    levels[:, 31:] = 103.0  # from x = 15.5 on, half of the bed, the ground is over the water
    row = served(ground=Ground(levels, FLAT.transform))
    assert row.status is Status.OUT
    assert row.share_in_reach == pytest.approx(0.5)


def test_a_bed_smaller_than_a_cell() -> None:
    tiny = Bed(id="bed-1", shape=box(14.02, 9.02, 14.06, 9.06))
    row = served(tiny)
    assert row.status is Status.SURE
    assert row.share_in_reach == 1.0


@pytest.mark.parametrize("fields", [{}, {"raised_m": 0.4}])
def test_the_line_to_a_raised_bed_lifts_so_much_more(fields: dict[str, Any]) -> None:
    lifted = line_to(Bed(id="bed-1", shape=BED.shape, **fields), Line(bore_mm=19.05, lift_m=0.3))
    assert lifted.lift_m == pytest.approx(0.3 + fields.get("raised_m", 0.0))


def test_a_higher_tank_never_serves_less() -> None:
    rows = [served(water_level_m=level) for level in (100.5, 100.7, 101.0, 101.5)]
    minutes = [row.minutes_per_can for row in rows]
    assert minutes == sorted(minutes, reverse=True)
    assert [row.margin_m for row in rows] == sorted(row.margin_m for row in rows)


def test_what_a_tank_does_as_it_empties() -> None:
    """Full 101.66, half full 101.03, a tenth 100.526 m; the outlet is at 100.48."""
    store = Store(floor_level_m=100.4, outlet_level_m=100.48, water_level_m=101.0, overflow_level_m=101.66)
    rows = [
        dataclasses.replace(served(), bed=name, needed_level_m=level)
        for name, level in (("low", 100.5), ("middle", 101.02), ("high", 101.7), ("no way", math.nan))
    ]
    full, half, tenth = at_levels(TANK, store, rows)
    assert (full.beds, half.beds, tenth.beds) == (("low", "middle"), ("low", "middle"), ("low",))
    assert half.water_level_m == pytest.approx(101.03)
    assert tenth.water_l == pytest.approx(150.0)
    low_outlet = dataclasses.replace(store, outlet_level_m=100.55)
    assert at_levels(TANK, low_outlet, rows)[2].beds == ()


def test_the_time_to_draw_is_that_of_the_line() -> None:
    """On flat ground: 1.19 m2 of water, falling from 101 to the outlet through 13 m of hose, by small steps."""
    row = served()
    assert row.cans_l == pytest.approx(0.0, abs=1e-6)  # the need is under the outlet
    levels = np.linspace(100.48, 101.0, 4001)
    litres = 1500.0 / 1.26 * np.diff(levels)
    flow = np.asarray(flow_l_min((levels[1:] + levels[:-1]) / 2 - 100.0, row.distance_m, LINE))
    assert row.draw_s == pytest.approx(float(np.sum(litres / flow)) * 60.0, rel=5e-3)
    assert row.draw_full_s > row.draw_s
    out = served(Bed(id="bed-1", shape=BED.shape, raised_m=1.2))
    assert math.isnan(out.draw_s)
    assert out.cans_l == pytest.approx(1500 * (0.6 - 0.08) / 1.26)
