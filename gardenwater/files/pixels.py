"""The pixels of a picture as red, green, blue and opacity, eight bits each."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.files.words import unreadable
from gardenwater.work import Cancel, Progress, say, stop_if

_STRIPE_PIXELS = 8_000_000
_LONGEST_SIDE = 200_000


def read_pixels(
    dataset: Any, path: Path, most_pixels: int, *, cancel: Cancel | None, progress: Progress | None
) -> tuple[NDArray[np.uint8], int]:
    """Pixels, uint8 (rows, cols, 4), no colour where they are wholly clear; and how many became one along each side."""
    if max(dataset.shape) > _LONGEST_SIDE:
        raise unreadable(path, "it is too large for an underlay", "Export the part that is wanted.")
    if dataset.dtypes[0].startswith("complex"):
        raise unreadable(path, "its numbers are complex, which colours are not", "Export it as a picture.")
    factor = max(1, math.ceil(math.sqrt(dataset.height * dataset.width / most_pixels)))
    factor = min(factor, *dataset.shape)
    rows, cols = dataset.height // factor, dataset.width // factor
    pixels = np.empty((rows, cols, 4), dtype=np.uint8)
    stretch = _stretch(dataset)
    step = max(1, _STRIPE_PIXELS // (factor * dataset.width))
    for first in range(0, rows, step):
        stop_if(cancel)
        say(progress, first / rows, "Reading the picture")
        last = min(first + step, rows)
        at = (first * factor, last * factor), (0, cols * factor)
        pixels[first:last] = _stripe(dataset, at, (last - first, cols), stretch)
    pixels[pixels[..., 3] == 0] = 0
    return pixels, factor


def _stripe(dataset: Any, at: Any, shape: tuple[int, int], stretch: tuple[float, float] | None) -> NDArray[np.uint8]:
    from rasterio.enums import ColorInterp, Resampling

    paletted = dataset.colorinterp[0] is ColorInterp.palette
    bands = [1, 2, 3] if dataset.count >= 3 else [1]
    raw = dataset.read(
        bands,
        window=at,
        out_shape=(len(bands), *shape),
        resampling=Resampling.nearest if paletted else Resampling.average,
    )
    opacity = dataset.dataset_mask(window=at, out_shape=shape)
    if paletted:
        colours: NDArray[np.uint8] = _palette(dataset)[raw[0].astype(np.intp) % 256]
        colours[..., 3] = np.minimum(colours[..., 3], opacity)
        return colours
    shown = raw if stretch is None else _stretched(raw, stretch)
    colours = np.empty((*shape, 4), dtype=np.uint8)
    colours[..., :3] = np.moveaxis(shown, 0, -1)
    colours[..., 3] = opacity
    return colours


def _palette(dataset: Any) -> NDArray[np.uint8]:
    palette = np.zeros((256, 4), dtype=np.uint8)
    for index, colour in dataset.colormap(1).items():
        if index < len(palette):
            palette[index] = colour
    return palette


def _stretch(dataset: Any) -> tuple[float, float] | None:
    """Darkest and brightest of a picture with more than eight bits, from a thinned look at it; None for eight bits."""
    if dataset.dtypes[0] == "uint8":
        return None
    factor = max(1, max(dataset.shape) // 512)
    shape = max(1, dataset.height // factor), max(1, dataset.width // factor)
    bands = [1, 2, 3] if dataset.count >= 3 else [1]
    look = dataset.read(bands, out_shape=(len(bands), *shape), masked=True).compressed()
    look = look[np.isfinite(look)]
    return (float(look.min()), float(look.max())) if look.size else (0.0, 1.0)


def _stretched(raw: NDArray[Any], stretch: tuple[float, float]) -> NDArray[np.uint8]:
    low, high = stretch
    share = (raw.astype(np.float64) - low) / ((high - low) or 1.0)
    return np.asarray(np.clip(np.nan_to_num(share), 0, 1) * 255, dtype=np.uint8)


def turned_as_taken(pixels: NDArray[np.uint8], orientation: str) -> NDArray[np.uint8]:
    """The picture as it was seen, from its EXIF orientation (tag 274: 1 upright, 2 to 8 mirrored or turned)."""
    turned = {
        "2": lambda: pixels[:, ::-1],
        "3": lambda: pixels[::-1, ::-1],
        "4": lambda: pixels[::-1],
        "5": lambda: pixels.swapaxes(0, 1),
        "6": lambda: pixels.swapaxes(0, 1)[:, ::-1],
        "7": lambda: pixels.swapaxes(0, 1)[::-1, ::-1],
        "8": lambda: pixels.swapaxes(0, 1)[::-1],
    }
    return turned.get(orientation.strip(), lambda: pixels)()
