"""The levels in a raster, read in stripes: nodata of every sort, units, thinning."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.files.asking import Choice, NeedsAnswer, VerticalUnit
from gardenwater.files.words import shown_name, unreadable
from gardenwater.work import Cancel, Progress, say, stop_if

LOWEST_M, HIGHEST_M = -500.0, 9000.0
"""Levels on dry land: the Dead Sea's shore lies at -430 m, the highest summit at 8849 m. As a peg's level has them."""

_STRIPE_CELLS = 8_000_000


@dataclass(slots=True)
class Gap:
    """What was taken as no data though nothing said so: how many cells, and some of their values."""

    cells: int = 0
    values: set[float] = field(default_factory=set)

    def notice(self) -> str:
        """The sentence for people, or nothing."""
        if not self.cells:
            return ""
        shown = ", ".join(f"{value:g}".replace("-", "−") for value in sorted(self.values)[:3])
        hold = f"{self.cells:,} cells hold" if self.cells > 1 else "1 cell holds"
        return f"{hold} values that are no levels ({shown}): they are taken as no data."


@dataclass(frozen=True, slots=True)
class Window:
    """Part of a raster, in its own cells, and how many of them become one."""

    row: int
    col: int
    rows: int
    cols: int
    factor: int = 1

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns after thinning; what is left over at the end is not read."""
        return self.rows // self.factor, self.cols // self.factor


def thinned(window: Window, most_cells: int) -> Window:
    """The window with the least factor that keeps it within `most_cells`."""
    factor = max(1, math.ceil(math.sqrt(window.rows * window.cols / most_cells)))
    factor = min(factor, window.rows, window.cols)
    return Window(window.row, window.col, window.rows, window.cols, factor)


def unit_of(dataset: Any, given: VerticalUnit | None, crs: Any, path: Path) -> tuple[VerticalUnit, bool]:
    """The unit of the levels, and whether it was only assumed. Metres are assumed unless the map is in feet.

    Raises NeedsAnswer when the map is in feet, or names a unit that is not known.
    """
    if given is not None:
        return VerticalUnit(given), False
    said = (dataset.units[0] or "").strip()
    if said:
        unit = _UNITS.get(said.lower().replace("_", " "))
        if unit is None:
            raise ask_for_unit(path, f'its levels are in "{said}", which is not a known unit')
        return unit, False
    by_crs = _unit_of_crs(crs)
    if by_crs is not None:
        return by_crs, False
    if crs is not None and not crs.is_geographic and crs.axis_info[0].unit_conversion_factor != 1.0:
        raise ask_for_unit(path, "its map is in feet, and it does not say what its levels are in")
    return VerticalUnit.METRE, True


def _unit_of_crs(crs: Any) -> VerticalUnit | None:
    """The unit of the vertical part of a CRS that has one."""
    if crs is None or not crs.is_compound:
        return None
    factor = crs.sub_crs_list[1].axis_info[0].unit_conversion_factor
    return min(VerticalUnit, key=lambda unit: abs(unit.metres - factor))


def ask_for_unit(path: Path, why: str) -> NeedsAnswer:
    """The question for levels whose unit is not known."""
    return NeedsAnswer(
        f'Could not read "{shown_name(path)}": {why}.',
        question="Say which unit its levels are in.",
        choices=tuple(Choice(unit.value, unit.words.capitalize()) for unit in VerticalUnit),
        keyword="vertical_unit",
    )


_UNITS = {
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), VerticalUnit.METRE),
    **dict.fromkeys(("ft", "foot", "feet", "international foot", "international feet"), VerticalUnit.FOOT),
    **dict.fromkeys(
        ("us-ft", "ftus", "us ft", "us foot", "us feet", "us survey foot", "us survey feet", "survey foot", "foot us"),
        VerticalUnit.US_SURVEY_FOOT,
    ),
    **dict.fromkeys(("dm", "decimetre", "decimeter", "decimetres", "decimeters"), VerticalUnit.DECIMETRE),
    **dict.fromkeys(("cm", "centimetre", "centimeter", "centimetres", "centimeters"), VerticalUnit.CENTIMETRE),
    **dict.fromkeys(("mm", "millimetre", "millimeter", "millimetres", "millimeters"), VerticalUnit.MILLIMETRE),
}


def read_levels(
    dataset: Any, window: Window, unit: VerticalUnit, *, cancel: Cancel | None, progress: Progress | None
) -> tuple[NDArray[np.float32], Gap]:
    """The levels in a window, float32, m, NaN = no data; and what was taken as no data though nothing said so.

    A thinned cell has the mean of the levels under it, and no data where none of them has a level.
    """
    rows, cols = window.shape
    levels = np.empty((rows, cols), dtype=np.float32)
    gap = Gap()
    step = max(1, _STRIPE_CELLS // (window.factor * window.cols))
    parts = math.ceil(rows / step)
    for part in range(parts):
        stop_if(cancel)
        say(progress, part / parts, f"Reading levels: {part + 1} of {parts} parts")
        first, last = part * step, min((part + 1) * step, rows)
        at = (
            (window.row + first * window.factor, window.row + last * window.factor),
            (window.col, window.col + cols * window.factor),
        )
        stripe = _stripe(dataset, at, unit, gap)
        levels[first:last] = np.nan if stripe is None else _mean_of_blocks(stripe, window.factor)
    return levels, gap


def _stripe(dataset: Any, at: Any, unit: VerticalUnit, gap: Gap) -> NDArray[Any] | None:
    """Cells in m, with NaN for no data, at full size; None when all of them are no data."""
    raw: NDArray[Any] = dataset.read(1, window=at)
    gone = _told_as_no_data(dataset, raw, at)
    if gone.all():
        return None
    values: NDArray[Any] = raw if raw.dtype.kind == "f" else raw.astype(np.float64)
    scale, offset = dataset.scales[0], dataset.offsets[0]
    if (scale, offset, unit) != (1.0, 0.0, VerticalUnit.METRE):
        values = (values.astype(np.float64) * scale + offset) * unit.metres
    gone |= np.isnan(values)
    absurd = ~gone & ~((values >= LOWEST_M) & (values <= HIGHEST_M))
    if absurd.any():
        gap.cells += int(absurd.sum())
        gap.values.update(float(value) for value in np.unique(raw[absurd])[:3])
        gone |= absurd
    if gone.any():
        values = np.where(gone, np.float32(np.nan), values)
    return values


def _told_as_no_data(dataset: Any, raw: NDArray[Any], at: Any) -> NDArray[np.bool_]:
    """Cells that the file itself gives as no data: by its tag, or by a mask."""
    from rasterio.enums import MaskFlags

    flags = set(dataset.mask_flag_enums[0])
    if MaskFlags.per_dataset in flags or MaskFlags.alpha in flags:
        gone = np.asarray(dataset.read_masks(1, window=at) == 0, dtype=np.bool_)
    else:
        gone = np.zeros(raw.shape, dtype=np.bool_)
    if dataset.count == 2:  # its opacity, which GDAL makes a mask of only where it is whole numbers
        np.logical_or(gone, dataset.read(2, window=at) == 0, out=gone)
    tag = _tag_in(raw.dtype, dataset.nodata)
    if tag is not None:
        np.logical_or(gone, raw == tag, out=gone)
    return gone


def _tag_in(dtype: np.dtype[Any], tag: float | None) -> Any:
    """The nodata tag as a number of the raster's own type; None when it has none, or one that its cells cannot hold."""
    if tag is None or not math.isfinite(tag):
        return None
    if dtype.kind == "f":
        return dtype.type(tag)
    limits = np.iinfo(dtype)
    return dtype.type(tag) if tag == int(tag) and limits.min <= tag <= limits.max else None


def _mean_of_blocks(values: NDArray[Any], factor: int) -> NDArray[np.float32]:
    if factor == 1:
        return values.astype(np.float32)
    rows, cols = values.shape
    blocks = values.reshape(rows // factor, factor, cols // factor, factor)
    there = ~np.isnan(blocks)
    if there.all():
        return np.asarray(blocks.mean(axis=(1, 3), dtype=np.float64), dtype=np.float32)
    count = there.sum(axis=(1, 3))
    total = np.where(there, blocks, 0).sum(axis=(1, 3), dtype=np.float64)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan).astype(np.float32)


def refuse_what_is_no_grid_of_levels(dataset: Any, path: Path) -> None:
    """FileError for pictures, several bands, complex numbers, and grids of fewer than two by two cells."""
    from rasterio.enums import ColorInterp

    colours = set(dataset.colorinterp)
    levels_and_mask = dataset.count == 2 and dataset.colorinterp[1] is ColorInterp.alpha
    if colours & {ColorInterp.red, ColorInterp.palette}:
        raise unreadable(path, "it is a picture, its numbers are colours", "Bring it in as the underlay.")
    if dataset.count != 1 and not levels_and_mask:
        raise unreadable(
            path, f"it has {dataset.count} bands, and levels are one", "Export the band of levels by itself."
        )
    if dataset.dtypes[0].startswith("complex"):
        raise unreadable(path, "its numbers are complex, which levels are not", "Export the band of levels by itself.")
    if min(dataset.shape) < 2:
        raise unreadable(
            path,
            f"it has {dataset.height} by {dataset.width} cells, and a ground needs two by two at least",
            "Export a larger part.",
        )
