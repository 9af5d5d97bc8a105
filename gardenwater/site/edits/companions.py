"""Fields that go along with those changed, so that one field at a time can be typed.

- A tank's capacity is held to its overflow: it goes up and down with the overflow's height. It also takes the measure
  of the tank when width, length or form change so that it no longer fits.
- A tank holds no more water than its capacity: lowering the capacity pours some out.
- A delivery spot has both halves or none: the other half begins at the middle of the bed.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.site.rules import capacity_fits, most_litres
from gardenwater.site.settle import settled
from gardenwater.site.things import Bed, Tank, Thing

_SIZES = frozenset({"form", "width_m", "length_m"})
_TO_L = 10.0


def companions(thing: Thing, fields: dict[str, Any]) -> dict[str, Any]:
    """The further fields that change when `fields` of a thing do; never one that is given."""
    if isinstance(thing, Tank):
        return _of_tank(thing, fields)
    return _of_bed(thing, fields) if isinstance(thing, Bed) else {}


def _positive(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0.0 < value < float("inf")


def _capacity_l(tank: Tank, fields: dict[str, Any]) -> float:
    """The capacity after a change of sizes; values that are no sizes are left for the check to refuse."""
    overflow_m = fields.get("overflow_height_m", tank.overflow_height_m)
    if not (_positive(overflow_m) and _positive(tank.overflow_height_m)):
        return tank.capacity_l
    capacity_l = float(tank.capacity_l * overflow_m / tank.overflow_height_m)
    resized = settled(dataclasses.replace(tank, **fields, capacity_l=capacity_l))
    sized = _positive(resized.width_m) and _positive(resized.length_m)
    if not sized or not _SIZES & fields.keys() or capacity_fits(resized):
        return capacity_l
    return max(_TO_L, round(most_litres(resized) / _TO_L) * _TO_L)


def _of_tank(tank: Tank, fields: dict[str, Any]) -> dict[str, Any]:
    also: dict[str, Any] = {}
    if "capacity_l" not in fields and (_SIZES | {"overflow_height_m"}) & fields.keys():
        also["capacity_l"] = _capacity_l(tank, fields)
    capacity_l = (fields | also).get("capacity_l", tank.capacity_l)
    if "water_l" not in fields and _positive(capacity_l) and capacity_l < tank.water_l:
        also["water_l"] = float(capacity_l)
    return also


def _of_bed(bed: Bed, fields: dict[str, Any]) -> dict[str, Any]:
    halves = {"deliver_x_m", "deliver_y_m"}
    given = halves & fields.keys()
    if len(given) != 1:
        return {}
    (other,) = halves - given
    if fields[given.pop()] is None:
        return {other: None}
    if getattr(bed, other) is not None:
        return {}
    middle = bed.shape.representative_point()
    return {other: middle.x if other == "deliver_x_m" else middle.y}
