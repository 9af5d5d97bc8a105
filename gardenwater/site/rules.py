"""What fields of one thing ask of each other."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

from shapely import Point

from gardenwater.errors import InputError
from gardenwater.site.calendar import year_day
from gardenwater.site.fault import Fault
from gardenwater.site.fields import specs
from gardenwater.site.things import Bed, Link, Pond, Tank, TankForm, Thing
from gardenwater.units import Quantity, UnitSystem, exact_text, text

CAPACITY_OVER = 1.2
"""How much more than its outline times its overflow's height a tank may hold: sizes are rounded, walls bulge."""
CAPACITY_UNDER = 0.1
"""How little of that it may hold: tapered and hollowed tanks hold less, a tenth is a slip of the pen."""
SPOT_SLACK_M = 0.01


def _label(thing: Thing, field: str) -> str:
    return specs(type(thing))[field].label


def _not_over(thing: Thing, field: str, limit: str, system: UnitSystem, *, equal: bool = True) -> Iterator[Fault]:
    """`field` must not be over `limit` (nor equal to it, unless `equal`)."""
    value, most = getattr(thing, field), getattr(thing, limit)
    if value < most or (equal and value == most):
        return
    spec = specs(type(thing))[field]
    quantity = spec.quantity or Quantity.NUMBER
    told, over = exact_text(value, quantity, system), exact_text(most, quantity, system)
    how = "over" if value > most else "not below"
    name = _label(thing, limit).lower()
    mend = f"Give {'at most' if equal else 'less than'} {over}, or change the {name} first."
    yield Fault(spec.label, f"{spec.label}, {told}, is {how} the {name}, {over}.", mend)


def most_litres(tank: Tank) -> float:
    """What the outline of a tank holds up to its overflow, L; the tank itself holds a little less."""
    round_m2, box_m2 = math.pi * tank.width_m**2 / 4.0, tank.width_m * tank.length_m
    return (round_m2 if tank.form is TankForm.UPRIGHT else box_m2) * tank.overflow_height_m * 1000.0


def capacity_fits(tank: Tank) -> bool:
    """Whether a tank may hold what it is said to, by its size."""
    return CAPACITY_UNDER <= tank.capacity_l / most_litres(tank) <= CAPACITY_OVER


def _capacity(tank: Tank, system: UnitSystem) -> Iterator[Fault]:
    # Nothing to compare with where the overflow is at the floor; its own rule says so.
    if tank.overflow_height_m == 0.0 or capacity_fits(tank):
        return
    holds, box = (text(litres, Quantity.VOLUME_L, system) for litres in (tank.capacity_l, most_litres(tank)))
    what = f"A tank of this size holds about {box} up to its overflow, not {holds}."
    mend = f"Give about {box}, or change its width, length and overflow height first."
    yield Fault(_label(tank, "capacity_l"), what, mend)


def _tank(tank: Tank, system: UnitSystem) -> Iterator[Fault]:
    # The inlet may lie below the overflow: a drowned inlet works.
    yield from _not_over(tank, "overflow_height_m", "depth_m", system)
    yield from _not_over(tank, "inlet_height_m", "depth_m", system)
    yield from _not_over(tank, "outlet_height_m", "overflow_height_m", system, equal=False)
    yield from _capacity(tank, system)
    yield from _not_over(tank, "water_l", "capacity_l", system)


def _link(link: Link, _: UnitSystem) -> Iterator[Fault]:
    if link.tank_a and link.tank_a == link.tank_b:
        yield Fault(_label(link, "tank_b"), "It joins a tank to itself.", "Choose another tank at one end.")


def _pond(pond: Pond, system: UnitSystem) -> Iterator[Fault]:
    yield from _not_over(pond, "freeboard_m", "depth_m", system)


def _bed(bed: Bed, _: UnitSystem) -> Iterator[Fault]:
    x, y = bed.deliver_x_m, bed.deliver_y_m
    label = _label(bed, "deliver_x_m" if x is None else "deliver_y_m")
    if (x is None) != (y is None):
        yield Fault(label, "Only one half of the delivery spot is given.", "Give it east and north, or neither.")
    elif x is not None and y is not None and bed.shape.distance(Point(x, y)) > SPOT_SLACK_M:
        yield Fault(label, "The delivery spot is not on the bed.", "Put it on the bed, or leave it empty.")
    for field in ("sown", "second_sown"):
        try:
            if getattr(bed, field):
                year_day(getattr(bed, field))
        except InputError as error:
            yield Fault(_label(bed, field), error.what, error.mend)


_RULES: dict[type[Thing], Callable[[Any, UnitSystem], Iterator[Fault]]] = {
    Tank: _tank,
    Link: _link,
    Pond: _pond,
    Bed: _bed,
}


def rule_faults(thing: Thing, system: UnitSystem) -> Iterator[Fault]:
    """The faults between fields of a thing whose every field may be what it is."""
    rules = _RULES.get(type(thing))
    return rules(thing, system) if rules else iter(())
