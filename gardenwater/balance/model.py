"""What a balance is run on: tanks, links, pipes, beds and the rules between them, as values.

Volumes in m3, levels in m above the site's datum. Everything is frozen; arrays are float64 and read-only.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from gardenwater.errors import InputError
from gardenwater.site.storing import BedOrder, TankOrder, YieldRule

if TYPE_CHECKING:
    from gardenwater.demand import BedDays

Floats = NDArray[np.float64]

_LYING_STEPS = 192


def held(values: ArrayLike) -> Floats:
    """A copy as float64 that nobody can change."""
    array = np.array(values, dtype=np.float64, copy=True)
    array.flags.writeable = False
    return array


def straight_on(at: ArrayLike, given: Floats, sought: Floats) -> Floats:
    """What a rising table says at places: straight between its points and past its last, its first value before it."""
    places = np.asarray(at, dtype=np.float64)
    past = np.maximum(places - given[-1], 0.0)
    inside: Floats = np.interp(places, given, sought) + past * (sought[-1] - sought[-2]) / (given[-1] - given[-2])
    return inside


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """How much a tank holds at each height: straight between the points of a table.

    height_m: above the floor, rising, the first 0; volume_m3: rising, the first 0; both float64 (points,). Above the
    last point it goes on as steeply as there (water that is about to spill stands there for a moment).
    Raises InputError for anything else.
    """

    height_m: Floats
    volume_m3: Floats

    def __post_init__(self) -> None:
        height, volume = held(self.height_m), held(self.volume_m3)
        fits = height.ndim == 1 and height.shape == volume.shape and height.size > 1
        if not (fits and height[0] == volume[0] == 0 and (np.diff(height) > 0).all() and (np.diff(volume) > 0).all()):
            raise InputError(
                "A tank's table of heights and volumes must rise from 0, 0.",
                where="height_m, volume_m3",
                mend="Give both in rising order, the floor first.",
            )
        object.__setattr__(self, "height_m", height)
        object.__setattr__(self, "volume_m3", volume)

    @classmethod
    def straight(cls, volume_m3: float, height_m: float) -> Shape:
        """A box or an upright cylinder that holds `volume_m3` up to `height_m`."""
        return cls(height_m=held([0.0, height_m]), volume_m3=held([0.0, volume_m3]))

    @classmethod
    def lying(cls, volume_m3: float, height_m: float) -> Shape:
        """A lying cylinder of the diameter `height_m` that holds `volume_m3` in all.

        As a table of 193 points, closest where the cylinder is narrow: at most 2e-5 of the volume beside the circle.
        """
        turn = np.linspace(0.0, np.pi, _LYING_STEPS + 1)
        share = (turn - np.sin(turn) * np.cos(turn)) / np.pi
        return cls(height_m=held(height_m * (1.0 - np.cos(turn)) / 2.0), volume_m3=held(volume_m3 * share))

    def volume_at(self, height_m: float) -> float:
        """m3 up to a height; negative heights hold nothing, NaN gives NaN."""
        if self.height_m.size == 2:  # most tanks
            return max(float(height_m), 0.0) * float(self.volume_m3[1] / self.height_m[1])
        return float(straight_on(height_m, self.height_m, self.volume_m3))

    def volumes_at(self, height_m: Floats) -> Floats:
        """m3 up to each height, float64 of the same shape."""
        return straight_on(height_m, self.height_m, self.volume_m3)

    def scaled(self, factor: float) -> Shape:
        """As high, and `factor` times as wide."""
        return Shape(height_m=self.height_m, volume_m3=self.volume_m3 * factor)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Store:
    """One tank.

    floor_level_m: of its inside. rim_height_m: of its overflow above the floor. outlet_height_m: the water below it is
    dead. can_height_m: cans are filled from what stands above it (a tap's height; the outlet's where there is no tap).
    start_m3: what it holds before the first day. open_m2: open water surface that evaporates, 0 under a lid.
    leak_m3: lost in a day, as long as there is water. winter: shut off and drained while it is winter.
    overflow_to: id of the tank that its overflow runs into, or empty.
    """

    id: str
    shape: Shape
    floor_level_m: float
    rim_height_m: float
    outlet_height_m: float = 0.0
    can_height_m: float | None = None
    start_m3: float = 0.0
    open_m2: float = 0.0
    leak_m3: float = 0.0
    winter: bool = False
    overflow_to: str = ""

    @property
    def capacity_m3(self) -> float:
        """What it holds up to its overflow."""
        return self.shape.volume_at(self.rim_height_m)

    @property
    def dead_m3(self) -> float:
        """What stands below its outlet and cannot be drawn."""
        return self.shape.volume_at(self.outlet_height_m)

    @property
    def rim_level_m(self) -> float:
        """Level of its overflow."""
        return self.floor_level_m + self.rim_height_m


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pipe:
    """A link between two tanks. Water above `level_m` passes; what stands below it does not.

    head_m, flow_m3_s: what flows at each difference of levels, float64 (points,), both rising from 0; None for a pipe
    that levels at once. float_level_m: with a float valve at the second tank, water passes one way only and until it
    stands so high there; None without one.
    """

    id: str
    first: str
    second: str
    level_m: float
    head_m: Floats | None = None
    flow_m3_s: Floats | None = None
    float_level_m: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """One diverter on a downpipe. tank: id of the tank that it fills.

    stops: it stops when its tank is full and the rest goes on down the pipe; else the tank overflows.
    share: of what comes down to it that it leads aside, while all diverters above it are open (from 0 to 1).
    share_after: of what a stopped diverter just above it lets pass.
    """

    id: str
    tank: str
    stops: bool = True
    share: float = 1.0
    share_after: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gather:
    """What one downpipe gathers. m3_mm: of each millimetre of rain, coefficient and filter taken off.

    first_flush_m3: kept back at the start of each rain. feeds: its diverters, highest first.
    """

    id: str
    m3_mm: float
    first_flush_m3: float = 0.0
    feeds: tuple[Feed, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plot:
    """One bed.

    needed_level_m: for each tank the least water level that serves it by gravity, float64 (tanks,), NaN = no way.
    minutes_per_l: for each tank the time a litre takes to the bed through the line, float64 (tanks,), NaN = no way.
    need_l: what it wants each day, float64 (days,), whatever it got before; or None, and `days` says how its root zone
    dries (`demand.bed_days`). by_can: whether cans are carried to it.
    """

    id: str
    area_m2: float
    needed_level_m: Floats
    minutes_per_l: Floats | None = None
    need_l: Floats | None = None
    days: BedDays | None = None
    by_can: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """How the store is used. The defaults are those of the site's settings, which say them to people.

    yield_rule: whether a day's draw is decided before its rain (yield after spillage: Jenkins 1978; Fewkes and Butler
    2000) or after it. cans_a_day: what one will carry; can_l: what one can holds. minutes_a_can: to walk and pour.
    winter: the months (1 to 12) in which tanks that are drained in winter stand empty.
    """

    yield_rule: YieldRule = YieldRule.AFTER_SPILL
    tank_order: TankOrder = TankOrder.LOWEST
    bed_order: BedOrder = BedOrder.DRIEST
    cans_a_day: float = 20.0
    can_l: float = 10.0
    minutes_a_can: float = 2.0
    winter: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class System:
    """What a balance is run on. Names in it are those of the site's things.

    tanks, links, gathers (downpipes with their diverters), beds, and the rules between them. Raises InputError for a
    name that leads nowhere, or an array of the wrong length.
    """

    tanks: tuple[Store, ...] = ()
    links: tuple[Pipe, ...] = ()
    gathers: tuple[Gather, ...] = ()
    beds: tuple[Plot, ...] = ()
    rules: Rules = field(default_factory=Rules)

    def __post_init__(self) -> None:
        names = {tank.id for tank in self.tanks}
        used: Sequence[str] = [
            *(name for link in self.links for name in (link.first, link.second)),
            *(feed.tank for gather in self.gathers for feed in gather.feeds),
            *(tank.overflow_to for tank in self.tanks if tank.overflow_to),
        ]
        lost = next((name for name in used if name not in names), None)
        if lost is not None:
            raise InputError(f"No tank is called {lost!r}.", where="system", mend="Name a tank of the system.")
        for bed in self.beds:
            if bed.needed_level_m.shape != (len(self.tanks),):
                raise InputError(
                    f"{bed.id} has not one needed level for each tank.",
                    where="needed_level_m",
                    mend="Give NaN for no way.",
                )

    @property
    def capacity_m3(self) -> float:
        """What all tanks hold."""
        return sum(tank.capacity_m3 for tank in self.tanks)
