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
