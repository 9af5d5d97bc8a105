from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely import Point, box

from gardenwater.findings import Question
from gardenwater.report.drawing import Dots, Fill, Group, Rect, Shape, Strokes
from gardenwater.report.signs import LOCKED_STRENGTH, SIGNS, Drafting, GutterFlow, Order, marks_of, sign
from gardenwater.report.signs.samples import SAMPLE_HEIGHT_PX, SAMPLE_WIDTH_PX, sample, spill_sample
from gardenwater.report.view import Margins, View
from gardenwater.site import things as t
from gardenwater.site.model import Site
from tests.report.made import ANSWERED, every_mark, garden, one_of_each, points_in, unknown_roles

# RULES.md, "Order of drawing, bottom first", as far as things go
RULED_ORDER = [
    *("boundary", "keep_dry", "soakaway", "path", "swale", "ditch", "bank", "earthwork", "pond", "rain_garden"),
    *(
        "tree",
        "bed",
        "wall",
        "building",
        "roof",
        "door",
        "watering_line",
        "overflow",
        "gutter",
        "downpipe",
        "first_flush",
        "diverter",
        "link",
        "tap",
    ),
    *("tank", "slope_arrow", "level_peg"),
]

# RULES.md, column "line": the main line of each sign in px
RULED_WIDTHS = {
    "roof": ("roof_line", 1.5),
    "building": ("ink", 0.9),  # under a roof; 1.8 where none covers it
    "gutter": ("roof_line", 1.0),
    "downpipe": ("roof_line", 1.75),
    "first_flush": ("roof_line", 1.5),
    "tank": ("water", 2.0),
    "tap": ("water", 1.75),
    "link": ("water", 1.2),
    "watering_line": ("water", 2.0),
    "overflow": ("spill", 2.2),
    "bed": ("leaf", 1.4),
    "pond": ("water", 1.75),
    "soakaway": ("earth", 1.5),
    "rain_garden": ("leaf", 1.4),
    "swale": ("earth", 1.5),
    "ditch": ("earth", 1.5),
    "bank": ("earth", 1.5),
    "earthwork": ("earth", 1.5),
    "wall": ("ink", 1.1),
    "door": ("ink", 0.9),
    "tree": ("leaf", 1.15),
    "path": ("ink_soft", 0.9),
    "keep_dry": ("fails", 1.1),
    "boundary": ("ink", 1.1),
    "level_peg": ("earth", 1.5),
    "slope_arrow": ("earth", 1.5),
}
CARRIES_WATER = ("watering_line", "overflow", "tank", "link", "tap", "diverter")


def drafting(question: Question = Question.GROUND, *, px_per_m: float = 20.0, **more: object) -> Drafting:
    view = View(30, 20, 1 / px_per_m, 60 * px_per_m, 40 * px_per_m, Margins(0, 0, 0, 0))
    return Drafting(view=view, site=garden(), question=question, **more)  # type: ignore[arg-type]


def thing(kind: str) -> t.Thing:
    return next(each for each in one_of_each() if each.kind == kind)


def test_each_kind_has_a_sign() -> None:
    assert set(SIGNS) == set(t.BY_KIND)


@pytest.mark.parametrize("question", ANSWERED)
@pytest.mark.parametrize("kind", SIGNS)
def test_each_sign_draws_in_known_roles_near_its_thing(kind: str, question: Question) -> None:
    on = drafting(question)
    marks = list(every_mark(marks_of(sign(thing(kind), on))))
    if kind == "building" and question is Question.CATCH:
        assert marks == []  # it stands under its roof, and in Catch the roof's parts are what is shown
        return
    assert marks
    assert unknown_roles(marks) == set()
    points = np.concatenate([points_in(mark) for mark in marks])
    assert np.isfinite(points).all()
    low_x, low_y, high_x, high_y = thing(kind).shape.bounds
    corners = on.px(((low_x, high_y), (high_x, low_y)))
    assert (points > corners.min(axis=0) - 60).all()
    assert (points < corners.max(axis=0) + 60).all()


@pytest.mark.parametrize("px_per_m", [0.5, 3.0, 13.0, 400.0])
@pytest.mark.parametrize("kind", SIGNS)
def test_each_sign_draws_at_any_scale(kind: str, px_per_m: float) -> None:
    on = drafting(px_per_m=px_per_m)
    view = View(*thing(kind).shape.centroid.coords[0], 1 / px_per_m, 800, 600)
    marks = list(every_mark(marks_of(sign(thing(kind), replace(on, view=view)))))
    assert all(np.isfinite(points_in(mark)).all() for mark in marks)
    assert sum(len(points_in(mark)) for mark in marks) < 20_000


@pytest.mark.parametrize(("kind", "ruled"), RULED_WIDTHS.items())
def test_lines_have_the_ruled_width_and_role(kind: str, ruled: tuple[str, float]) -> None:
    marks = every_mark(marks_of(sign(thing(kind), drafting(Question.OVERFLOW))))
    pens = {(mark.pen.role, mark.pen.width_px) for mark in marks if isinstance(mark, Shape | Strokes) and mark.pen}
    assert ruled in pens


@pytest.mark.parametrize("kind", CARRIES_WATER)
def test_what_carries_water_has_a_paper_casing_wider_by_a_px_and_a_half_on_each_side(kind: str) -> None:
    marks = list(every_mark(marks_of(sign(thing(kind), drafting()))))
    cased = [mark for mark in marks if isinstance(mark, Shape | Strokes) and mark.casing is not None]
    lines = [mark for mark in cased if mark.pen is not None and mark.pen.role in ("water", "spill")]
    plain = [mark for mark in marks if isinstance(mark, Shape) and mark.pen is not None and mark.pen.role == "paper"]
    assert lines or plain or any(mark.casing.role == "paper" for mark in cased if mark.casing)
    for mark in lines:
        assert mark.casing is not None
        assert mark.pen is not None
        assert (mark.casing.role, mark.casing.width_px) == ("paper", pytest.approx(mark.pen.width_px + 3))


def test_the_order_of_drawing_is_the_ruled_one() -> None:
    on = drafting(Question.OVERFLOW)
    lowest = {each.kind: min(order for order, _ in sign(each, on)) for each in one_of_each()}
    lowest["building"] = min(order for order, _ in sign(replace(thing("building"), shape=box(50, 5, 55, 9)), on))
    assert sorted(lowest, key=lambda kind: (lowest[kind], RULED_ORDER.index(kind))) == RULED_ORDER
    assert Order.BED < Order.LIMIT < Order.BUILDING
    assert Order.WATERING_LINE < Order.POOL < Order.ROUTE < Order.GUTTER


def test_what_is_locked_is_drawn_at_45_percent() -> None:
    marks = marks_of(sign(replace(thing("bed"), locked=True), drafting()))
    assert all(isinstance(mark, Group) and mark.strength == LOCKED_STRENGTH == 0.45 for mark in marks)


def test_rows_of_dots_keep_clear_of_words_and_of_the_edge() -> None:
    taken = Rect(600, 500, 80, 40)
    on = drafting(boxes=(taken,))
    dots = next(mark for _, mark in sign(thing("bed"), on) if isinstance(mark, Dots))
    ground = shapely.Polygon(on.rings(thing("bed").shape)[0])
    assert not any(taken.holds(x, y) for x, y in dots.points)
    assert all(ground.buffer(-4).contains(Point(x, y)) for x, y in dots.points)
    assert len(dots.points) > 20


@pytest.mark.parametrize(("water_l", "share"), [(0.0, 0.0), (500.0, 0.5), (1000.0, 1.0), (5000.0, 1.0)])
def test_a_tank_is_filled_as_a_level_seen_from_the_side(water_l: float, share: float) -> None:
    tank = t.Tank(
        id="tank", shape=Point(30, 20), form=t.TankForm.BOX, width_m=2, length_m=2, capacity_l=1000, water_l=water_l
    )
    fills = [
        mark
        for _, mark in sign(tank, drafting())
        if isinstance(mark, Shape) and mark.fill is not None and mark.fill.role == "tank_fill"
    ]
    area = sum(shapely.Polygon(fill.path[0].points).area for fill in fills)
    assert area == pytest.approx(share * (2 * 20) ** 2)


def test_a_small_tank_is_still_seen() -> None:
    outline = next(mark for _, mark in sign(thing("tank"), drafting(px_per_m=1.0)) if isinstance(mark, Shape))
    width = np.ptp(outline.path[0].points[:, 0])
    assert width == pytest.approx(11, abs=0.1)  # RULES.md: least 11 px


def test_a_tank_on_the_ground_has_no_ring() -> None:
    def dashed(tank: t.Tank) -> int:
        return sum(
            isinstance(m, Shape) and m.pen is not None and m.pen.dash == (3.0, 2.4) for _, m in sign(tank, drafting())
        )

    tank = t.Tank(id="tank", shape=Point(30, 20), stand_height_m=0.2)
    assert dashed(tank) == 1
    assert dashed(replace(tank, stand_height_m=0.0)) == 0


def test_a_building_is_hatched_only_where_no_roof_covers_it() -> None:
    on = drafting()
    under = [mark for order, mark in sign(thing("building"), on) if order is Order.BUILDING]
    assert under == []
    half = replace(on, site=Site(things=(t.Roof(id="roof", shape=box(4, 26, 9, 34)), thing("building"))))
    strokes = next(mark for _, mark in sign(thing("building"), half) if isinstance(mark, Strokes))
    assert strokes.ends[:, :, 0].min() >= half.px((9, 30))[0] - 1


def test_a_gutter_lies_outside_its_eaves() -> None:
    on = drafting()
    line = next(mark for _, mark in sign(thing("gutter"), on) if isinstance(mark, Shape))
    eaves_y = on.px((9, 26))[1]
    assert line.path[0].points[:, 1] == pytest.approx(eaves_y + 4.5)  # RULES.md: 4.5 px outside the eaves


def test_a_gutter_widens_by_litres_in_catch() -> None:
    flow = GutterFlow(0.0, 30_000.0, caught=True)
    on = drafting(Question.CATCH, gutters={"gutter": flow})
    shapes = [mark for _, mark in sign(thing("gutter"), on) if isinstance(mark, Shape)]
    widths = [mark.pen.width_px for mark in shapes if mark.pen is not None and mark.pen.role == "water"]
    assert widths == sorted(widths)
    assert 1.2 <= widths[0] < widths[-1] <= 4.0  # RULES.md: water 1.2 to 4 by litres
    lost = replace(on, gutters={"gutter": replace(flow, caught=False)})
    assert {mark.pen.role for _, mark in sign(thing("gutter"), lost) if isinstance(mark, Shape) and mark.pen} == {
        "paper",
        "spill",
    }


def test_keep_dry_ground_is_filled_in_overflow_only() -> None:
    def fills(question: Question) -> list[Fill]:
        return [m.fill for _, m in sign(thing("keep_dry"), drafting(question)) if isinstance(m, Shape) and m.fill]

    assert fills(Question.OVERFLOW) == [Fill("warn_wash", 0.72)]  # RULES.md: warn_wash at 72 %
    assert fills(Question.REACH) == fills(Question.CATCH) == []


def test_a_slope_arrow_points_down_and_is_never_short() -> None:
    arrow = t.SlopeArrow(id="slope_arrow", shape=shapely.LineString([(30, 20), (30.2, 20)]))
    strokes = next(mark for _, mark in sign(arrow, drafting()) if isinstance(mark, Strokes))
    shaft = strokes.ends[0]
    assert np.hypot(*(shaft[1] - shaft[0])) == pytest.approx(40)  # RULES.md: least 40 px
    assert shaft[1, 0] > shaft[0, 0]


@pytest.mark.parametrize("height", [SAMPLE_HEIGHT_PX, 12.0])
@pytest.mark.parametrize("kind", SIGNS)
def test_each_sample_of_the_legend_stands_in_its_place(kind: str, height: float) -> None:
    group = sample(kind, 100, 200, height)[0]
    assert isinstance(group, Group)
    points = np.concatenate([points_in(mark) for mark in every_mark([group])])
    wide = SAMPLE_WIDTH_PX * height / SAMPLE_HEIGHT_PX
    assert (points >= (100 - 14, 200 - 14)).all()
    assert (points <= (100 + wide + 14, 200 + height + 14)).all()
    assert unknown_roles(list(every_mark([group]))) == set()


def test_the_sample_of_a_spill_is_a_route_with_a_pool() -> None:
    marks = spill_sample(10, 10)
    assert {mark.fill.role for mark in marks if isinstance(mark, Shape) and mark.fill} == {"pool_3"}
