"""The view: which part of the site is seen, how large, and where its sheet stands."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.report.drawing import Rect


class Margins(NamedTuple):
    """Room between the edge of the drawing and the neat line, px."""

    left: float = 34.0
    top: float = 30.0
    right: float = 16.0
    bottom: float = 16.0


SCREEN_MARGINS = Margins()


@dataclass(frozen=True, slots=True)
class View:
    """Where the map lies on the drawing.

    centre_x, centre_y: the point of the map (m) at the middle of the sheet, which is what lies inside the neat line.
    width_px, height_px: the whole drawing, margins included. px are device-independent, y down.
    """

    centre_x: float
    centre_y: float
    metres_per_px: float
    width_px: float
    height_px: float
    margins: Margins = SCREEN_MARGINS

    @property
    def sheet(self) -> Rect:
        """What lies inside the neat line, px."""
        left, top, right, bottom = self.margins
        return Rect(left, top, max(self.width_px - left - right, 1.0), max(self.height_px - top - bottom, 1.0))

    @property
    def px_per_m(self) -> float:
        """How many px a metre takes."""
        return 1.0 / self.metres_per_px

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """West, south, east, north of the sheet, m."""
        sheet = self.sheet
        half_x, half_y = sheet.width / 2 * self.metres_per_px, sheet.height / 2 * self.metres_per_px
        return self.centre_x - half_x, self.centre_y - half_y, self.centre_x + half_x, self.centre_y + half_y

    @property
    def transform(self) -> tuple[float, float, float, float, float, float]:
        """(a, b, c, d, e, f) from map to px: px = a x + b y + c, py = d x + e y + f."""
        sheet, scale = self.sheet, self.px_per_m
        left = sheet.x + sheet.width / 2 - self.centre_x * scale
        top = sheet.y + sheet.height / 2 + self.centre_y * scale
        return scale, 0.0, left, 0.0, -scale, top

    def to_px(self, x: float, y: float) -> tuple[float, float]:
        """A point of the map, in px."""
        scale, _, left, _, _, top = self.transform
        return x * scale + left, top - y * scale

    def all_to_px(self, points: ArrayLike) -> NDArray[np.float64]:
        """Points of the map (..., 2), m, in px; float64, C order."""
        scale, _, left, _, _, top = self.transform
        return np.asarray(points, dtype=np.float64) * (scale, -scale) + (left, top)

    def to_map(self, px: float, py: float) -> tuple[float, float]:
        """A point of the drawing, on the map (m)."""
        scale, _, left, _, _, top = self.transform
        return (px - left) / scale, (top - py) / scale

    def moved(self, right_px: float, down_px: float) -> View:
        """The view after the sheet was moved under the pointer."""
        step = self.metres_per_px
        return replace(self, centre_x=self.centre_x - right_px * step, centre_y=self.centre_y + down_px * step)

    def zoomed(self, factor: float, about_px: tuple[float, float]) -> View:
        """The view with everything `factor` times as large and the map under `about_px` where it was."""
        x, y = self.to_map(*about_px)
        step = self.metres_per_px / factor
        sheet = self.sheet
        right, down = about_px[0] - sheet.x - sheet.width / 2, about_px[1] - sheet.y - sheet.height / 2
        return replace(self, centre_x=x - right * step, centre_y=y + down * step, metres_per_px=step)

    @classmethod
    def of(
        cls,
        bounds: tuple[float, float, float, float],
        width_px: float,
        height_px: float,
        *,
        margins: Margins = SCREEN_MARGINS,
        room_px: float = 12.0,
    ) -> View:
        """The view that shows all of west, south, east, north (m) inside the neat line, with `room_px` around."""
        west, south, east, north = bounds
        view = cls((west + east) / 2, (south + north) / 2, 1.0, width_px, height_px, margins)
        sheet = view.sheet
        room = 2 * room_px if min(sheet.width, sheet.height) > 4 * room_px else 0.0
        step = max((east - west) / (sheet.width - room), (north - south) / (sheet.height - room))
        return replace(view, metres_per_px=step if math.isfinite(step) and step > 0 else 0.05)
