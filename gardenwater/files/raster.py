"""Rasters of levels: from a file to a ground, with a sentence about everything that was done on the way."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from affine import Affine
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.files.asking import VerticalUnit
from gardenwater.files.gis import LEVEL_DRIVERS, local_file, open_raster, pyproj
from gardenwater.files.levels import (
    Gap,
    Window,
    ask_for_unit,
    read_levels,
    refuse_what_is_no_grid_of_levels,
    thinned,
    unit_of,
)
from gardenwater.files.placing import LOCAL, Bounds, Placing, Way, ask_for_crs, crs_of_words, placing_of
from gardenwater.files.raster_kind import kind_of
from gardenwater.files.regrid import bounds_of, drawn_anew, is_turned, north_up, points_at
from gardenwater.files.words import shown_name, unreadable
from gardenwater.ground import Ground
from gardenwater.site.model import GroundHandle, GroundKind
from gardenwater.work import Cancel, Progress

MOST_CELLS = 16_000_000
_LEAST_CELLS = 2


@dataclass(frozen=True, slots=True)
class _Wish:
    """What was asked for besides the file."""

    vertical_unit: VerticalUnit | None
    crs: str | None
    to_crs: str
    window: Bounds | None
    most_cells: int


def read_ground(
    path: Path | str,
    *,
    vertical_unit: VerticalUnit | None = None,
    crs: str | None = None,
    to_crs: str = "",
    window: Bounds | None = None,
    most_cells: int = MOST_CELLS,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> Ground:
    """The ground in a raster of levels (GeoTIFF, ASCII grid and a few more); what was done is in `import_ground`.

    vertical_unit: the unit of its levels, when the file does not say it or says it wrongly. crs: the raster's map
    reference (EPSG code or WKT; "" for a sheet of its own in metres), likewise. to_crs: the site's CRS, when it has one
    already. window: west, south, east, north in the CRS of the answer, m: only what lies within is read. most_cells: a
    larger raster is thinned to that many, each the mean of those under it.

    Raises NeedsAnswer when the file does not say its map reference, or the unit of its levels though its map is in
    feet; FileError when it is no grid of levels, holds none, or cannot be read; Cancelled.
    """
    wish = _Wish(vertical_unit, crs, to_crs, window, most_cells)
    return _read(local_file(path), wish, cancel, progress)[0]


def import_ground(
    path: Path | str,
    *,
    kind: GroundKind | None = None,
    vertical_unit: VerticalUnit | None = None,
    crs: str | None = None,
    to_crs: str = "",
    window: Bounds | None = None,
    most_cells: int = MOST_CELLS,
    cancel: Cancel | None = None,
    progress: Progress | None = None,
) -> GroundHandle:
    """The ground in a raster as a site holds it, with a notice of everything that was done or guessed.

    kind: what its levels are of, where somebody knows; guessed from its name, its tags and its steps otherwise. The
    rest is as in `read_ground`.
    """
    wish = _Wish(vertical_unit, crs, to_crs, window, most_cells)
    ground, notices, tags = _read(local_file(path), wish, cancel, progress)
    guessed, words = kind_of(ground, f"{shown_name(path)} {tags}", kind)
    return GroundHandle(
        digest=ground.digest,
        source=shown_name(path),
        kind=guessed,
        rows=ground.shape[0],
        cols=ground.shape[1],
        transform=tuple(ground.transform)[:6],
        crs=ground.crs,
        notices=tuple(filter(None, (*notices, words))),
        payload=ground,
    )


def _read(
    file: Path, wish: _Wish, cancel: Cancel | None, progress: Progress | None
) -> tuple[Ground, tuple[str, ...], str]:
    """The ground, what was done, and the file's tags."""
    with open_raster(file, LEVEL_DRIVERS) as dataset:
        refuse_what_is_no_grid_of_levels(dataset, file)
        bounds = bounds_of(dataset.transform, dataset.shape)
        crs = _crs_of(dataset, wish.crs, bounds, file)
        in_degrees = bool(crs is not None and crs.is_geographic and wish.window and not wish.to_crs)
        bounds = wish.window if wish.window and in_degrees else bounds
        placing = Placing(wish.to_crs) if crs is None else placing_of(crs, bounds, file, to_crs=wish.to_crs)
        unit, assumed = unit_of(dataset, wish.vertical_unit, crs, file)
        window = wish.window if in_degrees else _in_source(wish.window, placing)
        part = thinned(_part(dataset, window, file), wish.most_cells)
        levels, gap = read_levels(dataset, part, unit, cancel=cancel, progress=progress)
        corner = dataset.transform @ Affine.translation(part.col, part.row) @ Affine.scale(part.factor)
        tags = " ".join([*dataset.tags().values(), *dataset.tags(1).values(), *filter(None, dataset.descriptions)])
    _refuse_no_levels(levels, gap, file, assumed=assumed)
    try:
        ground, turned = _placed(levels, corner, placing)
    except InputError as problem:
        raise unreadable(file, "it reaches too far for one map", "Choose a part of it.") from problem
    notices = (_thinned_words(part), placing.notice, turned, _unit_words(unit, assumed=assumed), gap.notice())
    return ground, tuple(filter(None, notices)), tags


def _crs_of(dataset: Any, given: str | None, bounds: Bounds, file: Path) -> Any:
    """The raster's CRS as pyproj has it; None for a sheet of its own."""
    if dataset.transform.is_identity and not dataset.crs:
        tied = bool(dataset.gcps[0])
        why = "its place is given by tie points only" if tied else "it has no place and no cell size"
        raise unreadable(file, why, "Export it with a map reference, or with a world file beside it.")
    if given is not None:
        return None if given == LOCAL else crs_of_words(given, file)
    if not dataset.crs:
        raise ask_for_crs(file, bounds)
    return crs_of_words(dataset.crs.to_wkt(), file)


def _part(dataset: Any, window: Bounds | None, file: Path) -> Window:
    """The cells that a window touches, in the raster's own coordinates."""
    if window is None:
        return Window(0, 0, *dataset.shape)
    west, south, east, north = window
    corners = np.array([west, east, west, east]), np.array([south, south, north, north])
    cols, rows = points_at(~dataset.transform, *corners)
    first_col, last_col = max(0, math.floor(cols.min())), min(dataset.width, math.ceil(cols.max()))
    first_row, last_row = max(0, math.floor(rows.min())), min(dataset.height, math.ceil(rows.max()))
    if last_col - first_col < _LEAST_CELLS or last_row - first_row < _LEAST_CELLS:
        raise unreadable(file, "nothing of it lies in the part that was asked for", "Choose another part.")
    return Window(first_row, first_col, last_row - first_row, last_col - first_col)


def _in_source(window: Bounds | None, placing: Placing) -> Bounds | None:
    """A window of the site in the coordinates of the raster."""
    if window is None:
        return None
    if placing.way is Way.DRAWN_ANEW:
        back = pyproj().Transformer.from_crs(placing.crs, placing.source, always_xy=True)
        return tuple(back.transform_bounds(*window))
    west, south, east, north = (edge / placing.factor for edge in window)
    return west, south, east, north


def _refuse_no_levels(levels: NDArray[np.float32], gap: Gap, file: Path, *, assumed: bool) -> None:
    if np.isfinite(levels).any():
        return
    if gap.cells and assumed:
        raise ask_for_unit(file, "none of its values is a level in metres")
    if gap.cells:
        raise unreadable(file, "none of its values is a level", "Look whether it holds something else, or its unit.")
    raise unreadable(file, "it holds no level: every cell is no data", "Choose another file, or another part of it.")


def _placed(levels: NDArray[np.float32], transform: Affine, placing: Placing) -> tuple[Ground, str]:
    """The ground in the site's CRS, and a sentence when it had to be turned."""
    transform = Affine.scale(placing.factor) @ transform
    turned = is_turned(transform, levels.shape)
    if placing.way is Way.DRAWN_ANEW:
        target = pyproj().CRS.from_user_input(placing.crs)
        levels, transform = drawn_anew(levels, transform, placing.source, target)
    elif turned:
        levels, transform = drawn_anew(levels, transform)
        return Ground(levels, transform, placing.crs), "Its grid is turned: it was drawn anew, north up."
    else:
        levels, transform = north_up(levels, transform)
    return Ground(levels, transform, placing.crs), ""


def _thinned_words(part: Window) -> str:
    if part.factor == 1:
        return ""
    return (
        f"It has {part.rows:,} by {part.cols:,} cells: {part.factor} by {part.factor} of them were made one, "
        "with their mean level. Choose a smaller part to have them all."
    )


def _unit_words(unit: VerticalUnit, *, assumed: bool) -> str:
    if assumed:
        return "It does not say what its levels are in: they are taken as metres."
    return "" if unit is VerticalUnit.METRE else f"Its levels are in {unit.words}: they were put into metres."
