"""Whether a raster's levels are of the bare earth or of what stands on it."""

from __future__ import annotations

import re

import numpy as np

from gardenwater.ground import Ground
from gardenwater.site.model import GroundKind

SURFACE_WORDS = "This raster shows roofs and trees as ground. Reach and overflow under them are not true."
_UNKNOWN_WORDS = "It does not say whether it shows roofs and trees as ground. Compare it with what you see there."

_BARE_NAMES = {"dtm", "mnt", "dgm", "mdt", "bareearth", "bare", "terrain"}
_SURFACE_NAMES = {"dsm", "mns", "dom", "mds", "surface", "canopy"}
_BARE_PHRASES = ("bare earth", "bare-earth", "ground points", "ground returns")
_SURFACE_PHRASES = ("first return", "highest return", "surface model")

_FINE_CELL_M = 2.0
_STEP_M = 1.0
_MANY_STEPS = 0.01
_FEW_STEPS = 0.001
"""Share of neighbours with a step steeper than 2 in 1 and over 1 m. Measured on two pairs of rasters of one place each,
at 0.5 m: bare earth 0 and 0.00001, surface 0.07 and 0.17."""


def kind_of(ground: Ground, words: str, given: GroundKind | None = None) -> tuple[GroundKind, str]:
    """What the levels are of, and the sentence to say about it, or nothing.

    words: the file's name and tags. given: what somebody knows already. Many near-vertical steps speak for roofs and
    trees, whatever the name says.
    """
    kind = given or _guessed(ground, words.lower())
    return kind, {GroundKind.SURFACE: SURFACE_WORDS, GroundKind.UNKNOWN: _UNKNOWN_WORDS}.get(kind, "")


def _guessed(ground: Ground, words: str) -> GroundKind:
    names = set(re.findall(r"[a-z]+", words))
    steps = _step_share(ground)
    if steps >= _MANY_STEPS or names & _SURFACE_NAMES or any(phrase in words for phrase in _SURFACE_PHRASES):
        return GroundKind.SURFACE
    named_bare = bool(names & _BARE_NAMES) or any(phrase in words for phrase in _BARE_PHRASES)
    fine = max(ground.cell_x_m, ground.cell_y_m) <= _FINE_CELL_M
    return GroundKind.BARE_EARTH if named_bare or (fine and steps <= _FEW_STEPS) else GroundKind.UNKNOWN


def _step_share(ground: Ground) -> float:
    """Share of neighbouring cells with a step steeper than 2 in 1 and over a metre."""
    levels = ground.level_m
    found = asked = 0
    for axis, cell_m in ((1, ground.cell_x_m), (0, ground.cell_y_m)):
        steps = np.abs(np.diff(levels, axis=axis))
        found += int((steps > max(_STEP_M, 2 * cell_m)).sum())
        asked += int(np.isfinite(steps).sum())
    return found / asked if asked else 0.0
