"""What the roofs pass to the downpipes, the diverters to the tanks, and what leaves them on a wet day."""

from __future__ import annotations

from gardenwater.catch.parts import RoofPart, parts
from gardenwater.catch.planes import Assumption, Plane, RoofShape, roof_shape
from gardenwater.catch.rooflines import RoofLines, roof_lines
from gardenwater.catch.wiring import Joined, Unjoined, Wiring, wiring

__all__ = [
    "Assumption",
    "Joined",
    "Plane",
    "RoofLines",
    "RoofPart",
    "RoofShape",
    "Unjoined",
    "Wiring",
    "parts",
    "roof_lines",
    "roof_shape",
    "wiring",
]
