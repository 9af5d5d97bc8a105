"""A roof's plan shared among its downpipes."""

from __future__ import annotations

import math
from collections import defaultdict
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon, box

from gardenwater.catch import Assumption, RoofPart, parts, yields
from gardenwater.catch.sharing import assumed_words
from gardenwater.site.things import RoofForm, Thing
from tests.catch.made import WINGS, gutter, pipe, roof, site_of


def by_pipe(found: tuple[RoofPart, ...]) -> dict[str, float]:
    areas: dict[str, float] = defaultdict(float)
    for part in found:
        areas[part.downpipe] += part.area_m2
    return dict(areas)


def shared(*things: Thing) -> dict[str, float]:
    return by_pipe(parts(site_of(*things)))


def test_a_roof_without_pipes_drips_plane_by_plane() -> None:
    found = parts(site_of(roof()))
    assert [(part.downpipe, part.area_m2) for part in found] == [("", 30.0), ("", 30.0)]
    assert sorted(part.foot for part in found) == [(5.0, 0.0), (5.0, 6.0)]
    assert sorted(part.outward for part in found) == [(0.0, -1.0), (0.0, 1.0)]


def test_one_pipe_gets_all_by_a_level_gutter() -> None:
    assert shared(roof(), pipe(1, 0, 0)) == {"downpipe-1": 60.0}


def test_two_pipes_on_one_side_part_it_half_way_down_the_fall() -> None:
    # Front pipes at x = 0 and 10: each has half the front, 15 m2; the back, 16 m round, goes half to each too.
    found = parts(site_of(roof(), pipe(1, 0, 0), pipe(2, 10, 0)))
    assert by_pipe(found) == {"downpipe-1": pytest.approx(30.0), "downpipe-2": pytest.approx(30.0)}
    assert all(part.area_m2 == pytest.approx(15.0) for part in found)
    (west,) = [p for p in found if p.downpipe == "downpipe-1" and p.fall_bearing_deg == 180.0]
    assert west.shape.equals(box(0, 0, 5, 3))
    assert west.foot == (2.5, 0.0)


def test_nearest_is_along_the_eaves_and_not_across_the_roof() -> None:
    # Round the 32 m: pipe 1 at 0 m, pipe 2 at 16 m (the far corner): they part at 8 m and at 24 m.
    found = shared(roof(), pipe(1, 0, 0), pipe(2, 10, 6))
    # Of the front (0 to 10 m) pipe 1 has 8/10, of the back (16 to 26 m) pipe 2 has 8/10.
    assert found == {"downpipe-1": pytest.approx(24 + 6), "downpipe-2": pytest.approx(24 + 6)}
    assert by_pipe(parts(site_of(roof(), pipe(1, 0, 0), pipe(2, 9, 0)))) == {
        "downpipe-1": pytest.approx(30 * 4.5 / 10 + 30 * (26 - 20.5) / 10),
        "downpipe-2": pytest.approx(30 * 5.5 / 10 + 30 * (20.5 - 16) / 10),
    }


def test_drawn_gutters_decide_and_eaves_without_one_drip() -> None:
    things = (roof(), pipe(1, 0, 0), pipe(2, 10, 6))
    front = gutter(1, (10, -0.1), (0, -0.1), downpipe="downpipe-1")
    found = parts(site_of(*things, front))
    assert by_pipe(found) == {"downpipe-1": 30.0, "": 30.0}
    (caught,) = [part for part in found if part.downpipe]
    assert caught.gutters == (("gutter-1", 30.0),)


def test_a_gutter_takes_only_what_runs_along_it() -> None:
    short = gutter(1, (6, 0), (0, 0), downpipe="downpipe-1")
    assert shared(roof(), pipe(1, 0, 0), short) == {"downpipe-1": pytest.approx(18.0), "": pytest.approx(42.0)}


def test_two_gutters_on_one_side_share_it_and_a_corner_bit_goes_with_its_gutter() -> None:
    east = gutter(1, (4, 0), (9.6, 0), downpipe="downpipe-1")
    west = gutter(2, (4, 0), (0.3, 0), downpipe="downpipe-2")
    found = shared(roof(), pipe(1, 10, 0), pipe(2, 0, 0), east, west)
    assert found == {"downpipe-1": pytest.approx(18.0), "downpipe-2": pytest.approx(12.0), "": pytest.approx(30.0)}


def test_a_gutter_round_a_corner_takes_both_sides() -> None:
    round_it = gutter(1, (0, 6), (10, 6), (10, 0), (0, 0), downpipe="downpipe-1")
    assert shared(roof(form=RoofForm.HIP), pipe(1, 0, 0), round_it) == {
        "downpipe-1": pytest.approx(51.0),
        "": pytest.approx(9.0),
    }


def test_a_gutter_too_far_from_the_eaves_or_across_them_takes_nothing() -> None:
    far = gutter(1, (10, -0.7), (0, -0.7), roof="roof-1", downpipe="downpipe-1")
    across = gutter(2, (5, 0.5), (5, -0.5), roof="roof-1", downpipe="downpipe-1")
    assert shared(roof(), pipe(1, 0, 0), far, across) == {"": 60.0}


def test_water_of_a_valley_goes_with_the_eaves_that_it_comes_down_to() -> None:
    # The south side of the western wing runs from x = 13.6 to the inner corner; its plane goes on over the valley.
    south = gutter(1, (13.6, 37.6), (19.2, 37.6), downpipe="downpipe-1")
    found = parts(site_of(roof(WINGS), pipe(1, 19.2, 37.6), south))
    (caught,) = [part for part in found if part.downpipe]
    # Depth 4.4 m from eaves to ridge; 5.6 m at the eaves, 5.6 + 3.6 m (the valley at 45 degrees) where it meets the
    # other ridge at x = 22.8, and up the 0.8 m of hip from there.
    assert caught.area_m2 == pytest.approx(5.6 * 4.4 + 3.6**2 / 2 + 0.8 * 3.6 - 0.8**2 / 2, rel=1e-6)
    assert caught.area_m2 == pytest.approx(sum(p.area_m2 for p in found if p.fall_bearing_deg == 180.0))


def test_one_fall_over_two_steps_of_eaves_runs_off_where_it_falls() -> None:
    # Falls south. The step in the eaves is at x = 19.2: 5.6 m of the wing west of it, 7.2 m east of it.
    things = (roof(WINGS, form=RoofForm.MONO, fall_deg=180.0), pipe(1, 13.6, 37.6), pipe(2, 26.4, 34.0))
    front = gutter(1, (19.2, 37.6), (13.6, 37.6), downpipe="downpipe-1")
    lower = gutter(2, (19.2, 34.0), (26.4, 34.0), downpipe="downpipe-2")
    assert shared(*things, front, lower) == {
        "downpipe-1": pytest.approx(5.6 * 8.8),
        "downpipe-2": pytest.approx(7.2 * 12.4),
    }


def test_a_flat_roofs_water_goes_to_the_nearest_outlet() -> None:
    things = (roof(box(0, 0, 12, 6), form=RoofForm.FLAT), pipe(1, 2, 3), pipe(2, 6, 3), pipe(3, 11, 3))
    found = parts(site_of(*things))
    assert by_pipe(found) == {
        "downpipe-1": pytest.approx(24.0),
        "downpipe-2": pytest.approx(27.0),
        "downpipe-3": pytest.approx(21.0),
    }
    assert all(math.isnan(part.fall_bearing_deg) for part in found)


def test_of_two_outlets_on_one_spot_of_a_flat_roof_the_first_has_it() -> None:
    assert shared(roof(form=RoofForm.FLAT), pipe(1, 2, 3), pipe(2, 2, 3)) == {"downpipe-1": 60.0}


def test_a_courtyards_eaves_go_to_its_own_pipe() -> None:
    ring = roof(box(0, 0, 20, 20) - box(5, 5, 15, 15), form=RoofForm.HIP)
    assert shared(ring, pipe(1, 0, 0), pipe(2, 5, 5)) == {
        "downpipe-1": pytest.approx(175.0),
        "downpipe-2": pytest.approx(125.0),
    }
    assert shared(ring, pipe(1, 0, 0))[""] == pytest.approx(125.0)


def test_parts_of_two_roofs_are_kept_apart() -> None:
    other = roof(box(20, 0, 30, 6), id="roof-2")
    found = parts(site_of(roof(), other, pipe(1, 0, 0), pipe(2, 30, 0)))
    assert {(part.roof, part.downpipe) for part in found} == {("roof-1", "downpipe-1"), ("roof-2", "downpipe-2")}


outlines = st.sampled_from(
    [
        box(0, 0, 10, 6),
        WINGS,
        box(0, 0, 20, 20) - box(5, 5, 15, 15),
        box(0, 4, 12, 8) | box(4, 0, 8, 12),
        Polygon([(0, 0), (10, 0), (10, 10), (6, 10), (6, 4), (4, 4), (4, 10), (0, 10)]),
        Polygon([(0, 0), (9, 1), (8, 7), (1, 6)]),
    ]
)


@given(
    outline=outlines,
    form=st.sampled_from(list(RoofForm)),
    fall_deg=st.floats(0, 360),
    stops=st.lists(st.floats(0, 0.999), max_size=4),
    runs=st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), max_size=3),
)
def test_the_parts_of_a_roof_are_its_plan(
    outline: Polygon,
    form: RoofForm,
    fall_deg: float,
    stops: list[float],
    runs: list[tuple[float, float]],
) -> None:
    """Whatever pipes and gutters there are: areas sum to the plan within 1e-9, and no spot has two owners."""
    ring = outline.exterior
    spots = [ring.interpolate(stop, normalized=True) for stop in stops]
    pipes = [pipe(number, spot.x, spot.y, roof="roof-1") for number, spot in enumerate(spots)]
    gutters = []
    for number, (start, end) in enumerate(runs):
        line = shapely.ops.substring(ring, start, end, normalized=True)
        if line.length > 0.01:
            gutters.append(gutter(number, *line.coords, roof="roof-1", downpipe=pipes[0].id if pipes else ""))
    found = parts(site_of(roof(outline, form=form, fall_deg=fall_deg), *pipes, *gutters))
    assert sum(part.area_m2 for part in found) == pytest.approx(outline.area, rel=1e-9)
    for part, other in combinations(found, 2):
        assert part.shape.intersection(other.shape).area < 1e-6
    for part in found:
        assert part.shape.area == pytest.approx(part.area_m2, rel=1e-6)
        assert part.shape.difference(outline.buffer(1e-6)).area < 1e-9
        assert sum(area for _, area in part.gutters) <= part.area_m2 * (1 + 1e-12)
        if form is not RoofForm.FLAT:
            assert outline.boundary.distance(shapely.Point(part.foot)) < 1e-6


def test_what_is_assumed_of_a_roof_is_said() -> None:
    no_gutter = parts(site_of(roof(), pipe(1, 0, 0)))
    assert {part.assumed for part in no_gutter} == {(Assumption.LEVEL_GUTTER,)}
    assert assumed_words(site_of(roof()), no_gutter) == (
        "No gutter is drawn on House; a level one all round is assumed.",
    )
    leaning = site_of(
        roof(form=RoofForm.MONO, name=""), pipe(1, 0, 0), gutter(1, (10, 0), (0, 0), downpipe="downpipe-1")
    )
    assert yields(leaning, 10.0).notices == (
        "Which way a roof falls is not given; it is taken to fall across its longest side.",
    )
    assert all(part.assumed == () for part in parts(site_of(roof())))


def test_real_houses_share_all_of_their_plan(bourgogne_outlines: list[Polygon]) -> None:
    rng = np.random.default_rng(3)
    for form in RoofForm:
        for outline in bourgogne_outlines:
            spots = [outline.exterior.interpolate(share, normalized=True) for share in rng.uniform(0, 1, 3)]
            found = parts(site_of(roof(outline, form=form), *(pipe(n, s.x, s.y) for n, s in enumerate(spots))))
            assert sum(part.area_m2 for part in found) == pytest.approx(outline.area, rel=1e-9)
            assert "" not in by_pipe(found)
