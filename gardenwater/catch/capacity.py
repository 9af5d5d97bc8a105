"""Whether gutters, their outlets and downpipes carry the design rain (EN 12056-3).

Local code and a licensed practitioner decide.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
import shapely

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
ANGLE_SHARE, ANGLE_DEG = 0.85, 10.0
"""What a gutter carries that turns by more than 10 degrees on its way: EN 12056-3:2000 clause 5 (read second-hand)."""
LENGTH_FACTORS = (
    (50.0, 1.0), (100.0, 0.93), (150.0, 0.86), (200.0, 0.80),
    (250.0, 0.77), (300.0, 0.73), (400.0, 0.67), (500.0, 0.60),
)  # fmt: skip
"""Length over depth of a level gutter, and the share that it carries: EN 12056-3:2000 table 6 (read second-hand)."""
HEAD_SHARE = 0.47
"""Depth of the water at the outlet, over that of the gutter: EN 12056-3:2000, a level gutter (from memory)."""
STRAINER_SHARE = 0.5
"""What a strainer leaves of an outlet: EN 12056-3:2000 table 7 and clause 7.3.3 (read second-hand)."""


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


def gutter_depth_mm(width_mm: float, profile: GutterProfile) -> float:
    """Depth of a gutter's section: half its width when it is half round, else taken as 0.6 of it (common practice)."""
    return width_mm * (0.5 if profile is GutterProfile.HALF_ROUND else _BOX_DEPTH)


def gutter_carries_l_s(width_mm: float, profile: GutterProfile, *, length_m: float = 0.0, turns: bool = False) -> float:
    """What a level eaves gutter carries with free outlet, L/s: 0.9 of its nominal capacity (EN 12056-3:2000 clause 5).

    Half round: 2.78e-5 A^1.25, A half the circle in mm2. Box: 3.48e-5 A^1.25, taken as 0.6 as deep as wide (common
    practice, no source). length_m: one over 50 times its depth carries less (`LENGTH_FACTORS`, straight between).
    turns: it has an angle of more than 10 degrees. A fall up to 3 mm/m counts as level; more is not counted either.
    """
    half_round = profile is GutterProfile.HALF_ROUND
    area_mm2 = (math.pi / 8 if half_round else _BOX_DEPTH) * width_mm**2
    level_l_s: float = (2.78e-5 if half_round else 3.48e-5) * area_mm2**1.25
    long = 1000.0 * length_m / gutter_depth_mm(width_mm, profile)
    lengths, shares = zip(*LENGTH_FACTORS, strict=True)
    by_length = float(np.interp(long, lengths, shares))
    return _DESIGN_SHARE * level_l_s * by_length * (ANGLE_SHARE if turns else 1.0)


def outlet_carries_l_s(outlet_mm: float, head_mm: float, *, strainer: bool = False) -> float:
    """What a round outlet in the sole of a gutter passes, L/s, under so much water (EN 12056-3:2000 table 7).

    As a weir up to half its bore of water, D h^1.5 / 7500; as an orifice above, D^2 h^0.5 / 15000.
    """
    if head_mm <= outlet_mm / 2.0:
        passes_l_s: float = outlet_mm * head_mm**1.5 / 7500.0
    else:
        passes_l_s = outlet_mm**2 * head_mm**0.5 / 15000.0
    return passes_l_s * (STRAINER_SHARE if strainer else 1.0)


def pipe_carries_l_s(bore_mm: float, *, filling: float = FILLING_SHARE) -> float:
    """What a downpipe carries, L/s: Wyly-Eaton, 2.5e-4 kb^-0.167 d^2.667 f^1.667 (EN 12056-3:2000 table 8)."""
    return float(2.5e-4 * _ROUGHNESS_MM**-0.167 * bore_mm**2.667 * filling**1.667)


@dataclass(frozen=True, slots=True)
class Capacities:
    """By id: of the downpipes that drain a roof, and of the drawn gutters that gather water.

    outlets: by downpipe, of the outlets of drawn gutters that lead to it, at the depth of the deepest.
    """

    pipes: Mapping[str, Capacity]
    gutters: Mapping[str, Capacity]
    outlets: Mapping[str, Capacity] = field(default_factory=dict)


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
    outlets = {
        pipe: Capacity(pipes[pipe].sends_l_s, carries_l_s, area_m2)
        for pipe, area_m2 in to_pipe.items()
        if (carries_l_s := _outlet_carries_l_s(site, wires, pipe)) is not None
    }
    return Capacities(MappingProxyType(pipes), MappingProxyType(gutters), MappingProxyType(outlets))


def _carries(site: Site, gutter: str) -> float:
    thing = site.thing(gutter, Gutter)
    return gutter_carries_l_s(thing.width_mm, thing.profile, length_m=thing.shape.length, turns=_turns(thing))


def _outlet_carries_l_s(site: Site, wires: Wiring, pipe: str) -> float | None:
    """What the outlet of a downpipe passes; None where no drawn gutter leads to it."""
    gutters = [gutter for gutter in site.of(Gutter) if wires.pipe_of.get(gutter.id) == pipe]
    if not gutters:
        return None
    thing = site.thing(pipe, Downpipe)
    head_mm = HEAD_SHARE * max(gutter_depth_mm(gutter.width_mm, gutter.profile) for gutter in gutters)
    bore_mm = thing.bore_mm if thing.outlet_mm is None else thing.outlet_mm
    return outlet_carries_l_s(bore_mm, head_mm, strainer=thing.strainer)


def _turns(gutter: Gutter) -> bool:
    """Whether a gutter has an angle on its way."""
    steps = np.diff(shapely.get_coordinates(gutter.shape), axis=0)
    steps = steps[np.hypot(*steps.T) > 0.0]
    bearings = np.degrees(np.arctan2(steps[:, 0], steps[:, 1]))
    bends = np.abs((np.diff(bearings) + 180.0) % 360.0 - 180.0)
    return bool((bends > ANGLE_DEG).any())


def _capacity(effective_m2: float, carries_l_s: float) -> Capacity:
    return Capacity(effective_m2 * DESIGN_RAIN_L_S_M2, carries_l_s, effective_m2)
