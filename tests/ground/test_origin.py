"""The ground of a site: from whatever there is, with words for where it is from and how good it is."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import LineString, Point, box

from gardenwater.errors import Cancelled, InputError
from gardenwater.ground import Ground, GroundOrigin, contours, ground_of, level_at, levels_at, relief
from gardenwater.ground.grid import MOST_CELLS, grid_over
from gardenwater.site.model import Contour, GroundHandle, GroundKind, Settings, Sight, Site, Survey, Underlay
from gardenwater.site.things import Bed, LevelPeg, SlopeArrow
from gardenwater.units import UnitSystem

GAP = "\u00a0"


def handle(ground: Ground, kind: GroundKind = GroundKind.BARE_EARTH, **more: float) -> GroundHandle:
    rows, cols = ground.shape
    return GroundHandle(
        digest=ground.digest,
        source="slope.tif",
        kind=kind,
        rows=rows,
        cols=cols,
        transform=tuple(ground.transform)[:6],
        crs=ground.crs,
        notices=("Thinned 2 times.",),
        payload=ground,
        **more,
    )


def peg(number: int, x: float, y: float, level_m: float) -> LevelPeg:
    return LevelPeg(id=f"level_peg-{number}", shape=Point(x, y), level_m=level_m)


def pegs_on(ground: Ground, count: int, seed: int = 1) -> tuple[LevelPeg, ...]:
    west, south, east, north = ground.bounds
    rng = np.random.default_rng(seed)
    x, y = rng.uniform(west, east, count), rng.uniform(south, north, count)
    levels = levels_at(ground, x, y)
    return tuple(peg(n, *spot) for n, spot in enumerate(zip(x, y, levels, strict=True)) if not np.isnan(spot[2]))


def test_an_empty_site_is_flat_at_the_settings_level() -> None:
    answer = ground_of(Site())
    assert answer.origin is GroundOrigin.FLAT
    assert answer.ground.bounds == (0.0, 0.0, 60.0, 40.0)
    assert relief(answer.ground) == (100.0, 100.0)
    assert answer.notices == (
        f"No levels yet: the ground is taken as flat at 100.00{GAP}m. Add three level pegs or a raster.",
    )
    assert answer.uncertainty_m is None
    assert answer.hull is None


def test_flat_ground_goes_five_metres_beyond_the_things_in_whole_tens() -> None:
    bed = Bed(id="bed-1", shape=box(512, 208, 603, 237))
    answer = ground_of(Site(things=(bed,), settings=Settings(flat_level_m=12.0), crs="EPSG:28356"))
    assert answer.ground.bounds == (500.0, 200.0, 610.0, 250.0)
    assert answer.ground.crs == "EPSG:28356"
    nudged = ground_of(
        Site(
            things=(Bed(id="bed-1", shape=box(511.9, 208, 602.9, 237)),),
            settings=Settings(flat_level_m=12.0),
            crs="EPSG:28356",
        )
    )
    assert nudged.ground.digest == answer.ground.digest


def test_flat_ground_covers_the_underlay() -> None:
    picture = Underlay(digest="", source="", rows=100, cols=300, transform=(0.5, 0, -20, 0, -0.5, 90), payload=None)
    west, south, east, north = ground_of(Site(underlay=picture)).ground.bounds
    assert (west, south) <= (-25, 35)
    assert (east, north) >= (135, 95)


def test_a_raster_is_taken_as_it_is_with_its_notices(nsw: Ground) -> None:
    answer = ground_of(Site(ground=handle(nsw, shift_m=0.12, tilt_east=0.001), things=(peg(1, 0, 0, 5.0),)))
    assert answer.ground is nsw
    assert answer.origin is GroundOrigin.RASTER
    assert answer.level_error_m == Settings().ground_error_m
    assert answer.notices == (
        "Levels are from slope.tif.",
        "Thinned 2 times.",
        f"It was shifted by 0.12{GAP}m and tilted to fit the level pegs.",
    )


def test_a_surface_raster_says_that_roofs_read_as_ground(nsw: Ground) -> None:
    words = " ".join(ground_of(Site(ground=handle(nsw, GroundKind.SURFACE))).notices)
    assert "roofs and trees as ground" in words
    unknown = " ".join(ground_of(Site(ground=handle(nsw, GroundKind.UNKNOWN))).notices)
    assert "not said whether this raster is of the bare earth" in unknown


def test_a_handle_without_its_ground_is_refused(nsw: Ground) -> None:
    empty = GroundHandle(
        digest="",
        source="",
        kind=GroundKind.UNKNOWN,
        rows=1,
        cols=1,
        transform=(1, 0, 0, 0, -1, 0),
        crs="",
        payload=None,
    )
    with pytest.raises(InputError, match="no levels"):
        ground_of(Site(ground=empty))


def test_pegs_give_the_ground_inside_their_hull_and_a_margin(bourgogne: Ground) -> None:
    answer = ground_of(Site(things=pegs_on(bourgogne, 41), crs=bourgogne.crs))
    assert answer.origin is GroundOrigin.PEGS
    assert answer.spots == len(pegs_on(bourgogne, 41))
    assert answer.uncertainty_m is not None
    assert answer.hull is not None
    assert not answer.uncertainty_m.flags.writeable
    assert np.array_equal(np.isnan(answer.uncertainty_m), np.isnan(answer.ground.level_m))
    edge = answer.hull.exterior.coords[0]
    assert not np.isnan(level_at(answer.ground, *edge[:2]))
    west, south, east, north = answer.hull.bounds
    margins = np.array(answer.ground.bounds) - [west, south, east, north]
    assert np.abs(margins).min() >= 2
    assert np.abs(margins).max() <= 10.3
    x, y = np.meshgrid(np.linspace(west, east, 60), np.linspace(south, north, 60))
    misses = levels_at(answer.ground, x, y) - levels_at(bourgogne, x, y)
    assert np.nanstd(misses) < 0.3
    assert answer.notices[0].startswith(f"Levels are from {answer.spots} pegs, good to 0.")


def test_levels_of_the_book_come_before_the_pegs_own() -> None:
    things = (peg(1, 0, 0, 100.0), peg(2, 20, 0, 5.0), peg(3, 0, 20, 100.0), peg(4, 20, 20, 100.0))
    book = (
        Sight(spot="1", peg="level_peg-1", back_m=1.0, known_level_m=100.0),
        Sight(spot="2", peg="level_peg-2", fore_m=0.5, back_m=1.0),
        Sight(spot="1", fore_m=1.5),
    )
    answer = ground_of(Site(things=things, survey=Survey(level_book=book)))
    assert level_at(answer.ground, 20, 0) == pytest.approx(100.5, abs=0.03)
    assert any(notice.startswith("Level book: misclosure 0") for notice in answer.notices)


def test_a_book_that_cannot_be_reduced_is_left_out_with_the_reason() -> None:
    things = (peg(1, 0, 0, 100.0), peg(2, 20, 0, 101.0))
    answer = ground_of(Site(things=things, survey=Survey(level_book=(Sight(spot="x", between_m=1.0),))))
    assert level_at(answer.ground, 20, 0) == pytest.approx(101.0, abs=0.01)
    assert any("row 1 (x)" in notice for notice in answer.notices)


def test_one_peg_and_one_arrow_are_a_tilted_plane_over_the_things() -> None:
    arrow = SlopeArrow(id="a", shape=LineString([(0, 0), (20, 0)]), one_in=40)
    answer = ground_of(Site(things=(peg(1, 0, 0, 100.0), arrow, Bed(id="b", shape=box(30, 0, 40, 5)))))
    assert level_at(answer.ground, 40, 3) == pytest.approx(99.0, abs=0.03)
    assert "1 peg and 1 slope arrow" in answer.notices[0]
    assert not np.isnan(answer.ground.level_m).any()


def test_arrows_alone_say_that_no_level_is_known() -> None:
    answer = ground_of(Site(things=(SlopeArrow(id="a", shape=LineString([(0, 0), (0, -30)]), one_in=30),)))
    assert answer.origin is GroundOrigin.ARROWS
    assert level_at(answer.ground, 0, 0) - level_at(answer.ground, 0, -30) == pytest.approx(1.0, abs=0.02)
    assert any("No level is known" in notice for notice in answer.notices)


@pytest.mark.parametrize("step_m", [2.0, 0.25])
def test_traced_contours_give_the_ground_back(nsw: Ground, step_m: float) -> None:
    """Few contours by thin plate, many straight: the true ground within the contour step in both cases."""
    traced = tuple(
        Contour(line.shape.simplify(0.5), line.level_m) for line in contours(nsw, step_m, least_length_m=15.0)
    )
    answer = ground_of(Site(crs=nsw.crs, survey=Survey(contours=traced), settings=Settings(cell_m=1.0)))
    assert answer.origin is GroundOrigin.CONTOURS
    west, south, east, north = nsw.bounds
    x, y = np.meshgrid(np.linspace(west + 20, east - 20, 80), np.linspace(south + 20, north - 20, 80))
    misses = levels_at(answer.ground, x, y) - levels_at(nsw, x, y)
    assert np.isnan(misses).mean() < 0.1
    assert np.nanstd(misses) < step_m / 4
    assert f"{len(traced)} contours" in answer.notices[0]


def test_pegs_and_contours_count_together() -> None:
    lines = tuple(Contour(LineString([(0, y), (40, y)]), 100 + y / 10) for y in (0.0, 10.0, 20.0))
    answer = ground_of(Site(things=(peg(1, 20, 40, 104.0),), survey=Survey(contours=lines)))
    assert answer.origin is GroundOrigin.MIXED
    assert level_at(answer.ground, 20, 35) == pytest.approx(103.5, abs=0.1)


def test_notices_are_in_the_units_of_the_sites_people() -> None:
    answer = ground_of(Site(settings=Settings(units=UnitSystem.US)))
    assert f"flat at 328.08{GAP}ft" in answer.notices[0]


def test_cells_are_made_wider_before_they_are_more_than_four_million() -> None:
    grid = grid_over((0, 0, 2000, 1000), 0.25)
    assert grid.shape[0] * grid.shape[1] <= MOST_CELLS
    assert grid.cell_m == 0.75  # 0.5 m would be 8 million
    site = Site(things=(Bed(id="a", shape=box(0, 0, 1, 1)), Bed(id="b", shape=box(1990, 990, 1991, 991))))
    assert any("0.75" in notice and "4 million" in notice for notice in ground_of(site).notices)


def test_laying_can_be_cancelled_and_says_how_far_it_is(bourgogne: Ground) -> None:
    site = Site(things=pegs_on(bourgogne, 30))
    said: list[float] = []
    ground_of(site, progress=lambda share, words: said.append(share))
    assert said
    assert all(0 <= share <= 1 for share in said)
    with pytest.raises(Cancelled):
        ground_of(site, cancel=lambda: True)


@pytest.mark.parametrize(
    ("lost", "told"),
    [
        (("gone",), "The level book names a peg that is not on the plan."),
        (("gone", "lost"), "The level book names 2 pegs that are not on the plan."),
    ],
)
def test_pegs_of_the_book_that_are_not_on_the_plan_are_counted(lost: tuple[str, ...], told: str) -> None:
    begin = Sight(spot="doorstep", back_m=1.2, known_level_m=100.0)
    book = (begin, *(Sight(spot=peg, between_m=1.0, peg=peg) for peg in lost))
    site = Site(things=(LevelPeg(id="a", shape=Point(0, 0)),), survey=Survey(level_book=book))
    assert told in ground_of(site).notices
