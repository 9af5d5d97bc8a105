from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import shapely
from affine import Affine
from shapely import LineString, Polygon, box

from gardenwater.assess.answers import OverflowAnswer, WaterAccount
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.overflow import End, Exit, Pool, Route, Spill
from gardenwater.report.drawing import Dots, Group, Picture, Points, Shape, Strokes
from gardenwater.report.ground_picture import (
    GROUND_SHADING,
    contour_marks,
    ground_picture,
    lattice,
    lie,
    shading,
    within_hull,
)
from gardenwater.report.overflow_picture import mud, overflow_picture, pool_marks, route_marks
from gardenwater.report.pictures import pictures_of
from gardenwater.report.reach_picture import MARGINAL, SLOW, limit_marks, marginal_hatch, reach_picture, wash
from gardenwater.report.signs.answers import route_width
from gardenwater.report.view import View
from gardenwater.units import UnitSystem
from tests.report.made import best_reach, every_mark, garden, ground_answer, reach_answers, slope

VIEW = View(30, 20, 0.05, 1264, 860)


def classes_at(cells: np.ndarray, transform: tuple[float, ...], x: float, y: float) -> int:
    a, _, c, _, e, f = transform
    return int(cells[int((y - f) / e), int((x - c) / a)])


# the ground


def test_the_relief_is_washed_by_fifths() -> None:
    picture = ground_picture(ground_answer(slope()))
    found = [classes_at(picture.lie, picture.lie_transform, 30, y) for y in (4, 12, 20, 28, 36)]
    assert found == [1, 2, 3, 4, 5]


def test_level_ground_has_no_contours_and_no_shading() -> None:
    flat = Ground(np.full((20, 30), 97.0), Affine(1, 0, 0, 0, -1, 20))
    picture = ground_picture(ground_answer(flat))
    assert len(picture.contours) == 0
    assert picture.step_m == 0.0
    assert set(np.unique(picture.shade)) == {121}  # the class of flat ground: neither dark nor light
    (mark,) = shading(picture, VIEW, GROUND_SHADING)
    assert isinstance(mark, Picture)
    assert mark.table is not None
    assert mark.table[121] is None


def test_shading_is_no_stronger_than_asked() -> None:
    (mark,) = shading(ground_picture(ground_answer(slope())), VIEW, 0.07)
    assert isinstance(mark, Picture)
    strengths = [fill.strength for fill in mark.table or () if fill is not None]
    assert max(strengths) == pytest.approx(0.07)  # LOOK 6: at most 7 % in Reach


def test_each_fifth_contour_is_bolder() -> None:
    picture = ground_picture(ground_answer(slope()))
    assert picture.step_m == pytest.approx(0.1)  # 4 m of relief in up to 53 lines
    assert picture.is_index(100.0)
    assert picture.is_index(99.5)
    assert not picture.is_index(99.9)
    thin, bold = contour_marks(picture, VIEW, washed=False)
    assert isinstance(thin, Shape)
    assert isinstance(bold, Shape)
    assert thin.pen is not None
    assert bold.pen is not None
    assert thin.pen.width_px < bold.pen.width_px
    assert len(thin.path) > 3 * len(bold.path)


def test_contours_stand_at_whole_feet_for_people_who_read_feet() -> None:
    picture = ground_picture(ground_answer(slope()), UnitSystem.US)
    feet = np.array(picture.contours.values) / 0.3048
    step = picture.step_m / 0.3048
    assert step in (pytest.approx(0.2), pytest.approx(0.5))
    assert feet / step == pytest.approx(np.round(feet / step), abs=1e-6)


def test_a_large_ground_is_thinned_for_the_picture_only() -> None:
    large = slope(cell_m=0.02)
    picture = ground_picture(ground_answer(large))
    assert large.level_m.size > 5_000_000
    assert picture.shade.size < 1_600_000
    assert picture.ground is large


def test_where_levels_are_not_well_known_the_wash_gives_way_to_dots() -> None:
    ground = slope()
    error = np.full(ground.shape, 0.05, dtype=np.float32)
    error[:, 60:] = 0.2
    hull = box(2, 2, 58, 38)
    answer = replace(ground_answer(ground), uncertainty_m=error, hull=hull)
    picture = ground_picture(answer)
    group, edge = lie(picture, VIEW)
    assert isinstance(group, Group)
    clip = within_hull(picture, VIEW)
    assert group.clip is not None
    assert clip is not None
    assert group.clip[0].points == pytest.approx(clip[0].points)
    dots = next(mark for mark in every_mark([group]) if isinstance(mark, Dots))
    assert (dots.points[:, 0] >= VIEW.to_px(30, 20)[0]).all()
    assert isinstance(edge, Shape)


def test_a_lattice_is_tied_to_the_map() -> None:
    cells = np.ones((40, 60), dtype=np.uint8)
    transform = (1.0, 0.0, 0.0, 0.0, -1.0, 40.0)
    first = lattice(cells, 1, transform, VIEW, 9.0)
    second = lattice(cells, 1, transform, VIEW.moved(13.0, -7.0), 9.0)

    def phase(points: Points, view: View) -> Points:
        spots = np.array([view.to_map(*point) for point in points[:50]])
        return np.round(spots / (9.0 * view.metres_per_px)) - spots / (9.0 * view.metres_per_px)

    assert phase(first, VIEW) == pytest.approx(0, abs=1e-6)
    assert phase(second, VIEW.moved(13.0, -7.0)) == pytest.approx(0, abs=1e-6)


# the water reach map


def test_minutes_are_classed_at_1_2_4_and_8() -> None:
    ground = slope()
    picture = reach_picture(ground, best_reach(ground))
    # minutes are 0.5 x 2^(5 s) with s from 0 in the east to 1 in the west: class edges at s = 0.2, 0.4, 0.6, 0.8
    found = [
        classes_at(picture.classes, picture.transform, 60 - 59.5 * s - 0.25, 10) for s in (0.1, 0.3, 0.5, 0.7, 0.9)
    ]
    assert found == [1, 2, 3, 4, 5]
    at = {curve.value: curve.points[:, 0].mean() for curve in picture.edges.in_sight(View(30, 20, 1.0, 100, 100))}
    assert sorted(at) == pytest.approx([1, 2, 4, 8])
    xs = [View(30, 20, 1.0, 100, 100).to_map(at[value], 0)[0] for value in sorted(at)]
    assert xs == pytest.approx([59.75 - 59.5 * s for s in (0.2, 0.4, 0.6, 0.8)], abs=0.1)


def test_the_limit_runs_between_the_last_cell_in_reach_and_the_next() -> None:
    ground = slope()
    picture = reach_picture(ground, best_reach(ground, water_level_m=100.02))
    view = View(30, 20, 0.1, 800, 600)
    ys = [view.to_map(*point)[1] for curve in picture.limit.in_sight(view) for point in curve.points]
    assert np.array(ys) == pytest.approx(
        20.2, abs=0.02
    )  # level 100.02 m on a plane that rises 0.1 m a metre from 100 at y = 20


def test_no_limit_is_drawn_round_a_building_and_none_along_the_end_of_the_ground() -> None:
    ground = slope()
    house = box(20, 5, 30, 12)
    picture = reach_picture(ground, best_reach(ground, barrier=house))
    view = View(30, 20, 0.1, 800, 600)
    assert all(abs(view.to_map(*point)[1] - 20) < 1 for c in picture.limit.in_sight(view) for point in c.points)
    assert classes_at(picture.classes, picture.transform, 25, 8) in (1, 2, 3, 4)

    hole = ground.level_m.copy()
    hole[50:60, 30:50] = np.nan
    broken = Ground(hole, ground.transform)
    picture = reach_picture(broken, best_reach(broken))
    assert all(abs(view.to_map(*point)[1] - 20) < 1 for c in picture.limit.in_sight(view) for point in c.points)
    assert classes_at(picture.classes, picture.transform, 20, 12.5) == 0


def test_marginal_is_a_class_of_its_own_with_slanted_lines() -> None:
    ground = slope()
    picture = reach_picture(ground, best_reach(ground))  # sure where 0.2 m of head is left: below y = 18
    assert classes_at(picture.classes, picture.transform, 50, 19) == MARGINAL
    assert classes_at(picture.classes, picture.transform, 50, 16) != MARGINAL
    (strokes,) = marginal_hatch(picture, VIEW)
    assert isinstance(strokes, Strokes)
    ys = np.array([VIEW.to_map(*point)[1] for point in strokes.ends.reshape(-1, 2)])
    assert ys.min() > 17.4
    assert ys.max() < 20.1


def test_slow_ground_is_dotted() -> None:
    ground = slope()
    reach = best_reach(ground)
    slow = reach.reason.copy()
    slow[30:40, 40:60] = 1
    reach = replace(reach, reason=slow)
    picture = reach_picture(ground, reach)
    assert classes_at(picture.classes, picture.transform, 25, 22.5) == SLOW
    dots = [mark for mark in wash(picture, VIEW) if isinstance(mark, Dots)]
    assert len(dots) == 1
    assert (dots[0].role, dots[0].diameter_px) == ("reach_5", 1.2)  # LOOK 6: reach_5 as dots of 1.2


def test_nothing_in_reach_draws_nothing() -> None:
    ground = slope()
    picture = reach_picture(ground, best_reach(ground, water_level_m=90.0))
    assert not picture.classes.any()
    assert limit_marks(picture, VIEW) == []
    assert marginal_hatch(picture, VIEW) == []


def test_half_strength_reaches_all_marks() -> None:
    ground = slope()
    picture = reach_picture(ground, best_reach(ground))
    (mark,) = wash(picture, VIEW, strength=0.5)
    assert isinstance(mark, Picture)
    assert mark.strength == 0.5


# overflow


def spill(ground: Ground) -> Spill:
    """A pool, a route into it, one that soaks away and one that leaves the ground in the south."""
    depth = np.zeros(ground.shape)
    depth[40:50, 60:80] = 0.03
    depth[43:47, 66:74] = 0.3
    shore = box(30, 15, 40, 20)

    def way(points: list[tuple[float, float]], end: End, index: int, flow: float) -> Route:
        return Route(
            line=LineString(points),
            source=0,
            end=end,
            end_index=index,
            flow_l_s=flow,
            volume_m3=1.0,
            flow_end_l_s=flow,
            volume_end_m3=0.49,
            soaked_m3=0.0,
            sources=(0,),
        )

    pool = Pool(shore, 99.0, 0.3, 0.31, 9.0, (0,), np.inf, runs_over=False, soaked_m3=0.0, deepest=(35, 17))
    return Spill(
        routes=(
            way([(35, 30), (35, 20)], End.POOL, 0, 0.3),
            way([(10, 30), (12, 15)], End.SOAKED, -1, 0.05),
            way([(50, 30), (50, 20), (50, 0)], End.OFF_SITE, 0, 3.0),
        ),
        pools=(pool,),
        pool_depth_m=depth,
        soaked_m3=1.0,
        taken=(),
        exits=(Exit((50, 0), 0.49, (0,)),),
        fates=(None,),
        pooled_m3=0.31,
        poured_m3=1.8,
        residual_m3=0.0,
    )


def overflow(ground: Ground) -> OverflowAnswer:
    account = WaterAccount(**dict.fromkeys(WaterAccount.__dataclass_fields__, 0.0))
    return OverflowAnswer(ground=ground, sources=(), lost=(), spill=spill(ground), ends=(), takers=(), account=account)


def test_pools_are_classed_by_depth() -> None:
    picture = overflow_picture(overflow(slope()))
    assert classes_at(picture.classes, picture.transform, 31, 16) == 2  # 3 cm: the class of 2 to 5
    assert classes_at(picture.classes, picture.transform, 35, 17.5) == 5  # 30 cm: over 25
    assert classes_at(picture.classes, picture.transform, 20, 17.5) == 0
    marks = pool_marks(picture, VIEW)
    levels = next(mark for mark in marks if isinstance(mark, Strokes))
    shore = shapely.Polygon(VIEW.all_to_px(np.array(box(30, 15, 40, 20).exterior.coords)))
    assert all(shapely.LineString(stroke).within(shore.buffer(1e-6)) for stroke in levels.ends)


@pytest.mark.parametrize(("flow", "width"), [(0.05, 1.5), (0.1, 2.0), (0.4, 2.0), (0.5, 3.0), (2.0, 4.0), (50.0, 4.0)])
def test_routes_are_as_wide_as_their_flow_asks(flow: float, width: float) -> None:
    assert route_width(flow) == width  # RULES.md: 1.5, 2, 3, 4 px for under 0.1, 0.5, 2, over 2 L/s


def test_each_end_of_a_route_is_drawn_as_ruled() -> None:
    picture = overflow_picture(overflow(slope()))
    marks = route_marks(picture, VIEW)
    dots = [mark for mark in marks if isinstance(mark, Dots)]
    assert [dot.diameter_px for dot in dots] == [4.0, 3.2, 2.4]  # RULES.md: three dots of 4, 3.2, 2.4 px
    heads = [mark for mark in marks if isinstance(mark, Shape) and mark.pen is not None and mark.pen.width_px == 2.4]
    assert len(heads) == 1
    assert np.ptp(heads[0].path[0].points[:, 0]) == pytest.approx(18)  # RULES.md: an open head 18 px wide


def test_a_route_off_the_site_ends_at_the_boundary() -> None:
    picture = overflow_picture(overflow(slope()), Polygon(box(1, 5, 59, 39)))
    assert picture.lines[2][-1] == pytest.approx((50, 5))
    assert picture.leaves_at == ((50.0, pytest.approx(5.0)),)
    free = overflow_picture(overflow(slope()))
    assert free.leaves_at == ((50.0, 0.0),)


def test_ground_by_a_route_is_damp_and_by_a_pool_soft_or_mud() -> None:
    picture = overflow_picture(overflow(slope()))
    roles = {mark.pen.role for mark in mud(picture, VIEW) if isinstance(mark, Shape) and mark.pen is not None}
    assert roles == {"mud_1", "mud_2"}
    standing = replace(picture, pools=(replace(picture.pools[0], hours_to_soak=100.0),))
    roles = {mark.pen.role for mark in mud(standing, VIEW) if isinstance(mark, Shape) and mark.pen is not None}
    assert roles == {"mud_1", "mud_3"}


# all together


def test_pictures_that_still_hold_are_taken_over() -> None:
    answers = reach_answers(garden())
    first = pictures_of(answers, Question.REACH)
    assert pictures_of(answers, Question.REACH, before=first).reach is first.reach
    other = replace(answers, reach=replace(answers.reach, best=best_reach(slope())))  # type: ignore[type-var]
    second = pictures_of(other, Question.REACH, before=first)
    assert second.ground is first.ground
    assert second.reach is not first.reach
    assert pictures_of(answers, Question.GROUND, before=first).reach is None
    assert pictures_of(answers, Question.REACH, units=UnitSystem.US, before=first).ground is not first.ground
