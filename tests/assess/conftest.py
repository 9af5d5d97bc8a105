"""Small sites made by hand, on grounds whose levels are known."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from affine import Affine

import gardenwater as gw
from gardenwater.ground import Ground
from gardenwater.site import edits
from gardenwater.site.model import GroundKind, Site
from gardenwater.site.things import Thing

MakeSite = Callable[..., Site]


def slope(*, rows: int = 60, cols: int = 80, cell_m: float = 0.5, level_m: float = 100.0, fall: float = 0.02) -> Ground:
    """An even fall to the south: level at the northern edge, and metres of fall for each metre."""
    down = (np.arange(rows, dtype=np.float64) + 0.5) * cell_m * fall
    levels = np.broadcast_to((level_m - down)[:, None], (rows, cols))
    return Ground(levels, Affine(cell_m, 0.0, 0.0, 0.0, -cell_m, rows * cell_m))


@pytest.fixture
def slope_of() -> Callable[..., Ground]:
    """Grounds that fall evenly to the south."""
    return slope


@pytest.fixture
def make_site() -> MakeSite:
    """A site of these things on a ground (flat at 100 m, 40 x 30 m, unless given), with place and rain known."""

    def make(*things: Thing, ground: Ground | None = None, **settings: Any) -> Site:
        known = {"latitude_deg": 51.0, "altitude_m": 100.0, "rain_year_mm": 600.0, **settings}
        site = gw.new_site(name="Test garden", ground=ground or slope(fall=0.0), **known)
        assert site.ground is not None
        handle = dataclasses.replace(site.ground, kind=GroundKind.BARE_EARTH)
        return edits.put(site.replace(ground=handle), *things)

    return make


@pytest.fixture
def garden(make_site: MakeSite) -> Site:
    """A garden on an even slope of 1 in 20: a house at the top with two pipes, two tanks, two beds, a path, a pond.

    x from 0 to 40 m, y from 0 to 30 m; the northern edge is at 100 m.
    """
    return make_site(*_garden_things(), ground=slope(fall=0.05))


def _garden_things() -> list[Thing]:
    from shapely import LineString, Point, box

    from gardenwater.site import things as t

    return [
        t.Building(id="building-1", name="House", shape=box(10.4, 22.4, 19.6, 27.6)),
        t.Roof(id="roof-1", name="House roof", shape=box(10, 22, 20, 28), eaves_height_m=2.5),
        t.Downpipe(id="downpipe-1", name="West pipe", shape=Point(10, 22), roof="roof-1"),
        t.Downpipe(id="downpipe-2", name="East pipe", shape=Point(20, 22), roof="roof-1"),
        t.Diverter(id="diverter-1", name="Diverter", shape=Point(9.8, 22), downpipe="downpipe-1", tank="tank-1"),
        t.Tank(id="tank-1", name="Upper tank", shape=Point(8, 21), water_l=900.0),
        t.Tank(id="tank-2", name="Lower tank", shape=Point(30, 12), water_l=1400.0),
        t.Overflow(id="overflow-1", name="Overflow", shape=LineString([(8, 20.4), (8, 19)]), tank="tank-1"),
        t.Bed(id="bed-1", name="Beans", shape=box(12, 8, 18, 12)),
        t.Bed(id="bed-2", name="Herbs", shape=box(24, 16, 28, 18)),
        t.Path(id="path-1", name="Path", shape=LineString([(0, 4), (40, 4)])),
        t.Pond(id="pond-1", name="Pond", shape=box(32, 0, 38, 3), lined=True),
        t.WateringLine(
            id="watering_line-1", name="Line", shape=LineString([(30, 11), (24, 10)]), tank="tank-2", bore="hose-13"
        ),
    ]
