"""Pictures to lay under the plan: georeferenced, or set to scale by two points a known distance apart."""

from __future__ import annotations

import dataclasses
import hashlib
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.files.gis import PICTURE_DRIVERS, local_file, open_raster, pyproj
from gardenwater.files.pixels import read_pixels, turned_as_taken
from gardenwater.files.placing import Placing, Way, crs_of_words, placing_of
from gardenwater.files.regrid import bounds_of, points_at
from gardenwater.files.words import shown_name
from gardenwater.site.model import Underlay
from gardenwater.work import Cancel, Progress

MOST_PIXELS = 12_000_000
_FIRST_WIDTH_M = 50.0
_NO_SCALE = "It has no scale yet: set it by two points a known distance apart."
_PIXELS_OFF = 1.0

Six = tuple[float, float, float, float, float, float]


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """What a picture says of itself. placed: it has a place and a scale. crs: the site's CRS that fits it, or empty."""

    rows: int
    cols: int
    placed: bool
    crs: str


def picture_facts(path: Path | str) -> PictureFacts:
    """What a picture says of itself, without reading it; FileError when it is none."""
    file = local_file(path)
    with open_raster(file, PICTURE_DRIVERS) as dataset:
        placing = _placing(dataset, file, "")
        return PictureFacts(dataset.height, dataset.width, not dataset.transform.is_identity, placing.crs)


def read_underlay(
    path: Path | str,
    *,
    crs: str = "",
    most_pixels: int = MOST_PIXELS,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Underlay:
    """The picture in a file (GeoTIFF, PNG, JPEG; with a world file or not) as a site's underlay.

    crs: the site's CRS; empty: the picture's own, in metres (`picture_facts` names it). most_pixels: a larger picture
    is thinned. A picture without a place lies 50 m wide at the sheet's origin, until `scale_underlay`.

    Raises FileError when it is no picture, or cannot be brought into the site's CRS; Cancelled.
    """
    file = local_file(path)
    with open_raster(file, PICTURE_DRIVERS) as dataset:
        pixels, factor = read_pixels(dataset, file, most_pixels, cancel=cancel, progress=progress)
        notices = [f"It was thinned to one pixel for {factor} by {factor}."] if factor > 1 else []
        if dataset.transform.is_identity:
            pixels = turned_as_taken(pixels, dataset.tags().get("EXIF_Orientation", "1"))
            cell = _FIRST_WIDTH_M / pixels.shape[1]
            transform = Affine(cell, 0.0, 0.0, 0.0, -cell, cell * pixels.shape[0])
            notices.append(_NO_SCALE)
        else:
            placing = _placing(dataset, file, crs)
            transform, words = _on_the_plan(dataset.transform, dataset.shape, placing)
            transform = transform @ Affine.scale(factor)
            notices += filter(None, (placing.notice, words))
    return _underlay(pixels, transform, shown_name(file), tuple(notices))


def scale_underlay(
    underlay: Underlay,
    pixel_a: tuple[float, float],
    pixel_b: tuple[float, float],
    distance_m: float,
    *,
    at: tuple[float, float],
    bearing_deg: float | None = None,
) -> Underlay:
    """The picture set to scale: two of its points lie `distance_m` apart, and the first lies at `at` on the plan.

    pixel_a, pixel_b: column and row, counted from the outer corner of the first pixel. bearing_deg: compass bearing
    from the first point to the second, when it is known; the picture's top is north otherwise.

    Raises InputError when the points are one, or the distance is none.
    """
    along, down = pixel_b[0] - pixel_a[0], pixel_b[1] - pixel_a[1]
    pixels = math.hypot(along, down)
    if not (math.isfinite(pixels) and pixels > 0):
        raise InputError("The two points are one.", where="pixel_b", mend="Point at two spots that lie well apart.")
    if not (math.isfinite(distance_m) and distance_m > 0):
        raise InputError("The distance is none.", where="distance_m", mend="Give the distance between the two points.")
    cell = distance_m / pixels
    turn = 0.0 if bearing_deg is None else math.pi / 2 - math.radians(bearing_deg) - math.atan2(-down, along)
    a, d = cell * math.cos(turn), cell * math.sin(turn)
    b, e = d, -a
    c, f = at[0] - a * pixel_a[0] - b * pixel_a[1], at[1] - d * pixel_a[0] - e * pixel_a[1]
    notices = tuple(notice for notice in underlay.notices if notice != _NO_SCALE)
    return dataclasses.replace(underlay, transform=(a, b, c, d, e, f), notices=notices)


def is_to_scale(underlay: Underlay) -> bool:
    """Whether the picture has been given a scale, by its file or by two points."""
    return _NO_SCALE not in underlay.notices


def _underlay(pixels: NDArray[np.uint8], transform: Affine, source: str, notices: tuple[str, ...]) -> Underlay:
    pixels = np.ascontiguousarray(pixels)
    pixels.flags.writeable = False
    digest = hashlib.sha256(repr(pixels.shape).encode() + pixels.tobytes()).hexdigest()
    rows, cols = pixels.shape[:2]
    return Underlay(
        digest=digest, source=source, rows=rows, cols=cols, transform=_six(transform), notices=notices, payload=pixels
    )


def _six(transform: Affine) -> Six:
    a, b, c, d, e, f = tuple(transform)[:6]
    return a, b, c, d, e, f


def _placing(dataset: Any, file: Path, to_crs: str) -> Placing:
    if dataset.transform.is_identity or not dataset.crs:
        return Placing(to_crs)
    return placing_of(
        crs_of_words(dataset.crs.to_wkt(), file), bounds_of(dataset.transform, dataset.shape), file, to_crs=to_crs
    )


def _on_the_plan(transform: Affine, shape: tuple[int, int], placing: Placing) -> tuple[Affine, str]:
    """The affine from pixel to site. In another CRS it is the best fit to 25 points; pixels stay as they are."""
    if placing.way is not Way.DRAWN_ANEW:
        return Affine.scale(placing.factor) @ transform, ""
    rows, cols = shape
    grid_cols, grid_rows = (each.ravel() for each in np.meshgrid(np.linspace(0, cols, 5), np.linspace(0, rows, 5)))
    to_site = pyproj().Transformer.from_crs(placing.source, placing.crs, always_xy=True)
    xs, ys = to_site.transform(*points_at(transform, grid_cols, grid_rows))
    places = np.column_stack([grid_cols, grid_rows, np.ones_like(grid_cols)])
    (a, b, c), (d, e, f) = (np.linalg.lstsq(places, values, rcond=None)[0] for values in (xs, ys))
    fitted = Affine(a, b, c, d, e, f)
    fitted_xs, fitted_ys = points_at(fitted, grid_cols, grid_rows)
    off_m = float(np.hypot(fitted_xs - xs, fitted_ys - ys).max())
    cell_m = math.sqrt(abs(fitted.determinant))
    return fitted, f"At its edges it is up to {off_m:.1f} m out of place." if off_m > _PIXELS_OFF * cell_m else ""
