"""The site: everything on one place, as one value that is never changed in place."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Self, TypeVar

from shapely import LineString

from gardenwater.errors import EditError
from gardenwater.site.climate import ChangedClimate, Monthly, WeatherHandle
from gardenwater.site.fields import choice, flag, number, option, words
from gardenwater.site.storing import BedOrder, TankOrder, YieldRule
from gardenwater.site.things import KINDS, LineFields, Thing
from gardenwater.units import Quantity, UnitSystem

T = TypeVar("T", bound=Thing)


@dataclass(frozen=True, kw_only=True)
class UsualLine(LineFields):
    """The line that is carried from tank to tank where none is drawn (a hose, mostly)."""


class EventKind(StrEnum):
    """What Overflow is asked for."""

    WET_DAY = "a wet day"
    STORM = "a design storm"
    WEATHER_DAY = "a day of the weather"
    LITRES = "typed litres"


class EdgeRule(StrEnum):
    """What the rim of the ground does with water."""

    OPEN = "open"
    WALL = "wall"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What holds for the whole site."""

    units: UnitSystem = option(UnitSystem.METRIC, "Units", "People")
    can_l: float = number(10.0, "Can", Quantity.VOLUME_L, 1.0, 30.0, "People", "What one can holds.")
    currency: str = words("Currency", "People")
    latitude_deg: float | None = number(
        None, "Latitude", Quantity.PLACE_DEG, -90.0, 90.0, "Place", "North is positive."
    )
    longitude_deg: float | None = number(
        None, "Longitude", Quantity.PLACE_DEG, -180.0, 180.0, "Place", "East is positive."
    )
    altitude_m: float | None = number(None, "Altitude", Quantity.LEVEL_M, -430.0, 8900.0, "Place", "Above the sea.")
    rain_year_mm: float | None = number(
        None, "Rain in a year", Quantity.RAIN_MM, 0.0, 12_000.0, "Rain", "From the local weather office."
    )
    wet_day_mm: float = number(
        24.0, "A wet day", Quantity.RAIN_MM, 1.0, 1000.0, "Rain", "The rain that Overflow is asked for."
    )
    wet_day_h: float = number(6.0, "It lasts", Quantity.HOURS, 0.1, 48.0, "Rain")
    storm_mm: float = number(
        40.0, "Design storm", Quantity.RAIN_MM, 1.0, 1000.0, "Rain", "The rain that the garden is to stand."
    )
    storm_h: float = number(1.0, "The storm lasts", Quantity.HOURS, 0.05, 48.0, "Rain")
    event: EventKind = option(EventKind.WET_DAY, "Overflow is asked for", "Spill")
    weather_day: str = words(
        "Day of the weather", "Spill", "As 2014-11-19; its wettest day when empty. Its rain falls in a wet day's hours."
    )
    typed_l: float = number(
        500.0, "Typed litres", Quantity.VOLUME_L, 0.0, 1_000_000.0, "Spill", "That each spilling place lets go."
    )
    spills_from: str = words(
        "Water of", "Spill", "The name of one tank or downpipe, to follow its water alone; empty for the whole site."
    )
    rain_on_ground: bool = flag(False, "Rain falls on the ground too", "Spill", "Else only what the roofs shed.")
    wet_soak_share: float = number(
        1.0,
        "Wet soil still takes",
        Quantity.SHARE,
        0.0,
        1.0,
        "Spill",
        "Of its usual rate. 1 on drained soil; a third or less in a wet winter (judgement, no source).",
    )
    tanks_full: bool = flag(False, "Tanks are full before it", "Rain", "As in a wet winter; else as they are now.")
    levelling_error_m: float = number(
        0.02, "Error of levelling", Quantity.HEIGHT_M, 0.0, 2.0, "Levels", "One standard error of a measured level."
    )
    ground_error_m: float = number(
        0.05, "Error of the ground", Quantity.HEIGHT_M, 0.0, 5.0, "Levels", "One standard error of the ground's levels."
    )
    error_length_m: float = number(10.0, "Errors alike within", Quantity.LENGTH_M, 0.1, 1000.0, "Levels")
    cell_m: float = number(
        0.25, "Cell", Quantity.LENGTH_M, 0.02, 50.0, "Levels", "Cell of a ground made from pegs, arrows or contours."
    )
    flat_level_m: float = number(
        100.0, "Level of flat ground", Quantity.LEVEL_M, -500.0, 9000.0, "Levels", "Where no level is known."
    )
    soil: str = choice("loam", "Soil", "soils", "Ground")
    edge: EdgeRule = option(EdgeRule.OPEN, "Edge of the ground", "Ground", "Open: water leaves over it.")
    nodata: EdgeRule = option(EdgeRule.WALL, "Ground without levels", "Ground", "Open: water leaves into it.")
    cans_a_day: float = number(
        20.0, "Cans a day", Quantity.NUMBER, 0.0, 1000.0, "Store", "As many as one will carry, to all beds."
    )
    minutes_a_can: float = number(
        2.0, "Minutes a can", Quantity.NUMBER, 0.0, 60.0, "Store", "To fill, walk and pour: for the time of a round."
    )
    tank_order: TankOrder = option(
        TankOrder.LOWEST, "Drawn first", "Store", "Of the tanks that can serve a bed: the lowest keeps high water high."
    )
    bed_order: BedOrder = option(BedOrder.DRIEST, "Served first", "Store")
    yield_rule: YieldRule = option(
        YieldRule.AFTER_SPILL, "A day's water is drawn", "Store", "Before the rain is the careful choice."
    )
    draw_l_day: float | None = number(
        None,
        "Drawn in a day now",
        Quantity.VOLUME_L,
        0.0,
        100_000.0,
        "Store",
        "For the days that are left; what the beds need in their thirstiest month when empty.",
    )
    wanted_share: float = number(
        0.95, "Share of the need to meet", Quantity.SHARE, 0.1, 1.0, "Store", "The least tank size is found for it."
    )
    winter_from: float = number(
        11.0, "Winter from month", Quantity.NUMBER, 1.0, 12.0, "Store", "When tanks that are drained in winter are."
    )
    winter_to: float = number(3.0, "Winter to month", Quantity.NUMBER, 1.0, 12.0, "Store", "That month included.")
    line: UsualLine = field(default_factory=UsualLine)


@dataclass(frozen=True, slots=True)
class Contour:
    """A contour traced from a picture: all of it at one level."""

    shape: LineString
    level_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight:
    """One row of a level book, m.

    A staff reading is a back sight, a fore sight, or one between; the last two name what they levelled.
    peg: the id of the level peg that was stood on, or empty. known_level_m: given for bench marks.
    """

    spot: str
    back_m: float | None = None
    between_m: float | None = None
    fore_m: float | None = None
    known_level_m: float | None = None
    peg: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """What was measured or traced, besides pegs and slope arrows (which are things)."""

    contours: tuple[Contour, ...] = ()
    level_book: tuple[Sight, ...] = ()


class GroundKind(StrEnum):
    """What a raster's levels are of."""

    BARE_EARTH = "bare earth"
    SURFACE = "surface"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundHandle:
    """A raster of levels, held by its content: equal when the digest is equal.

    digest: SHA-256 of levels, grid and CRS. transform: the six numbers of the affine (a, b, c, d, e, f).
    notices: what was done on reading (thinned, converted), one sentence each.
    shift_m, tilt_east, tilt_north: what fitting to pegs added (m, m/m, m/m), applied already.
    payload: a `gardenwater.ground.Ground`.
    """

    digest: str
    source: str
    kind: GroundKind
    rows: int
    cols: int
    transform: tuple[float, float, float, float, float, float]
    crs: str
    notices: tuple[str, ...] = ()
    shift_m: float = 0.0
    tilt_east: float = 0.0
    tilt_north: float = 0.0
    payload: Any = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Underlay:
    """A picture under the plan, held by its content. `payload` is a uint8 array (rows, cols, 4), RGBA, read-only.

    transform: affine from pixel to site (a, b, c, d, e, f): x = a col + b row + c, y = d col + e row + f.
    notices: what was done on reading (thinned, turned), one sentence each.
    """

    digest: str
    source: str
    rows: int
    cols: int
    transform: tuple[float, float, float, float, float, float]
    opacity: float = 0.6
    shown: bool = True
    notices: tuple[str, ...] = ()
    payload: Any = field(compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of the site's log: when (ISO 8601, local time with offset) and what."""

    when: str
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One place and everything on it. Things keep their order; ids are unique.

    crs: WKT or "EPSG:n" of x and y (a projected CRS in metres), empty for a sheet that is not placed on the Earth.
    weather: a record of days. monthly: twelve figures, which years are made from where there is no record.
    change: what either is changed by.
    """

    name: str = "Garden"
    about: str = ""
    crs: str = ""
    settings: Settings = field(default_factory=Settings)
    things: tuple[Thing, ...] = ()
    ground: GroundHandle | None = None
    underlay: Underlay | None = None
    survey: Survey = field(default_factory=Survey)
    weather: WeatherHandle | None = None
    monthly: Monthly | None = None
    change: ChangedClimate | None = None
    log: tuple[LogEntry, ...] = ()
    _by_id: Mapping[str, Thing] = field(init=False, repr=False, compare=False, default_factory=dict)
    _by_kind: dict[type, tuple[Any, ...]] = field(init=False, repr=False, compare=False, default_factory=dict)

    def __post_init__(self) -> None:
        by_id = {thing.id: thing for thing in self.things}
        if len(by_id) != len(self.things):
            raise EditError("Two things have the same id.", where=self.name, mend="Give each thing an id of its own.")
        object.__setattr__(self, "_by_id", by_id)

    def __iter__(self) -> Iterator[Thing]:
        return iter(self.things)

    def __contains__(self, thing_id: str) -> bool:
        return thing_id in self._by_id

    def get(self, thing_id: str) -> Thing | None:
        """The thing with this id, or None."""
        return self._by_id.get(thing_id)

    def thing(self, thing_id: str, kind: type[T]) -> T:
        """The thing with this id, of this kind; EditError where there is none."""
        found = self._by_id.get(thing_id)
        if not isinstance(found, kind):
            raise EditError(f"No {kind.word.lower()} has the id {thing_id!r}.", where=self.name)
        return found

    def of(self, kind: type[T]) -> tuple[T, ...]:
        """All things of a kind, in their order."""
        found = self._by_kind.get(kind)
        if found is None:  # asked for many times over; a site is never changed, so what was found holds
            # by type and not by `isinstance`, which takes ten times as long for classes that others can register with
            found = self._by_kind[kind] = tuple([thing for thing in self.things if kind in type(thing).__mro__])
        return found

    def replace(self, **changes: Any) -> Self:
        """A copy with some fields changed."""
        return dataclasses.replace(self, **changes)

    def free_id(self, kind: str, taken: Iterable[str] = ()) -> str:
        """An id that no thing has: the kind and the next free number."""
        used = {*self._by_id, *taken}
        number = 1
        while f"{kind}-{number}" in used:
            number += 1
        return f"{kind}-{number}"


def kind_order(thing: Thing) -> int:
    """Place of a thing's kind in the drawing tray."""
    return KINDS.index(type(thing))
