"""Litres of pipes, diverters and tanks, against published worked examples and by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Point, box

from gardenwater.catch import year_yields, yields
from gardenwater.catch.litres import MEAN_RAIN_MM
from gardenwater.catch.running import led_aside, on_part
from gardenwater.errors import InputError
from gardenwater.site.things import DiverterKind, FirstFlush, Roof, RoofForm
from gardenwater.tables import table
from tests.catch.made import diverter, gutter, pipe, roof, site_of, tank

SQUARE_FOOT_M2 = 0.3048**2
INCH_MM = 25.4
US_GALLON_L = 3.785411784


def runs_l(area_m2: float, rain_mm: float, filter_share: float, surface: str = "smooth") -> float:
    """Litres that run off a part, through the program's own form."""
    thing = roof(surface=surface, filter_share=filter_share)
    return on_part(thing, area_m2, rain_mm, filtered=True).runs_l


def coefficient(surface: str) -> float:
    return table("surfaces").row(surface).yield_coefficient


def test_a_millimetre_on_a_square_metre_is_a_litre() -> None:
    # R01: definition.
    assert on_part(roof(), 1.0, 1.0, filtered=True).fallen_l == 1.0


def test_an_inch_on_a_square_foot_is_0_6234_us_gallons() -> None:
    # R02: 7.48052 / 12, the Texas Manual on Rainwater Harvesting (3rd ed. 2005, ch. 4) prints 0.62.
    assert on_part(roof(), SQUARE_FOOT_M2, INCH_MM, filtered=True).fallen_l / US_GALLON_L == pytest.approx(
        0.6234, abs=5e-4
    )


@pytest.mark.parametrize(
    ("area_ft2", "rain_in", "expected_gal", "tolerance"),
    [
        # R03: worksheet, seen second-hand; 900 ft2, factor 0.623, 0.90, 1 in. The factor is rounded: 0.1 %.
        (900, 1, 504.63, 504.63e-3),
        # R04: published worked example, seen second-hand; 2,500 ft2, 36 in, 7.48 gal/ft3, 90 %. Rounded likewise.
        (2500, 36, 50_490, 50.49),
    ],
)
def test_published_yields_at_ninety_percent(
    area_ft2: float, rain_in: float, expected_gal: float, tolerance: float
) -> None:
    assert coefficient("smooth") == 0.9
    litres = runs_l(area_ft2 * SQUARE_FOOT_M2, rain_in * INCH_MM, filter_share=1.0)
    assert litres / US_GALLON_L == pytest.approx(expected_gal, abs=tolerance)


def test_the_australian_formula_is_the_same_form_with_its_loss_as_first_flush() -> None:
    # R05: enHealth, Guidance on use of rainwater tanks, app. B: 0.8 x (750 - 24 mm) x 200 m2 = 116,160 L. The loss of
    # 24 mm stands before the coefficient, so it is 0.8 x 24 x 200 = 3,840 L behind it.
    assert coefficient("tiles") == 0.8
    site = site_of(
        roof(box(0, 0, 20, 10), surface="tiles", filter_share=1.0),
        pipe(1, 0, 0),
        FirstFlush(id="ff", shape=Point(0, 0), keeps_l=2000.0),
        FirstFlush(id="ff-2", shape=Point(0, 0), keeps_l=1840.0),
    )
    found = yields(site, 750.0)
    assert found.pipes["downpipe-1"].runs_l == pytest.approx(116_160, abs=1)


def test_the_restated_intermediate_example_by_this_form() -> None:
    # R07: BS 8515:2009, restated: 5 % of 130 m2 x 0.8 x 0.9 x 1,125 mm = 5,265 L.
    assert 0.05 * runs_l(130, 1125, 0.9, "tiles") == pytest.approx(5265, abs=0.5)


@pytest.mark.parametrize(("gallons", "expected_mm"), [(1, 0.4075), (2, 0.815)])
def test_a_first_flush_in_gallons_for_a_hundred_square_feet_in_millimetres(gallons: float, expected_mm: float) -> None:
    # R12: Texas Manual 3rd ed. ch. 2: 1 to 2 gal for 100 ft2. A device of that size keeps that depth of a metal sheet
    # that yields all: fallen less runs, over the area.
    area_m2 = 100 * SQUARE_FOOT_M2
    device = FirstFlush(id="ff", shape=Point(0, 0), keeps_l=gallons * US_GALLON_L)
    side = math.sqrt(area_m2)
    site = site_of(roof(box(0, 0, side, side), filter_share=1.0), pipe(1, 0, 0), device)
    assert yields(site, 24.0).first_flush_l / area_m2 == pytest.approx(expected_mm, abs=0.001)


def test_litres_go_on_from_pipe_to_diverter_to_tank() -> None:
    # 60 m2 x 10 mm = 600 L; tiles 0.8: 480 L; filter 0.9: 432 L; first flush 20 L: 412 L; half led aside: 206 L.
    site = site_of(
        roof(surface="tiles", filter_share=0.9),
        pipe(1, 0, 0),
        FirstFlush(id="ff", shape=Point(0, 0), keeps_l=20.0),
        diverter(1, 0, 0, share=0.5),
        tank(1, -1, -1),
    )
    found = yields(site, 10.0, hours=6.0)
    water = found.pipes["downpipe-1"]
    assert (water.area_m2, water.fallen_l, water.stays_l, water.filter_l) == pytest.approx((60, 600, 120, 48))
    assert (water.first_flush_l, water.led_l, water.rest_l) == pytest.approx((20, 206, 206))
    assert found.diverters == pytest.approx({"diverter-1": 206})
    assert found.tanks == pytest.approx({"tank-1": 206})
    assert found.led_l == pytest.approx(206)


def test_a_rain_smaller_than_the_first_flush_yields_nothing() -> None:
    site = site_of(roof(), pipe(1, 0, 0), FirstFlush(id="ff", shape=Point(0, 0), keeps_l=100.0))
    water = yields(site, 1.0).pipes["downpipe-1"]
    assert water.runs_l == 0.0
    assert water.first_flush_l == pytest.approx(60 * 0.8 * 0.9)


def test_a_diverters_limit_takes_the_share_of_spread_intensities() -> None:
    # 432 L in 6 h: 1.2 L/min on average. A limit of 1.2 L/min takes 1 - 1/e of it (DESIGN section 5, Balance).
    site = site_of(roof(), pipe(1, 0, 0), diverter(1, 0, 0, most_l_min=1.2), tank(1, -1, -1))
    assert yields(site, 10.0, hours=6.0).led_l == pytest.approx(432 * (1 - math.exp(-1)))
    assert yields(site, 10.0, hours=0.1).led_l < 0.02 * 432
    assert yields(site, 10.0, hours=600.0).led_l == pytest.approx(432)


def test_a_whole_pipe_takes_all_whatever_its_limit() -> None:
    whole = diverter(1, 0, 0, most_l_min=1.0, share=0.3, form=DiverterKind.WHOLE_PIPE)
    assert yields(site_of(roof(), pipe(1, 0, 0), whole, tank(1, -1, -1)), 10.0).led_l == pytest.approx(432)


def test_what_passes_the_upper_diverter_comes_to_the_lower() -> None:
    upper, lower = diverter(1, 0, 0, height_m=2.0, share=0.25), diverter(2, 0, 0, height_m=1.0)
    assert led_aside(4.0, [upper, lower]) == pytest.approx({"diverter-1": 1.0, "diverter-2": 3.0})
    assert led_aside(4.0, [upper, lower], lambda d: d is lower) == {"diverter-1": 0.0, "diverter-2": pytest.approx(4.0)}
    assert led_aside(0.0, [upper, lower]) == {"diverter-1": 0.0, "diverter-2": 0.0}


def test_eaves_drip_without_a_filter_and_gutters_gather() -> None:
    front = gutter(1, (10, 0), (0, 0), downpipe="downpipe-1")
    found = yields(site_of(roof(surface="tiles", filter_share=0.5), pipe(1, 0, 0), front), 10.0)
    assert found.gutters == pytest.approx({"gutter-1": 300 * 0.8 * 0.5})
    assert found.eaves == pytest.approx({"roof-1": 300 * 0.8})
    assert found.rest_l == pytest.approx(120)


def test_a_year_is_many_rains() -> None:
    # 30 L first flush on 432 L of 10 mm: as much as 30 / 43.2 mm of rain bring. Rains of 8 mm on average.
    things = (
        roof(),
        pipe(1, 0, 0),
        FirstFlush(id="ff", shape=Point(0, 0), keeps_l=30.0),
        diverter(1, 0, 0),
        tank(1, -1, -1),
    )
    found = year_yields(site_of(*things, rain_year_mm=650.0, wet_day_mm=24.0, wet_day_h=6.0))
    assert found is not None
    running = 650 * 43.2
    assert found.first_flush_l == pytest.approx(running * (1 - math.exp(-30 / 43.2 / MEAN_RAIN_MM)))
    assert found.led_l == pytest.approx(running - found.first_flush_l, rel=1e-6)
    assert found.hours == pytest.approx(650 / 4.0)
    assert len(found.notices) == 3
    assert year_yields(site_of(*things)) is None
    dry = year_yields(site_of(*things, rain_year_mm=0.0))
    assert dry is not None
    assert dry.led_l == 0.0


@pytest.mark.parametrize(("rain_mm", "hours"), [(-1.0, 6.0), (24.0, 0.0), (math.nan, 6.0)])
def test_rain_that_is_none_is_refused(rain_mm: float, hours: float) -> None:
    with pytest.raises(InputError, match="depth and a duration"):
        yields(site_of(roof()), rain_mm, hours=hours)


@given(
    rain_mm=st.floats(0, 200),
    hours=st.floats(0.1, 48),
    filter_share=st.floats(0, 1),
    keeps_l=st.floats(0, 500),
    share=st.floats(0, 1),
    most_l_min=st.floats(1, 100),
    form=st.sampled_from(list(DiverterKind)),
    drawn=st.booleans(),
)
def test_every_litre_of_a_rain_is_accounted_for(
    rain_mm: float,
    hours: float,
    filter_share: float,
    keeps_l: float,
    share: float,
    most_l_min: float,
    form: DiverterKind,
    drawn: bool,
) -> None:
    things = [
        Roof(id="roof-1", shape=box(0, 0, 10, 6), form=RoofForm.HIP, filter_share=filter_share),
        pipe(1, 0, 0),
        pipe(2, 10, 0),
        FirstFlush(id="ff", shape=Point(0, 0), keeps_l=keeps_l),
        diverter(1, 0, 0, share=share, most_l_min=most_l_min, form=form),
        tank(1, -1, -1),
    ]
    if drawn:
        things.append(gutter(1, (10, 0), (0, 0), downpipe="downpipe-1"))
    found = yields(site_of(*things), rain_mm, hours=hours)
    assert found.fallen_l == pytest.approx(60 * rain_mm)
    assert abs(found.residual_l) <= 1e-9 * max(found.fallen_l, 1.0)
    for water in found.pipes.values():
        assert min(water.stays_l, water.filter_l, water.first_flush_l, water.led_l) >= 0
        assert water.rest_l >= -1e-9
