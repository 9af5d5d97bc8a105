"""Tanks, and what is fitted to them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate, translate

from gardenwater.site.fields import flag, number, option, refer
from gardenwater.site.laying import PipeWay
from gardenwater.site.thing import Thing
from gardenwater.units import Quantity


class TankForm(StrEnum):
    """Shape of a tank."""

    UPRIGHT = "upright"
    BOX = "box"
    LYING = "lying"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank(Thing):
    """A tank.

    Heights of outlet, inlet and overflow are above the tank's own floor, which is `stand_height_m` above the ground.
    """

    kind: ClassVar[str] = "tank"
    word: ClassVar[str] = "Tank"
    geometry: ClassVar[str] = "Point"

    shape: Point
    form: TankForm = option(TankForm.UPRIGHT, "Form", "Size")
    width_m: float = number(
        1.2, "Width", Quantity.LENGTH_M, 0.2, 10.0, "Size", "Diameter of an upright or lying tank, width of a box."
    )
    length_m: float = number(1.2, "Length", Quantity.LENGTH_M, 0.2, 20.0, "Size", "Of a box or lying tank.")
    bearing_deg: float = number(0.0, "Turned", Quantity.ANGLE_DEG, 0.0, 360.0, "Size", "Compass bearing of its length.")
    depth_m: float = number(1.35, "Inside height", Quantity.HEIGHT_M, 0.1, 10.0, "Size")
    capacity_l: float = number(1500.0, "Capacity", Quantity.VOLUME_L, 10.0, 500_000.0, "Size", "To the overflow.")
    empty_kg: float = number(40.0, "Weight when empty", Quantity.MASS_KG, 0.0, 50_000.0, "Size")
    stand_height_m: float = number(
        0.2,
        "Stand height",
        Quantity.HEIGHT_M,
        0.0,
        1.5,
        "Stand, inlet, overflow",
        caution_over=0.6,
        caution="Over 0.6 m a stand needs a builder's advice.",
    )
    outlet_height_m: float = number(
        0.08, "Outlet height", Quantity.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    inlet_height_m: float = number(
        1.32, "Inlet height", Quantity.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    overflow_height_m: float = number(
        1.26, "Overflow height", Quantity.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    water_l: float = number(750.0, "Water now", Quantity.VOLUME_L, 0.0, 500_000.0, "Water")
    opaque: bool = flag(True, "Opaque", "Lid and light", "Light in a tank grows algae (common practice, no source).")
    lid_opening_m: float = number(0.4, "Lid opening", Quantity.LENGTH_M, 0.0, 3.0, "Lid and light")
    lid_locks: bool = flag(True, "Lid locks", "Lid and light")
    children_about: bool = flag(False, "Children can reach it", "Lid and light")
    open_top: bool = flag(False, "Open at the top", "Lid and light", "Its water evaporates.")
    leak_l_day: float = number(
        0.0, "Leaks in a day", Quantity.VOLUME_L, 0.0, 100_000.0, "Water", "Lost as long as there is water in it."
    )
    drained_in_winter: bool = flag(
        False, "Drained in winter", "Water", "Shut off and empty from the settings' first winter month to their last."
    )

    @property
    def footprint(self) -> Polygon:
        """The outline on the plan, m."""
        if self.form is TankForm.UPRIGHT:
            return self.shape.buffer(self.width_m / 2, quad_segs=16)
        half_w, half_l = self.width_m / 2, self.length_m / 2
        outline = shapely.box(-half_w, -half_l, half_w, half_l)
        return translate(rotate(outline, -self.bearing_deg, origin=(0, 0)), self.shape.x, self.shape.y)

    @property
    def water_height_m(self) -> float:
        """Height of the water surface above the tank's floor, for what it holds now."""
        return self.height_at_l(self.water_l)

    def height_at_l(self, volume_l: float) -> float:
        """Height of the water above the floor at `volume_l`, m; the overflow's height when full.

        Dead water below the outlet counts.
        """
        share = min(max(volume_l / self.capacity_l, 0.0), 1.0)
        if self.form is TankForm.LYING:
            return self.overflow_height_m * _lying_height_share(share)
        return self.overflow_height_m * share

    def volume_at_m(self, height_m: float) -> float:
        """Litres held when the water stands `height_m` above the floor, at most the capacity."""
        share = min(max(height_m / self.overflow_height_m, 0.0), 1.0) if self.overflow_height_m > 0 else 0.0
        if self.form is TankForm.LYING:
            angle = math.acos(1 - 2 * share)
            share = (angle - math.sin(angle) * math.cos(angle)) / math.pi
        return self.capacity_l * share


def _lying_height_share(volume_share: float) -> float:
    """Height share of a lying cylinder at a volume share, by bisection (the law is monotone)."""
    low, high = 0.0, 1.0
    for _ in range(60):
        mid = (low + high) / 2
        angle = math.acos(1 - 2 * mid)
        if (angle - math.sin(angle) * math.cos(angle)) / math.pi < volume_share:
            low = mid
        else:
            high = mid
    return (low + high) / 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap(Thing):
    """A tap: water is drawn into cans here."""

    kind: ClassVar[str] = "tap"
    word: ClassVar[str] = "Tap"
    geometry: ClassVar[str] = "Point"

    shape: Point
    tank: str = refer("From tank", "tank")
    height_m: float = number(0.5, "Height", Quantity.HEIGHT_M, 0.0, 3.0, "Tap")


@dataclass(frozen=True, slots=True, kw_only=True)
class Link(Thing):
    """A pipe between two tanks, from the middle of one to the middle of the other."""

    kind: ClassVar[str] = "link"
    word: ClassVar[str] = "Link"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank_a: str = refer("From", "tank", "Link")
    tank_b: str = refer("To", "tank", "Link")
    height_m: float = number(0.1, "Height", Quantity.HEIGHT_M, 0.0, 10.0, "Link", "Above the floor of the first tank.")
    bore_mm: float = number(40.0, "Bore", Quantity.BORE_MM, 8.0, 300.0, "Link")
    way: PipeWay = option(PipeWay.GROUND, "Lies", "Link", "Straight: dug in or carried, level from end to end.")
    valve: bool = flag(True, "Has a valve", "Link")
    float_height_m: float | None = number(
        None,
        "Float shuts at",
        Quantity.HEIGHT_M,
        0.0,
        10.0,
        "Link",
        "With a float valve: the second tank fills from the first up to here, above its floor. Empty: an open link.",
    )
