"""Whether gutters and downpipes carry the design rain (EN 12056-3). Local code and a licensed practitioner decide."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from gardenwater.catch.leads import Wiring, wiring
from gardenwater.catch.sharing import RoofPart, parts
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Gutter, GutterProfile, Roof, RoofForm

DESIGN_RAIN_L_S_M2 = 0.021
"""About 75 mm/h: Approved Document H (England) 2015, H3 (read second-hand)."""

FILLING_SHARE = 0.33
"""Share of its section that a downpipe may fill: EN 12056-3:2000 table 8 (read second-hand)."""

_ROUGHNESS_MM = 0.25
_DESIGN_SHARE = 0.9
_BOX_DEPTH = 0.6


@dataclass(frozen=True, slots=True)
class Capacity:
    """What a pipe or gutter gets in the design rain and what it carries, L/s, and the effective roof area, m2."""

    sends_l_s: float
    carries_l_s: float
    effective_m2: float

    @property
    def enough(self) -> bool:
        """Whether it carries what it gets."""
        return self.sends_l_s <= self.carries_l_s


def effective_area_m2(area_m2: float, pitch_deg: float) -> float:
    """The area that rain driven by wind (2 down to 1 across) falls on: plan area x (1 + half the tangent of the pitch).

    EN 12056-3:2000 (read second-hand), Approved Document H table 1 (1.29 at 30 degrees; from memory). For capacity
    only: yield is by plan area.
    """
    return area_m2 * (1 + 0.5 * math.tan(math.radians(pitch_deg)))


def gutter_carries_l_s(width_mm: float, profile: GutterProfile) -> float:
    """What a level eaves gutter carries with free outlet, L/s: 0.9 of its nominal capacity (EN 12056-3:2000 clause 5).

    Half round: 2.78e-5 A^1.25, A half the circle in mm2. Box: 3.48e-5 A^1.25, taken as 0.6 as deep as wide (common
    practice, no source). Long gutters (over 50 times their depth), angles and strainers carry less.
    """
    if profile is GutterProfile.HALF_ROUND:
        return float(_DESIGN_SHARE * 2.78e-5 * (math.pi * width_mm**2 / 8) ** 1.25)
    return float(_DESIGN_SHARE * 3.48e-5 * (_BOX_DEPTH * width_mm**2) ** 1.25)


def pipe_carries_l_s(bore_mm: float, *, filling: float = FILLING_SHARE) -> float:
    """What a downpipe carries, L/s: Wyly-Eaton, 2.5e-4 kb^-0.167 d^2.667 f^1.667 (EN 12056-3:2000 table 8)."""
    return float(2.5e-4 * _ROUGHNESS_MM**-0.167 * bore_mm**2.667 * filling**1.667)


@dataclass(frozen=True, slots=True)
class Capacities:
    """By id: of the downpipes that drain a roof, and of the drawn gutters that gather water."""

    pipes: Mapping[str, Capacity]
    gutters: Mapping[str, Capacity]


def capacities(
    site: Site, *, wires: Wiring | None = None, roof_parts: tuple[RoofPart, ...] | None = None
) -> Capacities:
    """What each downpipe and gutter gets in the design rain of 75 mm/h, and what it carries."""
    wires = wires or wiring(site)
    roof_parts = parts(site, wires=wires) if roof_parts is None else roof_parts
    to_pipe: dict[str, float] = defaultdict(float)
    to_gutter: dict[str, float] = defaultdict(float)
    for part in roof_parts:
        roof = site.thing(part.roof, Roof)
        pitch_deg = 0.0 if roof.form is RoofForm.FLAT else roof.pitch_deg
        if part.downpipe:
            to_pipe[part.downpipe] += effective_area_m2(part.area_m2, pitch_deg)
        for gutter, area_m2 in part.gutters:
            to_gutter[gutter] += effective_area_m2(area_m2, pitch_deg)
    pipes = {
        pipe: _capacity(area_m2, pipe_carries_l_s(site.thing(pipe, Downpipe).bore_mm))
        for pipe, area_m2 in to_pipe.items()
    }
    gutters = {gutter: _capacity(area_m2, _carries(site, gutter)) for gutter, area_m2 in to_gutter.items()}
    return Capacities(MappingProxyType(pipes), MappingProxyType(gutters))


def _carries(site: Site, gutter: str) -> float:
    thing = site.thing(gutter, Gutter)
    return gutter_carries_l_s(thing.width_mm, thing.profile)


def _capacity(effective_m2: float, carries_l_s: float) -> Capacity:
    return Capacity(effective_m2 * DESIGN_RAIN_L_S_M2, carries_l_s, effective_m2)
