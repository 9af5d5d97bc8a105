"""Values as a site keeps them: floats, members of their enums, trimmed words, shapes on the plan."""

from __future__ import annotations

import dataclasses
import math
from typing import Any, TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.site.fields import FieldSpec, specs

R = TypeVar("R")


def settled(record: R) -> R:
    """A thing, settings or usual line as it is kept.

    What cannot be settled (words where a number belongs) is left as it is, for `validate` to say.
    """
    changes: dict[str, Any] = {}
    for name, spec in specs(type(record)).items():
        value = getattr(record, name)
        kept = _settled_value(value, spec)
        if kept is not value:
            changes[name] = kept
    shape = getattr(record, "shape", None)
    if isinstance(shape, BaseGeometry) and shape.has_z:
        changes["shape"] = shapely.force_2d(shape)
    return dataclasses.replace(record, **changes) if changes else record  # type: ignore[type-var]


def _as_float(number: float) -> float:
    try:
        return float(number)
    except OverflowError:  # a whole number of more than 308 digits
        return math.inf


def _settled_value(value: Any, spec: FieldSpec) -> Any:
    if spec.quantity is not None and isinstance(value, int | float) and not isinstance(value, bool):
        return value if type(value) is float else _as_float(value)
    if spec.options is not None:
        return spec.options(value) if value in list(spec.options) else value
    return value.strip() if isinstance(value, str) else value
