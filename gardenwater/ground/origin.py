"""The ground of a site, from the best there is: a raster, what was measured, or flat."""

from __future__ import annotations

import numpy as np

from gardenwater.errors import InputError
from gardenwater.ground.answer import GroundAnswer, GroundOrigin
from gardenwater.ground.gathering import MOST_THIN_PLATE, Gathered, gather
from gardenwater.ground.grid import Grid, extent_of, grid_over
from gardenwater.ground.laying import Laid, cut_to, hull_of, lay_straight, lay_thin_plate, margin_of
from gardenwater.ground.model import Ground
from gardenwater.site.model import GroundHandle, GroundKind, Site
from gardenwater.units import Quantity, text
from gardenwater.work import Cancel, Progress

_LEAST_ENCLOSED = 4
_LEAST_SHOWN_M = 0.01


def ground_of(site: Site, *, cancel: Cancel | None = None, progress: Progress | None = None) -> GroundAnswer:
    """The ground of a site, where it comes from, and how good it is.

    In this order: the site's raster; a surface laid through its level pegs (the level book's levels before the pegs'
    own), slope arrows and traced contours; flat at the settings' level over the things' extent.

    Up to 600 measurements are laid as a thin plate (`spline`: it passes near each as its error says, and knows its own
    error), more straight between (`straight`). From four spots that enclose some ground, levels are given inside their
    hull and one usual spacing (2 to 10 m) beyond it for the thin plate, not beyond it for the straight; NaN elsewhere.
    From fewer, the plane they show goes on over the things' extent, with an error that says so.

    Raises InputError for a raster handle that holds no ground; Cancelled.
    """
    if site.ground is not None:
        return _from_raster(site, site.ground)
    gathered = gather(site)
    if not len(gathered.measured):
        return _flat(site, gathered.notices)
    return _laid_answer(site, gathered, cancel, progress)


def _from_raster(site: Site, handle: GroundHandle) -> GroundAnswer:
    ground = handle.payload
    if not isinstance(ground, Ground):
        raise InputError("The site's raster has no levels.", where="ground", mend="Import the raster again.")
    units = site.settings.units
    notices = [f"Levels are from {handle.source or 'a raster'}.", *handle.notices]
    if handle.kind is GroundKind.SURFACE:
        notices.append("This raster shows roofs and trees as ground. Reach and overflow under them are not true.")
    elif handle.kind is GroundKind.UNKNOWN:
        notices.append(
            "It is not said whether this raster is of the bare earth; if not, roofs and trees read as ground."
        )
    if handle.shift_m or handle.tilt_east or handle.tilt_north:
        tilted = " and tilted" if handle.tilt_east or handle.tilt_north else ""
        notices.append(
            f"It was shifted by {text(handle.shift_m, Quantity.HEIGHT_M, units)}{tilted} to fit the level pegs."
        )
    return GroundAnswer(
        ground=ground,
        origin=GroundOrigin.RASTER,
        uncertainty_m=None,
        hull=None,
        notices=tuple(notices),
        level_error_m=site.settings.ground_error_m,
    )


def _flat(site: Site, notices: tuple[str, ...]) -> GroundAnswer:
    grid = grid_over(extent_of(site), site.settings.cell_m)
    level = text(site.settings.flat_level_m, Quantity.LEVEL_M, site.settings.units)
    words = f"No levels yet: the ground is taken as flat at {level}. Add three level pegs or a raster."
    return GroundAnswer(
        ground=Ground(np.full(grid.shape, site.settings.flat_level_m, dtype=np.float32), grid.transform, site.crs),
        origin=GroundOrigin.FLAT,
        uncertainty_m=None,
        hull=None,
        notices=(words, *notices, *_coarsened(site, grid)),
        level_error_m=site.settings.ground_error_m,
    )


def _laid_answer(site: Site, gathered: Gathered, cancel: Cancel | None, progress: Progress | None) -> GroundAnswer:
    measured = gathered.measured
    hull = hull_of(measured)
    straight = len(measured) > MOST_THIN_PLATE and hull is not None
    margin_m = 0.0 if straight or hull is None else margin_of(measured)
    area = hull.buffer(margin_m, quad_segs=8) if hull is not None and len(measured.spots) >= _LEAST_ENCLOSED else None
    grid = grid_over(extent_of(site) if area is None else area.bounds, site.settings.cell_m)
    if straight:
        laid = lay_straight(measured, grid, cancel=cancel, progress=progress)
    else:
        laid = lay_thin_plate(measured, grid, datum_m=site.settings.flat_level_m, cancel=cancel, progress=progress)
    if area is not None:
        laid = cut_to(laid, grid, area)
    error_m = _usual_error(laid if hull is None else cut_to(laid, grid, hull), site)
    laid.error_m.flags.writeable = False
    limits = () if area is None else (_limit(site, margin_m),)
    return GroundAnswer(
        ground=Ground(laid.level_m, grid.transform, site.crs),
        origin=_origin(gathered),
        uncertainty_m=laid.error_m,
        hull=hull,
        notices=(*_sources(site, gathered, error_m), *gathered.notices, *limits, *_coarsened(site, grid)),
        level_error_m=error_m,
        spots=gathered.pegs or gathered.contours or gathered.arrows,
    )


def _usual_error(inside: Laid, site: Site) -> float:
    """The median error inside the hull, at least that of the levelling."""
    known = inside.error_m[~np.isnan(inside.error_m)]
    usual_m = float(np.median(known)) if known.size else 0.0
    return max(usual_m, site.settings.levelling_error_m, _LEAST_SHOWN_M)


def _origin(gathered: Gathered) -> GroundOrigin:
    if gathered.contours:
        return GroundOrigin.MIXED if gathered.pegs else GroundOrigin.CONTOURS
    return GroundOrigin.PEGS if gathered.pegs else GroundOrigin.ARROWS


def _sources(site: Site, gathered: Gathered, error_m: float) -> tuple[str, ...]:
    """Where the levels come from and how good they are, and what is taken for granted."""
    settings = site.settings
    counts = ((gathered.pegs, "peg"), (gathered.arrows, "slope arrow"), (gathered.contours, "contour"))
    parts = [f"{count} {word}" if count == 1 else f"{count} {word}s" for count, word in counts if count]
    named = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    words = [f"Levels are from {named}, good to {text(error_m, Quantity.HEIGHT_M, settings.units)}."]
    if not gathered.pegs and not gathered.contours:
        level = text(settings.flat_level_m, Quantity.LEVEL_M, settings.units)
        words.append(f"No level is known, only falls: the middle of the slope arrows is taken as {level}.")
    spots = gathered.pegs + gathered.contours
    if 0 < gathered.pegs < 3 and not gathered.contours and spots + gathered.arrows < 3:
        words.append("That is too little to show the fall: where nothing shows it, the ground is taken as level.")
    return tuple(words)


def _limit(site: Site, margin_m: float) -> str:
    if margin_m == 0:
        return "No levels are given outside the outermost points."
    beyond = text(margin_m, Quantity.LENGTH_M, site.settings.units)
    return f"No levels are given more than {beyond} outside the outermost points."


def _coarsened(site: Site, grid: Grid) -> tuple[str, ...]:
    if not grid.coarsened:
        return ()
    units = site.settings.units
    cell, asked = text(grid.cell_m, Quantity.LENGTH_M, units), text(grid.asked_m, Quantity.LENGTH_M, units)
    return (f"Cells are {cell} wide instead of {asked}: finer ones would be more than 4 million.",)
