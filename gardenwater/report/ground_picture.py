"""The lie of the land as a picture: hill shading, fifths of the relief, contours, where levels are not well known."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

from gardenwater.ground import Ground, GroundAnswer, GroundOrigin, contours, hillshade, nice_step_m, relief, thin
from gardenwater.report.drawing import Dots, Fill, Group, Mark, Pen, Picture, Points, Shape, Subpath
from gardenwater.report.fields import MOST_CELLS, Affine6, Curve, Curves, corners, finer, times_finer, to_view
from gardenwater.report.view import View
from gardenwater.units import FOOT_M, UnitSystem

GROUND_SHADING, OTHER_SHADING = 0.16, 0.07
UNSURE_M = 0.10
"""From this standard error on the wash gives way to dots."""

_STEPS = 240
_FLAT = np.sin(np.radians(45.0))
_INDEX_EACH = 5
_DENSER = 0.75  # up to 53 lines: on a plan they are read by eye, five by five
_LEAST_CONTOUR_CELLS = 6.0
DOT_EACH_PX = 7.0


@dataclass(frozen=True, slots=True, eq=False)
class GroundPicture:
    """What is drawn of a ground, on the map. Made once for each ground, off the window's thread: see `ground_picture`.

    shade: uint8 (rows, cols), 0 clear, else 1 (dark) to 241 (light), 121 flat. lie: uint8, 0 clear, 1 to 5 by fifths.
    unsure: uint8 (rows, cols), 1 where the error is over 0.10 m; None where it never is. contours: by level, m; index
    lines are whole multiples of five steps. step_m: between two contours; 0 on level ground. relief: lowest and
    highest, m.
    """

    ground: Ground
    shade: NDArray[np.uint8]
    shade_transform: Affine6
    lie: NDArray[np.uint8]
    lie_transform: Affine6
    unsure: NDArray[np.uint8] | None
    unsure_transform: Affine6
    contours: Curves
    step_m: float
    relief: tuple[float, float]
    hull: Polygon | None

    def is_index(self, level_m: float) -> bool:
        """Whether a contour is one of the bolder ones that bear their level."""
        return self.step_m > 0 and round(level_m / self.step_m) % _INDEX_EACH == 0


def ground_picture(answer: GroundAnswer, units: UnitSystem = UnitSystem.METRIC) -> GroundPicture:
    """What is drawn of a ground. Contours stand at whole steps of `units`.

    A large ground is thinned for the picture only.
    """
    rows, cols = answer.ground.shape
    factor = int(np.ceil(np.sqrt(rows * cols / MOST_CELLS)))
    shown = thin(answer.ground, factor, "mean")
    low_m, high_m = relief(shown)
    times = times_finer(shown)
    fine = finer(shown.level_m, times)
    shade = hillshade(shown)
    unsure = _unsure(answer)
    unit_m = FOOT_M if units is UnitSystem.US else 1.0
    step_m = nice_step_m(_DENSER * (high_m - low_m) / unit_m) * unit_m if high_m - low_m > 0 else 0.0
    flat = answer.origin is GroundOrigin.FLAT or step_m == 0.0
    smooth = 2 if min(shown.shape) > 3 else 0
    least_m = _LEAST_CONTOUR_CELLS * max(shown.cell_x_m, shown.cell_y_m)
    lines = () if flat else contours(shown, step_m, smooth=smooth, least_length_m=least_m)
    return GroundPicture(
        ground=answer.ground,
        shade=_shade_classes(shade),
        shade_transform=corners(shown),
        lie=_fifths(fine, low_m, high_m),
        lie_transform=_divided(corners(shown), times),
        unsure=unsure,
        unsure_transform=corners(answer.ground),
        contours=Curves([Curve(np.asarray(line.shape.coords), line.level_m) for line in lines]),
        step_m=0.0 if flat else step_m,
        relief=(low_m, high_m),
        hull=answer.hull,
    )


def _divided(transform: Affine6, times: int) -> Affine6:
    a, b, c, d, e, f = transform
    return a / times, b / times, c, d / times, e / times, f


def _shade_classes(shade: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Brightness against that of flat ground, in 241 steps; NaN is clear."""
    darker, lighter = (shade - _FLAT) / _FLAT, (shade - _FLAT) / (1 - _FLAT)
    share = np.where(shade < _FLAT, darker, lighter)
    steps = np.clip(np.round(share * (_STEPS / 2)) + _STEPS / 2 + 1, 1, _STEPS + 1)
    classes: NDArray[np.uint8] = np.nan_to_num(steps, nan=0.0).astype(np.uint8)
    classes.flags.writeable = False
    return classes


def _fifths(levels_m: NDArray[np.float32], low_m: float, high_m: float) -> NDArray[np.uint8]:
    share = (levels_m - low_m) / max(high_m - low_m, 1e-6) if high_m > low_m else levels_m * 0
    classes: NDArray[np.uint8] = np.nan_to_num(np.clip(np.floor(share * 5) + 1, 1, 5), nan=0.0).astype(np.uint8)
    classes.flags.writeable = False
    return classes


def _unsure(answer: GroundAnswer) -> NDArray[np.uint8] | None:
    if answer.uncertainty_m is None:
        return None
    beyond = (answer.uncertainty_m > UNSURE_M).astype(np.uint8)
    return beyond if beyond.any() else None


def shading(picture: GroundPicture, view: View, most: float) -> list[Mark]:
    """Hill shading at a strength of `most` at its darkest and lightest."""
    return [Picture(picture.shade, _shading_table(most), to_view(picture.shade_transform, view), smooth=True)]


@cache
def _shading_table(most: float) -> tuple[Fill | None, ...]:
    half = _STEPS // 2
    dark = [Fill("shade", most * (half - step) / half) for step in range(half)]
    light = [Fill("shade_light", most * step / half) for step in range(1, half + 1)]
    return (None, *dark, None, *light)


def lie(picture: GroundPicture, view: View) -> list[Mark]:
    """The wash of Ground: fifths of the relief; dots where levels are not well known."""
    table = (None, *(Fill(f"lie_{fifth}") for fifth in range(1, 6)))
    marks: list[Mark] = [Picture(picture.lie, table, to_view(picture.lie_transform, view), smooth=True)]
    if picture.unsure is not None:
        bare = (None, Fill("paper"))
        marks.append(Picture(picture.unsure, bare, to_view(picture.unsure_transform, view), smooth=True))
        marks.append(Dots(lattice(picture.unsure, 1, picture.unsure_transform, view, DOT_EACH_PX), 1.3, "contour"))
    hull = within_hull(picture, view)
    if hull is None:
        return marks
    return [Group(tuple(marks), hull), Shape(hull, pen=Pen("contour", 0.9, dash=(2.0, 4.0)))]


def within_hull(picture: GroundPicture, view: View) -> tuple[Subpath, ...] | None:
    """What the measured spots enclose, px; None where nothing was measured. In Ground nothing is shown beyond it."""
    if picture.hull is None:
        return None
    return (Subpath(view.all_to_px(np.asarray(picture.hull.exterior.coords)[:-1]), closed=True),)


def lattice(classes: NDArray[np.uint8], wanted: int, transform: Affine6, view: View, each_px: float) -> Points:
    """Points of a square lattice, tied to the map, that lie on cells of one class; px."""
    sheet = view.sheet
    a, _, c, _, e, f = transform
    step_m = each_px * view.metres_per_px
    west, south, east, north = view.bounds
    x = np.arange(np.floor(west / step_m), np.ceil(east / step_m) + 1) * step_m
    y = np.arange(np.floor(south / step_m), np.ceil(north / step_m) + 1) * step_m
    cols, rows = np.floor((x - c) / a).astype(np.intp), np.floor((y - f) / e).astype(np.intp)
    in_x, in_y = (cols >= 0) & (cols < classes.shape[1]), (rows >= 0) & (rows < classes.shape[0])
    x, y, cols, rows = x[in_x], y[in_y], cols[in_x], rows[in_y]
    down, across = np.nonzero(classes[np.ix_(rows, cols)] == wanted)
    points = view.all_to_px(np.column_stack((x[across], y[down])))
    kept: Points = points[(points[:, 0] > sheet.x) & (points[:, 1] > sheet.y)]
    return kept


def contour_marks(picture: GroundPicture, view: View, *, washed: bool) -> list[Mark]:
    """Contours: each fifth bolder; in `contour_over` where a wash lies under them."""
    role = "contour_over" if washed else "contour"
    seen = picture.contours.in_sight(view)
    thin_lines = tuple(Subpath(curve.points) for curve in seen if not picture.is_index(curve.value))
    index_lines = tuple(Subpath(curve.points) for curve in seen if picture.is_index(curve.value))
    marks: list[Mark] = []
    if thin_lines:
        marks.append(Shape(thin_lines, pen=Pen(role, 0.8, strength=0.5)))
    if index_lines:
        marks.append(Shape(index_lines, pen=Pen(role, 1.1, strength=0.92)))
    return marks
