"""Fields that go along with those changed, so that one field at a time can be typed.

- A tank's capacity is held to its overflow: it goes up and down with the overflow's height. It also takes the measure
  of the tank when width, length or form change so that it no longer fits.
- A tank holds no more water than its capacity: lowering the capacity pours some out.
- A delivery spot has both halves or none: the other half begins at the middle of the bed.
- With the end of a watering line, its lift and least head become those of the new end's row, and the loss of all
  fittings too, where they were still those of the old one's. When its fittings are named, the loss is that of its end
  and of each of them.
- With its wall goes its roughness. With its emitters goes the flow that is wanted: what they give at their least head.
"""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.errors import InputError
from gardenwater.site.fields import specs
from gardenwater.site.listing import items_of
from gardenwater.site.rules import capacity_fits, most_litres
from gardenwater.site.settle import settled
from gardenwater.site.things import Bed, LineFields, Tank, Thing
from gardenwater.tables import table

_SIZES = frozenset({"form", "width_m", "length_m"})
_TO_L = 10.0
_OF_END = ("fittings_k", "lift_m", "least_head_m")
_OF_EMITTERS = frozenset({"emitters", "emitter_l_h", "emitter_exponent", "least_head_m"})
_EMITTER_HEAD_M = 10.0


def companions(thing: Thing, fields: dict[str, Any]) -> dict[str, Any]:
    """The further fields that change when `fields` of a thing do; never one that is given."""
    if isinstance(thing, Tank):
        return _of_tank(thing, fields)
    if isinstance(thing, LineFields):
        return of_line(thing, fields)
    return _of_bed(thing, fields) if isinstance(thing, Bed) else {}


def of_line(line: LineFields, fields: dict[str, Any]) -> dict[str, Any]:
    """The further fields that change when `fields` of a watering line, or of the usual line, do."""
    also = _of_end(line, fields) | _of_fittings(line, fields)
    wall = fields.get("wall", line.wall)
    if wall != line.wall and wall in table("line_walls"):
        also["roughness_mm"] = table("line_walls").row(wall).roughness_mm
    also |= _of_emitters(line, fields)
    return {name: value for name, value in also.items() if name not in fields}


def _of_end(line: LineFields, fields: dict[str, Any]) -> dict[str, Any]:
    ends = table("line_ends")
    wanted = fields.get("end", line.end)
    if wanted == line.end or wanted not in ends or line.end not in ends:
        return {}
    old, new = ends.row(line.end), ends.row(wanted)
    return {name: getattr(new, name) for name in _OF_END if getattr(line, name) == getattr(old, name)}


def _of_fittings(line: LineFields, fields: dict[str, Any]) -> dict[str, Any]:
    """The loss of all fittings, when these or the end they go with change; words that are no fittings are left."""
    end, named = fields.get("end", line.end), fields.get("fittings", line.fittings)
    if not {"end", "fittings"} & fields.keys() or end not in table("line_ends") or not isinstance(named, str):
        return {}
    if not named.strip():
        return {"fittings_k": table("line_ends").row(end).fittings_k} if line.fittings else {}
    try:
        losses = [number * table("line_fittings").row(key).loss_k for key, number in items_of(named)]
    except InputError:
        return {}
    return {"fittings_k": round(table("line_ends").row(end).end_k + sum(losses), 3)}


def _of_emitters(line: LineFields, fields: dict[str, Any]) -> dict[str, Any]:
    given = {name: fields.get(name, getattr(line, name)) for name in _OF_EMITTERS}
    if not _OF_EMITTERS & fields.keys() or not all(_positive(value) for value in given.values()):
        return {}
    each_l_h = given["emitter_l_h"] * (given["least_head_m"] / _EMITTER_HEAD_M) ** given["emitter_exponent"]
    spec = specs(LineFields)["wanted_l_min"]
    return {"wanted_l_min": round(min(max(given["emitters"] * each_l_h / 60.0, spec.least), spec.most), 3)}


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
