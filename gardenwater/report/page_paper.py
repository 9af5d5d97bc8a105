"""Sheets of paper, and the whole scales at which a plan is drawn on them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gardenwater.errors import InputError
from gardenwater.report.drawing import Rect
from gardenwater.report.view import Margins, View
from gardenwater.units import UnitSystem

PX_PER_MM = 4.0
"""On paper a px of the drawing list is 0.25 mm."""

_SCALES = {
    UnitSystem.METRIC: (50, 100, 200, 250, 400, 500, 1000, 2000, 2500, 5000, 10_000, 20_000, 50_000, 100_000),
    UnitSystem.US: (60, 120, 240, 480, 960, 1200, 2400, 4800, 12_000, 24_000, 48_000, 120_000),
}


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper. name: as people call it. column_mm: the column beside the plan. band_mm: what lies below it."""

    name: str
    width_mm: float
    height_mm: float
    column_mm: float
    band_mm: float

    @property
    def upright(self) -> bool:
        """Whether it is higher than wide: then all blocks stand below the plan."""
        return self.height_mm > self.width_mm


A4 = Paper("A4", 297.0, 210.0, 66.0, 35.0)
A4_UPRIGHT = Paper("A4", 210.0, 297.0, 0.0, 112.0)
A3 = Paper("A3", 420.0, 297.0, 84.0, 46.0)
A3_UPRIGHT = Paper("A3", 297.0, 420.0, 0.0, 124.0)
LETTER = Paper("Letter", 279.4, 215.9, 64.0, 36.0)
LETTER_UPRIGHT = Paper("Letter", 215.9, 279.4, 0.0, 108.0)
SIZES = {"A4": (A4, A4_UPRIGHT), "A3": (A3, A3_UPRIGHT), "Letter": (LETTER, LETTER_UPRIGHT)}
"""Each size of paper, lying and upright."""


def paper_for(size: str, bounds: tuple[float, float, float, float]) -> Paper:
    """Paper of a size ("A4", "A3", "Letter"), upright where what is drawn (m) is higher than wide.

    Raises InputError for another size.
    """
    if size not in SIZES:
        raise InputError(f'There is no paper of size "{size}".', where="size", mend=f"Take {' or '.join(SIZES)}.")
    west, south, east, north = bounds
    lying, upright = SIZES[size]
    return upright if north - south > east - west else lying


def page_view(
    area: Rect, bounds: tuple[float, float, float, float], paper: Paper, units: UnitSystem
) -> tuple[View, int]:
    """The view that shows all of the bounds (m) in a part of a page at a whole scale, and the scale's number."""
    width, height = paper.width_mm * PX_PER_MM, paper.height_mm * PX_PER_MM
    margins = Margins(area.x + 42.0, area.y + 31.0, width - area.right + 18.0, height - area.bottom + 17.0)
    west, south, east, north = bounds
    view = View((west + east) / 2, (south + north) / 2, 1.0, width, height, margins)
    needed = max((east - west) / view.sheet.width, (north - south) / view.sheet.height) * 1000.0 * PX_PER_MM
    scales = _SCALES[units]
    scale = next((number for number in scales if number >= needed), scales[-1])
    return replace(view, metres_per_px=scale / 1000.0 / PX_PER_MM), scale


def scale_words(scale: int, paper: Paper, units: UnitSystem) -> str:
    """The scale in words: "1 : 400 on A4", "1 in to 20 ft on A3"."""
    if units is UnitSystem.US and scale % 12 == 0:
        return f"1 in to {scale // 12} ft on {paper.name}"
    return f"1 : {scale} on {paper.name}"
