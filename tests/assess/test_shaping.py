"""Banks, walls and takers as the engines see them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, box

from gardenwater.assess.shaping import banks_of, buildings_of, walls_of, with_banks, with_works, works_of
from gardenwater.assess.takers import takers_of
from gardenwater.ground import Ground
from gardenwater.site import things as t
from gardenwater.site.model import Site

FLAT = Ground(np.full((40, 40), 100.0), Affine(0.25, 0, 0, 0, -0.25, 10))


def bank(height_m: float = 0.4, width_m: float = 2.0, y_m: float = 5.125) -> t.Bank:
    return t.Bank(id=f"bank-{y_m}", shape=LineString([(2, y_m), (8, y_m)]), height_m=height_m, width_m=width_m)


def test_a_bank_is_highest_at_its_crest_and_nothing_at_its_foot() -> None:
    raised = with_banks(FLAT, banks_of(Site(things=(bank(),)))).level_m - 100.0
    across = raised[:, 20]  # crest on the centres of row 19
    assert across[19] == pytest.approx(0.4, abs=1e-5)
    assert across[[17, 21]] == pytest.approx(0.2, abs=1e-5)  # half way down, half a metre off
    assert across[[15, 23]] == pytest.approx(0.0, abs=1e-5)
    assert across[:15].max() == across[24:].max() == 0.0
    assert raised[19, :4].max() == 0.0  # a metre beyond its end


def test_a_thin_bank_does_not_leak() -> None:
    thin = t.Bank(id="bank-1", shape=LineString([(2, 2.03), (8, 7.91)]), height_m=0.3, width_m=0.2)
    raised = with_banks(FLAT, banks_of(Site(things=(thin,)))).level_m > 100.25
    from scipy.ndimage import label

    below_and_above, count = label(~raised[9:31, 9:31], structure=np.ones((3, 3)))
    assert count == 2
    assert below_and_above[0, 0] != below_and_above[-1, -1]


def test_of_two_banks_the_higher_counts() -> None:
    both = with_banks(FLAT, banks_of(Site(things=(bank(0.4), bank(0.6, y_m=5.375)))))
    assert float(both.level_m.max()) == pytest.approx(100.6, abs=1e-5)
    order = with_banks(FLAT, banks_of(Site(things=(bank(0.6, y_m=5.375), bank(0.4)))))
    assert both.digest == order.digest


def test_without_banks_the_ground_is_the_same_object() -> None:
    assert with_banks(FLAT, ()) is FLAT
    far = t.Bank(id="bank-1", shape=LineString([(500, 500), (510, 500)]))
    assert with_banks(FLAT, banks_of(Site(things=(far,)))) is FLAT


def test_no_data_stays_no_data() -> None:
    levels = np.full((40, 40), 100.0)
    levels[19, 18:22] = np.nan
    raised = with_banks(Ground(levels, FLAT.transform), banks_of(Site(things=(bank(),))))
    assert np.isnan(raised.level_m[19, 18:22]).all()
    assert np.isnan(raised.level_m).sum() == 4


def test_buildings_and_walls() -> None:
    house = t.Building(id="building-1", shape=box(1, 1, 3, 3))
    wall = t.Wall(id="wall-1", shape=LineString([(5, 5), (5, 9)]), thickness_m=0.4, height_m=1.5)
    site = Site(things=(house, wall))
    assert buildings_of(site) == (house.shape,)
    ((outline, height_m),) = walls_of(site)
    assert (outline.bounds, height_m) == ((4.8, 5.0, 5.2, 9.0), 1.5)


def test_takers_with_their_room_and_what_they_soak(make_site: Callable[..., Site]) -> None:
    things = (
        t.Pond(id="pond-1", shape=box(0, 0, 4, 5), freeboard_m=0.1, lined=True),
        t.Pond(id="pond-2", shape=box(10, 0, 14, 5), freeboard_m=0.1, lined=False),
        t.Soakaway(id="soakaway-1", shape=box(20, 0, 22, 1), depth_m=1.2, void_share=0.3, soak_mm_h=100.0),
        t.Soakaway(id="soakaway-2", shape=box(25, 0, 27, 1), depth_m=1.2, void_share=0.3),
        t.Swale(id="swale-1", shape=LineString([(0, 10), (10, 10)]), width_m=0.9, depth_m=0.2),
        t.Ditch(id="ditch-1", shape=LineString([(0, 20), (10, 20)]), width_m=0.6),
    )
    site = make_site(*things, soil="loam")
    assert site.ground is not None
    pond, unlined, measured, soakaway, swale, ditch = takers_of(site, site.ground.payload)
    assert [each.owner for each in (pond, unlined, soakaway)] == ["pond-1", "pond-2", "soakaway-2"]
    assert (pond.room_m3, pond.soak_m3_h) == (pytest.approx(2.0), 0.0)
    assert unlined.soak_m3_h == pytest.approx(20 * 0.014 / 24)  # a pond on loam seeps 14 mm a day
    # 2 m2 x 1.2 m x 0.3; sides of 6 m x 1.2 m to half their depth
    assert (measured.room_m3, measured.soak_m3_h) == (pytest.approx(0.72), pytest.approx(3.6 * 0.1))
    assert soakaway.soak_m3_h == pytest.approx(3.6 * 0.015)
    assert (swale.room_m3, swale.soak_m3_h) == (pytest.approx(1.2), pytest.approx(9 * 0.015))
    assert swale.shape.bounds == pytest.approx((0, 9.55, 10, 10.45))
    assert (ditch.room_m3, ditch.soak_m3_h) == (0.0, pytest.approx(6 * 0.015))


@pytest.mark.parametrize("ends", [[(5, 25), (6, 5)], [(6, 5), (5, 25)]])
def test_a_ditch_spills_at_its_low_end(
    make_site: Callable[..., Site], slope_of: Callable[..., Ground], ends: list[tuple[float, float]]
) -> None:
    site = make_site(t.Ditch(id="ditch-1", shape=LineString(ends)), ground=slope_of(fall=0.05))
    assert site.ground is not None
    (ditch,) = takers_of(site, site.ground.payload)
    assert ditch.spills_at == (6.0, 5.0)  # the ground falls to the south


def worked(ground: Ground, *works: t.Earthwork) -> np.ndarray:
    return with_works(ground, works_of(Site(things=works))).level_m


def test_earthworks_cut_level_and_fill() -> None:
    slope = Ground(np.linspace(100.0, 96.1, 40)[:, np.newaxis].repeat(40, axis=1), Affine(0.25, 0, 0, 0, -0.25, 10))
    spot = box(2, 4, 5, 7)  # rows 12 to 23, columns 8 to 19
    cut = worked(slope, t.Earthwork(id="e", shape=spot, form=t.EarthworkForm.CUT, depth_m=0.4))
    np.testing.assert_allclose(cut[12:24, 8:20], slope.level_m[12:24, 8:20] - 0.4, atol=1e-5)
    assert cut[11, 8] == slope.level_m[11, 8]
    terrace = worked(slope, t.Earthwork(id="e", shape=spot, form=t.EarthworkForm.TERRACE))
    assert np.ptp(terrace[12:24, 8:20]) == 0.0
    # what is dug fills the rest
    assert float(terrace.sum(dtype=np.float64)) == pytest.approx(float(slope.level_m.sum(dtype=np.float64)), abs=0.01)
    given = worked(slope, t.Earthwork(id="e", shape=spot, form=t.EarthworkForm.TERRACE, level_m=98.25))
    assert (given[12:24, 8:20] == np.float32(98.25)).all()


def test_a_filled_hollow_is_raised_to_its_lowest_rim_and_later_works_go_on_from_it() -> None:
    levels = np.full((40, 40), 100.0)
    levels[15:20, 15:20] = 99.2
    levels[17, 14] = 99.9  # the lowest of the rim
    pit = Ground(levels, Affine(0.25, 0, 0, 0, -0.25, 10))
    fill = t.Earthwork(id="f", shape=box(3.75, 5.0, 5.0, 6.25), form=t.EarthworkForm.FILLED)
    filled = worked(pit, fill)
    np.testing.assert_allclose(filled[15:20, 15:20], 99.9, atol=1e-5)
    assert filled[17, 14] == np.float32(99.9)
    cut = t.Earthwork(id="c", shape=fill.shape, form=t.EarthworkForm.CUT, depth_m=0.1)
    np.testing.assert_allclose(worked(pit, fill, cut)[15:20, 15:20], 99.8, atol=1e-5)
    raised = t.Earthwork(id="f", shape=fill.shape, form=t.EarthworkForm.FILLED, level_m=99.5)
    np.testing.assert_allclose(worked(pit, raised)[15:20, 15:20], 99.5, atol=1e-5)


def test_earth_that_is_smaller_than_a_cell_is_still_worked_and_off_the_ground_nothing_is() -> None:
    small = t.Earthwork(id="e", shape=box(5.01, 5.01, 5.05, 5.05), form=t.EarthworkForm.CUT, depth_m=0.4)
    assert (worked(FLAT, small) < 100.0).sum() == 1
    off = t.Earthwork(id="e", shape=box(500, 5, 510, 9), form=t.EarthworkForm.CUT, depth_m=0.4)
    assert with_works(FLAT, works_of(Site(things=(off,)))) is FLAT


def test_more_takers(make_site: Callable[..., Site], slope_of: Callable[..., Ground]) -> None:
    things = (
        t.RainGarden(id="rain_garden-1", shape=box(0, 0, 4, 2), depth_m=0.15, soil_depth_m=0.4, void_share=0.2),
        t.Soakaway(
            id="soakaway-1",
            shape=box(20, 0, 22, 1),
            pit_length_m=1.0,
            pit_width_m=0.75,
            pit_depth_m=1.0,
            pit_fall_min=56.0,
            soak_mm_h=5.0,
        ),
        t.Pond(id="pond-1", shape=box(10, 0, 14, 5), seeps_mm_day=24.0),
        t.Overflow(id="overflow-1", shape=LineString([(12, 0), (12, 9)]), from_taker="pond-1"),
        t.Swale(id="swale-1", shape=LineString([(5, 20), (25, 20)])),
        t.Swale(id="swale-2", shape=LineString([(30, 20), (30, 10)]), depth_m=0.2),
    )
    site = make_site(*things, ground=slope_of(fall=0.05), soil="loam", wet_soak_share=0.4)
    assert site.ground is not None
    garden, soakaway, pond, level, down = takers_of(site, site.ground.payload)
    assert garden.room_m3 == pytest.approx(8 * (0.15 + 0.4 * 0.2))
    assert garden.soak_m3_h == pytest.approx(8 * 0.015 * 0.4)  # on wet soil
    # the trial pit goes before what is written: checks row I01, 4.461e-5 m/s; sides 6 m x 1 m to half their depth
    assert soakaway.soak_m3_h == pytest.approx(3.0 * 4.461e-5 * 3600, rel=1e-3)
    assert pond.soak_m3_h == pytest.approx(20 * 0.001)
    assert pond.spills_at == (12.0, 9.0)
    assert level.room_m3 == pytest.approx(2 / 3 * 0.9 * 0.2 * 20)
    # along the fall only its lowest 4 m hold water: depth 0.2 to 0, a parabola's d^1.5: 4 m x 0.4 of the full section
    assert down.room_m3 == pytest.approx(2 / 3 * 0.9 * 0.2 * 4 * 0.4, rel=0.02)
