"""Makes the sample site, Quillet Bank: an invented garden on a slope, with two roofs, four tanks and seven beds.

    python sample_sites/make_quillet_bank.py      writes sample_sites/quillet-bank.gpkg anew

All of it is invented: the place, its levels and its things. It is made so that each question has something to say: Squash bank
is out of reach, Herbs is marginal for North tank, South pipe is caught by nobody, Shed tank's overflow stands on the lower path,
and the store falls short in the dry year: it spills in winter what the beds want in June.
"""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path
from typing import Any

from shapely import LineString, Point, Polygon, box

import gardenwater as gw
from gardenwater.site import things as t
from gardenwater.site.climate import Monthly
from gardenwater.site.model import Settings, Site, UsualLine
from gardenwater.site.validate import check_site

HERE = Path(__file__).resolve().parent

# levels of the open slope by northing, m; the fall is to the south, steeper behind the house
SLOPE = (
    (-5.0, 95.85),
    (2.0, 96.3),
    (10.0, 97.0),
    (16.0, 97.42),
    (23.0, 97.98),
    (30.0, 98.58),
    (35.0, 99.0),
    (40.0, 99.62),
    (44.0, 100.1),
    (49.0, 100.9),
    (54.0, 101.5),
    (62.0, 102.2),
)
# twelve monthly figures of a mild place with a dry summer; the year's rain is that of the settings
SKY = Monthly(
    rain_mm=(76, 54, 50, 44, 38, 30, 26, 32, 48, 80, 86, 84),
    wet_days=(15, 12, 11, 10, 9, 7, 6, 7, 9, 13, 15, 15),
    t_min_c=(2.4, 2.3, 3.4, 4.8, 7.6, 10.4, 12.3, 12.2, 10.2, 7.6, 4.8, 3.0),
    t_max_c=(7.9, 8.4, 10.9, 13.9, 17.3, 20.4, 22.6, 22.2, 19.3, 15.0, 11.0, 8.5),
    source="invented for the sample",
)
HOUSE = Polygon([(13.6, 46.4), (26.4, 46.4), (26.4, 34.0), (19.2, 34.0), (19.2, 37.6), (13.6, 37.6)])
SHED = box(46.9, 27.0, 57.4, 33.8)


def open_slope_m(x: float, y: float) -> float:
    """The invented lie of the land before anything was dug, m."""
    for (south, low), (north, high) in pairwise(SLOPE):
        if y <= north:
            level = low + (high - low) * (y - south) / (north - south)
            break
    knoll = 0.75 * math.exp(-(((x - 57) / 13) ** 2) - ((y - 55) / 7) ** 2)
    return (
        level
        + knoll
        + 0.006 * (x - 38) * math.cos(y / 18)
        - 0.10 * math.exp(-(((x - 21) / 9) ** 2) - ((y - 8) / 9) ** 2)
    )


def pegs() -> list[t.LevelPeg]:
    """Forty-one pegs: a loose net over the slope, the benches of the two buildings, and the hollow in the lower path."""
    net = [
        (3, 3),
        (20, 2.5),
        (38, 3),
        (56, 3),
        (75, 3),
        (4, 13),
        (22, 12),
        (36, 11.5),
        (75, 14),
        (3, 24),
        (20, 21.5),
        (34, 23.5),
        (46, 20),
        (61, 21.5),
        (75, 24),
        (4, 33.5),
        (31, 31.5),
        (41, 30),
        (66, 31),
        (75, 35),
        (3, 44),
        (32, 40),
        (43, 42),
        (60, 41),
        (74, 46),
        (4, 55),
        (20, 54.5),
        (40, 54),
        (57, 54.5),
        (75, 55),
    ]
    spots = [(x, y, open_slope_m(x, y)) for x, y in net]
    spots += [(12.4, 47.3, 100.22), (27.4, 46.6, 100.24), (12.2, 36.6, 99.66), (27.6, 33.2, 99.12)]  # round the house
    spots += [(58.4, 34.4, 98.78), (45.6, 26.2, 98.26)]  # round the cart shed
    spots += [
        (57.4, 12.6, 97.00),
        (57.4, 10.5, 97.15),
        (54.0, 12.4, 97.17),
        (60.8, 12.4, 97.18),
        (57.4, 15.2, 97.36),
    ]  # the hollow
    return [
        t.LevelPeg(id=f"level_peg-{n}", name=f"Peg {n}", shape=Point(x, y), level_m=round(level, 2))
        for n, (x, y, level) in enumerate(spots, 1)
    ]


def roofs_and_pipes() -> list[t.Thing]:
    """The two buildings, their roofs, gutters and downpipes, and what hangs on the pipes."""
    return [
        t.Building(id="building-1", name="House", shape=HOUSE.buffer(-0.35, join_style="mitre"), height_m=5.2),
        t.Building(id="building-2", name="Cart shed", shape=SHED.buffer(-0.35, join_style="mitre"), height_m=3.6),
        t.Roof(
            id="roof-1",
            name="House",
            shape=HOUSE,
            form=t.RoofForm.HIP,
            pitch_deg=35,
            eaves_height_m=2.45,
            surface="tiles",
        ),
        t.Roof(
            id="roof-2",
            name="Cart shed",
            shape=SHED,
            form=t.RoofForm.GABLE,
            pitch_deg=30,
            eaves_height_m=2.3,
            surface="metal",
        ),
        t.Gutter(
            id="gutter-1",
            name="North gutter",
            shape=LineString([(26.4, 46.4), (13.6, 46.4)]),
            roof="roof-1",
            downpipe="downpipe-1",
            width_mm=125,
        ),
        t.Gutter(
            id="gutter-2",
            name="East gutter",
            shape=LineString([(26.4, 46.4), (26.4, 35.2)]),
            roof="roof-1",
            downpipe="downpipe-2",
        ),
        t.Gutter(
            id="gutter-3",
            name="Porch gutter",
            shape=LineString([(19.2, 34.0), (26.4, 34.0), (26.4, 35.2)]),
            roof="roof-1",
            downpipe="downpipe-2",
        ),
        t.Gutter(
            id="gutter-4",
            name="West gutter",
            shape=LineString([(13.6, 46.4), (13.6, 37.6), (19.2, 37.6)]),
            roof="roof-1",
            downpipe="downpipe-3",
        ),
        t.Gutter(
            id="gutter-5",
            name="Shed back gutter",
            shape=LineString([(46.9, 33.8), (57.4, 33.8), (57.4, 27.0)]),
            roof="roof-2",
            downpipe="downpipe-4",
        ),
        t.Gutter(
            id="gutter-6",
            name="Shed front gutter",
            shape=LineString([(57.4, 27.0), (46.9, 27.0)]),
            roof="roof-2",
            downpipe="downpipe-5",
        ),
        t.Gutter(
            id="gutter-7",
            name="Inner gutter",
            shape=LineString([(19.2, 34.0), (19.2, 37.6)]),
            roof="roof-1",
            downpipe="downpipe-3",
        ),
        t.Downpipe(id="downpipe-1", name="North pipe", shape=Point(13.6, 45.6), roof="roof-1"),
        t.Downpipe(id="downpipe-2", name="Porch pipe", shape=Point(26.4, 35.2), roof="roof-1"),
        t.Downpipe(id="downpipe-3", name="South pipe", shape=Point(19.2, 37.6), roof="roof-1", bore_mm=50),
        t.Downpipe(id="downpipe-4", name="East pipe", shape=Point(57.4, 27.4), roof="roof-2"),
        t.Downpipe(id="downpipe-5", name="West pipe", shape=Point(46.9, 27.4), roof="roof-2", bore_mm=50),
        t.Diverter(
            id="diverter-1",
            name="North diverter",
            shape=Point(13.3, 45.6),
            downpipe="downpipe-1",
            tank="tank-1",
            height_m=1.9,
        ),
        t.Diverter(
            id="diverter-2",
            name="Porch diverter",
            shape=Point(26.8, 35.3),
            downpipe="downpipe-2",
            tank="tank-2",
            height_m=1.55,
        ),
        t.Diverter(
            id="diverter-3",
            name="East diverter",
            shape=Point(57.7, 27.5),
            downpipe="downpipe-4",
            tank="tank-3",
            height_m=1.8,
            form=t.DiverterKind.FEEDS,
        ),
        t.Diverter(
            id="diverter-4",
            name="West diverter",
            shape=Point(46.6, 27.2),
            downpipe="downpipe-5",
            tank="tank-4",
            height_m=1.25,
        ),
        t.FirstFlush(
            id="first_flush-1", name="Porch first flush", shape=Point(26.4, 34.6), downpipe="downpipe-2", keeps_l=20
        ),
    ]


def tanks_and_lines() -> list[t.Thing]:
    """Four tanks of different sizes, the line that is laid, the tap, and where each overflow ends."""
    return [
        t.Tank(
            id="tank-1",
            name="North tank",
            shape=Point(12.0, 44.9),
            width_m=1.6,
            depth_m=1.4,
            capacity_l=2500,
            empty_kg=60,
            stand_height_m=0.1,
            outlet_height_m=0.08,
            inlet_height_m=1.34,
            overflow_height_m=1.26,
            water_l=1280,
        ),
        t.Tank(
            id="tank-2",
            name="Porch tank",
            shape=Point(27.9, 35.6),
            form=t.TankForm.BOX,
            width_m=0.8,
            length_m=1.0,
            bearing_deg=90,
            depth_m=1.0,
            capacity_l=720,
            empty_kg=35,
            stand_height_m=0.3,
            outlet_height_m=0.06,
            inlet_height_m=0.96,
            overflow_height_m=0.92,
            water_l=640,
            children_about=True,
            lid_locks=True,
            lid_opening_m=0.3,
        ),
        t.Tank(
            id="tank-3",
            name="Shed tank",
            shape=Point(58.8, 27.6),
            width_m=1.2,
            depth_m=1.38,
            capacity_l=1500,
            empty_kg=45,
            stand_height_m=0.2,
            outlet_height_m=0.08,
            inlet_height_m=1.36,
            overflow_height_m=1.32,
            water_l=720,
        ),
        t.Tank(
            id="tank-4",
            name="Butt",
            shape=Point(46.2, 26.6),
            width_m=0.58,
            depth_m=0.88,
            capacity_l=210,
            empty_kg=10,
            stand_height_m=0.25,
            outlet_height_m=0.06,
            inlet_height_m=0.84,
            overflow_height_m=0.8,
            water_l=85,
        ),
        t.Tap(id="tap-1", name="Butt tap", shape=Point(46.2, 26.2), tank="tank-4", height_m=0.3),
        t.WateringLine(
            id="watering_line-1",
            name="Porch line",
            shape=LineString([(27.9, 35.2), (29.1, 30.0), (29.1, 18.4), (37.5, 18.3)]),
            tank="tank-2",
            bore="hose-19",
        ),
        t.Overflow(
            id="overflow-1", name="North overflow", shape=LineString([(11.6, 44.2), (11.3, 43.2)]), tank="tank-1"
        ),
        t.Overflow(
            id="overflow-2", name="Porch overflow", shape=LineString([(28.3, 35.3), (28.9, 34.5)]), tank="tank-2"
        ),
        t.Overflow(
            id="overflow-3", name="Shed overflow", shape=LineString([(58.8, 27.0), (58.7, 26.2)]), tank="tank-3"
        ),
        t.Overflow(
            id="overflow-4", name="Butt overflow", shape=LineString([(46.0, 26.3), (45.8, 25.7)]), tank="tank-4"
        ),
    ]


def garden() -> list[t.Thing]:
    """Beds, paths, trees, and what takes or turns water."""
    beds = [
        ("Herbs", box(38.0, 44.4, 46.0, 47.0), "herbs"),
        ("Salads", box(29.8, 25.0, 41.0, 28.4), "lettuce"),
        ("Brassicas", box(14.5, 19.4, 25.6, 22.8), "cabbage"),
        ("Beans", box(29.8, 19.4, 41.0, 22.8), "green-beans"),
        ("Roots", box(29.8, 13.8, 41.0, 17.1), "carrots"),
        ("Soft fruit", box(62.5, 8.7, 73.0, 15.7), "berry-bushes"),
        ("Squash bank", box(54.0, 46.6, 66.0, 50.6), "courgettes"),
    ]
    trees = [
        (38.3, 38.2, 1.9),
        (71.0, 38.5, 2.4),
        (73.4, 32.4, 2.1),
        (72.0, 26.3, 2.4),
        (6.5, 24.0, 2.3),
        (6.0, 17.0, 2.0),
        (8.6, 11.4, 2.4),
        (17.0, 6.8, 1.9),
    ]
    hedges = [box(0.6, 55.2, 77.0, 57.0), box(0.6, 2.0, 2.4, 55.0)]
    grown: dict[str, dict[str, Any]] = {
        "Herbs": {"shelter": "hedge-near", "cover": "wood-chips", "cover_share": 0.6},
        "Salads": {"second_crop": "spinach", "second_sown": "1 August"},
        "Beans": {"cover": "straw", "cover_share": 0.8},
        "Soft fruit": {"shelter": "hedge-near", "cover": "wood-chips", "cover_share": 0.9},
        "Squash bank": {"cover": "compost", "cover_share": 0.5},
    }
    # rows with paths between them; what has few or deep roots gets its cans by habit
    habits = {"Herbs": (7.0, 2.0), "Soft fruit": (7.0, 6.0), "Squash bank": (3.0, 4.0)}
    by_habit = {
        name: {"watering": t.WateringRule.FIXED_CANS, "every_days": every_days, "cans_each": cans}
        for name, (every_days, cans) in habits.items()
    }
    made: list[t.Thing] = [
        t.Bed(
            id=f"bed-{n}",
            name=name,
            shape=shape,
            crop=crop,
            planted_share=0.25,
            **{**grown.get(name, {}), **by_habit.get(name, {})},
        )
        for n, (name, shape, crop) in enumerate(beds, 1)
    ]
    made += [
        t.Tree(id=f"tree-{n}", shape=Point(x, y).buffer(radius, quad_segs=6), form=t.TreeForm.TREE)
        for n, (x, y, radius) in enumerate(trees, 1)
    ]
    made += [
        t.Tree(id=f"tree-{n}", shape=shape, form=t.TreeForm.HEDGE, height_m=1.8) for n, shape in enumerate(hedges, 9)
    ]
    made += [
        t.Path(
            id="path-1",
            name="Upper path",
            shape=LineString([(24.0, 33.7), (25.4, 31.4), (28.3, 30.6), (46.9, 30.6)]),
            width_m=1.2,
        ),
        t.Path(
            id="path-2",
            name="Middle path",
            shape=LineString([(27.9, 30.4), (27.8, 11.0), (29.0, 6.0), (30.0, 0.5)]),
            width_m=1.2,
        ),
        t.Path(
            id="path-3",
            name="Lower path",
            shape=LineString([(28.2, 10.9), (40.0, 11.0), (52.0, 11.9), (58.0, 12.5), (62.4, 12.4)]),
            width_m=1.2,
        ),
        t.Wall(
            id="wall-1",
            name="Garden wall",
            shape=LineString([(28.4, 44.6), (34.3, 44.6), (34.3, 52.5)]),
            thickness_m=0.4,
            height_m=1.4,
        ),
        t.Swale(
            id="swale-1",
            name="Swale",
            shape=LineString([(4.3, 34.0), (8.0, 33.3), (14.8, 32.5)]),
            width_m=0.9,
            depth_m=0.2,
        ),
        t.Soakaway(id="soakaway-1", name="Soakaway", shape=box(66.3, 19.2, 70.4, 22.4), depth_m=0.8),
        t.Door(id="door-1", name="House door", shape=Point(23.6, 34.35), width_m=0.95, bearing_deg=180),
        t.Door(
            id="door-2", name="Shed door", shape=Point(47.25, 30.6), width_m=1.6, bearing_deg=270, sill_height_m=0.05
        ),
        t.KeepDry(
            id="keep_dry-1",
            name="Round the house",
            shape=HOUSE.buffer(1.5, join_style="mitre").difference(HOUSE.buffer(-0.1)).convex_hull,
            reason="house wall",
        ),
        t.Boundary(id="boundary-1", shape=box(0.6, 1.6, 77.0, 57.2)),
    ]
    return made


def quillet_bank() -> Site:
    """The sample site."""
    settings = Settings(
        latitude_deg=51.2,
        longitude_deg=-2.6,
        altitude_m=98,
        rain_year_mm=SKY.rain_year_mm,
        wet_day_mm=24,
        wet_day_h=6,
        tanks_full=True,
        soil="loam",
        ground_error_m=0.05,
        line=UsualLine(bore="hose-13", end="open-hose"),
    )
    things = (*roofs_and_pipes(), *tanks_and_lines(), *garden(), *pegs())
    return Site(name="Quillet Bank", about="a garden on a slope", settings=settings, things=things, monthly=SKY)


def main() -> None:
    """Write the sample beside this script."""
    site = quillet_bank()
    check_site(site)
    path = HERE / "quillet-bank.gpkg"
    gw.save_site(site, path)
    print(f"{path.name}: {len(site.things)} things, {path.stat().st_size / 1024:.0f} kB")


if __name__ == "__main__":
    main()
