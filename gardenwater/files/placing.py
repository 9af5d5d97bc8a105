"""How a raster's or a table's map reference becomes a site's: a projected CRS in metres, x east and y north."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.files.asking import Choice, NeedsAnswer
from gardenwater.files.gis import pyproj
from gardenwater.files.words import shown_name, unreadable

LOCAL = ""
"""The answer to "which map reference?" for a sheet of its own, in metres."""

Bounds = tuple[float, float, float, float]
_STRETCH = 0.01
_WIDEST_DEG = 6.0
_DEGREES = (180.0, 90.0)


class Way(StrEnum):
    """How coordinates get into the site's CRS."""

    AS_IS = "as it is"
    SCALED = "times a factor"
    DRAWN_ANEW = "projected anew"


@dataclass(frozen=True, slots=True)
class Placing:
    """From a file's coordinates to a site's.

    crs: the site's CRS, "EPSG:n" or WKT, empty for a sheet of its own. factor: metres in one unit of the file. source:
    the file's CRS as pyproj has it, None for a sheet of its own. notice: a sentence about what is done, or empty.
    """

    crs: str
    way: Way = Way.AS_IS
    factor: float = 1.0
    source: Any = None
    notice: str = ""


def crs_of_words(words: str, where: Path) -> Any:
    """The CRS that somebody named (EPSG code, WKT, PROJ words); FileError when nobody knows it."""
    package = pyproj()
    try:
        return package.CRS.from_user_input(f"EPSG:{words}" if words.isdigit() else words)
    except package.exceptions.ProjError as problem:
        raise unreadable(
            where, f'"{words}" is no map reference that is known', "Give an EPSG code, for example EPSG:25832."
        ) from problem


def flat_map_reference(words: str) -> str:
    """A map reference that a site can lie in, in its short form: a flat map in metres, x east and y north.

    words: EPSG code, "EPSG:n", WKT. Raises InputError for one that nobody knows, or that is no such map.
    """
    package = pyproj()
    mend = "Give the EPSG code of a flat map in metres, for example EPSG:25832."
    try:
        crs = _flat(package.CRS.from_user_input(f"EPSG:{words}" if words.isdigit() else words))
    except package.exceptions.ProjError:
        raise InputError(f'"{words}" is no map reference that is known.', where="crs", mend=mend) from None
    directions = {axis.direction for axis in crs.axis_info[:2]}
    if not crs.is_projected or directions != {"east", "north"} or crs.axis_info[0].unit_conversion_factor != 1.0:
        raise InputError(f"{crs.name} is no flat map in metres, x east and y north.", where="crs", mend=mend)
    return name_of(crs)


def name_of(crs: Any) -> str:
    """The short form of a CRS: "EPSG:n" where it has a number, else WKT."""
    code = crs.to_epsg()
    return f"EPSG:{code}" if code else str(crs.to_wkt())


def ask_for_crs(path: Path, bounds: Bounds) -> NeedsAnswer:
    """The question for a file that has no map reference; figures that could be degrees are offered as such."""
    choices = [Choice(LOCAL, "A sheet of its own, in metres")]
    if abs(bounds[0]) <= _DEGREES[0] >= abs(bounds[2]) and abs(bounds[1]) <= _DEGREES[1] >= abs(bounds[3]):
        choices.append(Choice("EPSG:4326", "Degrees of longitude and latitude (WGS 84)"))
    return NeedsAnswer(
        f'Could not read "{shown_name(path)}": it has no map reference.',
        question="Say which one it is in, or take it as a sheet of its own in metres.",
        choices=tuple(choices),
        keyword="crs",
        typed=True,
    )


def placing_of(crs: Any, bounds: Bounds, path: Path, *, to_crs: str = "") -> Placing:
    """How to get from `crs` to metres east and north, or to `to_crs` when the site has a CRS already.

    bounds: west, south, east, north in `crs`: where the site is, for the zone and for how true distances are there.
    """
    flat = _flat(crs)
    if not (flat.is_projected or flat.is_geographic):
        return _local_placing(flat, path)
    if to_crs:
        wanted = crs_of_words(to_crs, path)
        if wanted == flat:
            return Placing(to_crs, source=flat)
        notice = f"It was drawn anew from {flat.name} in the site's {wanted.name}."
        return Placing(to_crs, Way.DRAWN_ANEW, source=flat, notice=notice)
    why = _why_not_as_it_is(flat, bounds)
    if why:
        zone = _zone_of(flat, bounds, path)
        return Placing(name_of(zone), Way.DRAWN_ANEW, source=flat, notice=f"{why}: it was drawn anew in {zone.name}.")
    factor = float(flat.axis_info[0].unit_conversion_factor)
    if factor == 1.0:
        return Placing(name_of(flat), source=flat)
    notice = f"Its map is in {_plural(flat.axis_info[0].unit_name)}: it was put into metres."
    return Placing(name_of(_in_metres(flat)), Way.SCALED, factor, flat, notice)


def _flat(crs: Any) -> Any:
    """The part of a CRS that is about x and y."""
    if crs.is_compound:
        return _flat(crs.sub_crs_list[0])
    if crs.is_bound:
        return _flat(crs.source_crs)
    return crs.to_2d() if len(crs.axis_info) > 2 else crs


def _local_placing(crs: Any, path: Path) -> Placing:
    if "Engineering" not in crs.type_name:
        raise unreadable(
            path, f'its map reference "{crs.name}" is not of a flat map', "Give it in a projected map reference."
        )
    factor = float(crs.axis_info[0].unit_conversion_factor) if crs.axis_info else 1.0
    return Placing(LOCAL, Way.AS_IS if factor == 1.0 else Way.SCALED, factor)


def _plural(unit: str) -> str:
    return unit[:-4] + "feet" if unit.endswith("foot") else unit + "s"


def _in_metres(crs: Any) -> Any:
    """The same projection with its axes in metres; each parameter keeps its own unit, so nothing moves."""
    definition = crs.to_json_dict()
    definition.pop("id", None)
    definition["name"] = f"{crs.name}, in metres"
    for axis in definition["coordinate_system"]["axis"]:
        axis["unit"] = "metre"
    return pyproj().CRS.from_json_dict(definition)


def _middle(crs: Any, bounds: Bounds) -> tuple[float, float]:
    """Longitude and latitude of the middle of `bounds`, degrees."""
    to_degrees = pyproj().Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
    west, south, east, north = bounds
    longitude, latitude = to_degrees.transform((west + east) / 2, (south + north) / 2)
    return float(longitude), float(latitude)


def _why_not_as_it_is(crs: Any, bounds: Bounds) -> str:
    if crs.is_geographic:
        return "It is in degrees"
    if {axis.direction for axis in crs.axis_info[:2]} != {"east", "north"}:
        return f"The axes of {crs.name} do not run east and north"
    longitude, latitude = _middle(crs, bounds)
    factors = pyproj().Proj(crs).get_factors(longitude, latitude)
    stretches = (factors.meridional_scale, factors.parallel_scale)
    worst = max(stretches, key=lambda stretch: abs(stretch - 1))
    if abs(worst - 1) > _STRETCH:
        return f"A metre in {crs.name} is {1 / worst:.2f} m on the ground here"
    return ""


def _zone_of(crs: Any, bounds: Bounds, path: Path) -> Any:
    """The UTM zone of the middle: six degrees wide, counted from 180 degrees west."""
    longitude, latitude = _middle(crs, bounds)
    if not abs(latitude) <= _DEGREES[1]:
        why = "its figures are no places on the Earth in the map reference it names"
        raise unreadable(path, why, "Say which map reference it is in.")
    if not -80 <= latitude <= 84:
        why = f"it lies at latitude {latitude:.1f}°, beyond the zones"
        raise unreadable(path, why, "Give it in a map reference of the place.")
    to_degrees = pyproj().Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
    west, south, east, north = to_degrees.transform_bounds(*bounds)
    if not (0 <= east - west <= _WIDEST_DEG and 0 <= north - south <= _WIDEST_DEG):
        raise unreadable(path, "it reaches too far for one map", "Choose a part of it.")
    zone = min(int((longitude + 180) // 6) % 60 + 1, 60)
    return pyproj().CRS.from_epsg((32600 if latitude >= 0 else 32700) + zone)


def moved(shape: BaseGeometry, source: str, target: str) -> BaseGeometry:
    """A shape from one CRS to another, x east and y north."""
    to_site = _transformer(source, target)

    def move(points: NDArray[np.float64]) -> NDArray[np.float64]:
        return np.column_stack(to_site.transform(points[:, 0], points[:, 1]))

    return shapely.transform(shapely.force_2d(shape), move)


@lru_cache(maxsize=8)
def _transformer(source: str, target: str) -> Any:
    """Made once for a pair: it takes some hundredths of a second."""
    return pyproj().Transformer.from_crs(source, target, always_xy=True)
