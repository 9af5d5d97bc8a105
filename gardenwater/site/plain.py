"""Things as plain values for JSON, and back, without loss.

A shape is {"type", "coordinates"}, x and y in metres of the site's CRS; numbers are as they are held, SI; an option is
its word. Fields that are missing take their usual value, so that what an older version wrote can be read; fields that
are not known are refused.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping, Sequence
from enum import StrEnum
from typing import Any, TypeVar

import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry import mapping, shape
from shapely.geometry.base import BaseGeometry

from gardenwater.errors import InputError
from gardenwater.site.settle import settled
from gardenwater.site.things import BY_KIND, Thing
from gardenwater.site.validate import check

Plain = dict[str, Any]
"""A JSON object: str keys; values None, bool, int, float, str, list or dict."""

R = TypeVar("R")
_MEND = "It was cut short or changed by hand; take an earlier copy."


def _value(value: Any) -> Any:
    if isinstance(value, BaseGeometry):
        return shape_to_plain(value)
    return value.value if isinstance(value, StrEnum) else value


def _fields(record: Any) -> Plain:
    return {each.name: _value(getattr(record, each.name)) for each in dataclasses.fields(record)}


def _made(kind: type[R], plain: Any, where: str) -> R:
    """A record of `kind`, settled; InputError for what is no object, for unknown fields and for missing ones."""
    if not isinstance(plain, Mapping):
        raise InputError("It is not an object of fields.", where=where, mend=_MEND)
    known = {each.name: each for each in dataclasses.fields(kind)}  # type: ignore[arg-type]
    unknown = [str(name) for name in plain if name not in known]
    if unknown:
        mend = "It was written by a later version, or changed by hand."
        raise InputError(f'There is no field "{unknown[0]}".', where=where, mend=mend)
    try:
        return settled(kind(**plain))
    except TypeError as cause:
        raise InputError("A field is missing.", where=where, mend=_MEND) from cause


def shape_to_plain(geometry: BaseGeometry) -> Plain:
    """A shape as {"type", "coordinates"}; points as [x, y], lines as lists of points, outlines as lists of rings."""
    told = mapping(geometry)
    return {"type": told["type"], "coordinates": _lists(told["coordinates"])}


def _lists(nested: Any) -> Any:
    return [_lists(each) for each in nested] if isinstance(nested, Sequence) else nested


def _refuse_not_finite(nested: Any) -> None:
    """Raise ValueError for a coordinate that is no finite number; shapely would only warn."""
    if isinstance(nested, Sequence) and not isinstance(nested, str):
        for each in nested:
            _refuse_not_finite(each)
    elif not math.isfinite(nested):
        raise ValueError


def shape_from_plain(plain: Any, where: str = "shape") -> Point | LineString | Polygon:
    """The shape of {"type", "coordinates"}. Raises InputError for what is no point, line or outline."""
    try:
        _refuse_not_finite(plain["coordinates"])
        geometry = shape(plain)
    except (
        LookupError,
        ArithmeticError,
        RecursionError,
        AttributeError,
        TypeError,
        ValueError,
        shapely.errors.ShapelyError,
    ) as cause:
        raise InputError("It is no shape.", where=where, mend=_MEND) from cause
    if not isinstance(geometry, Point | LineString | Polygon) or geometry.geom_type == "LinearRing":
        raise InputError(f"It is a {geometry.geom_type}.", where=where, mend="Give a point, a line or an outline.")
    return geometry


def thing_to_plain(thing: Thing) -> Plain:
    """A thing as a JSON object: `kind`, and every field by its name."""
    return {"kind": thing.kind, **_fields(thing)}


def thing_from_plain(plain: Any) -> Thing:
    """The thing of a JSON object, checked.

    Raises InputError for what is no thing, EditError for fields out of range.
    """
    if not isinstance(plain, Mapping) or not isinstance(plain.get("kind"), str) or plain["kind"] not in BY_KIND:
        kind = plain.get("kind") if isinstance(plain, Mapping) else plain
        mend = f"Its kind is one of: {', '.join(BY_KIND)}."
        raise InputError(f"There is no kind of thing {str(kind)[:40]!r}.", where="kind", mend=mend)
    fields = {str(name): value for name, value in plain.items() if name != "kind"}
    where = f"{plain['kind']} {fields.get('id', '')}".strip()
    if "shape" in fields:
        fields["shape"] = shape_from_plain(fields["shape"], f"{where}, shape")
    thing = _made(BY_KIND[plain["kind"]], fields, where)
    check(thing)
    return thing
