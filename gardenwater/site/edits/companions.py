"""Fields that go along with those changed, so that one field at a time can be typed.

- A tank's capacity is held to its overflow: it goes up and down with the overflow's height. It also takes the measure
  of the tank when width, length or form change so that it no longer fits.
- A tank holds no more water than its capacity: lowering the capacity pours some out.
- A delivery spot has both halves or none: the other half begins at the middle of the bed.
- With the end of a watering line, its fittings, lift and least head become those of the new end's row, where they were
  still those of the old one's.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.site.rules import capacity_fits, most_litres
from gardenwater.site.settle import settled
from gardenwater.site.things import Bed, LineFields, Tank, Thing
from gardenwater.tables import table

_SIZES = frozenset({"form", "width_m", "length_m"})
_TO_L = 10.0
_OF_END = ("fittings_k", "lift_m", "least_head_m")


def companions(thing: Thing, fields: dict[str, Any]) -> dict[str, Any]:
    """The further fields that change when `fields` of a thing do; never one that is given."""
    if isinstance(thing, Tank):
        return _of_tank(thing, fields)
    if isinstance(thing, LineFields):
        return of_line(thing, fields)
    return _of_bed(thing, fields) if isinstance(thing, Bed) else {}


def of_line(line: LineFields, fields: dict[str, Any]) -> dict[str, Any]:
    """The further fields that change when `fields` of a watering line, or of the usual line, do."""
    ends = table("line_ends")
    wanted = fields.get("end", line.end)
    if wanted == line.end or wanted not in ends or line.end not in ends:
        return {}
    old, new = ends.row(line.end), ends.row(wanted)
    untouched = [name for name in _OF_END if name not in fields and getattr(line, name) == getattr(old, name)]
    return {name: getattr(new, name) for name in untouched}


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
