"""The things on the plan: frozen values, one class for each kind.

Geometry is a shapely geometry in `shape`, in metres of the site's CRS (x east, y north). Heights are above the ground beneath, levels
above the site's datum. Each field's label, unit, range and help stand in its `FieldSpec` (see `fields`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import ClassVar

import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import rotate, translate

from gardenwater.site.fields import choice, flag, number, option, refer, words
from gardenwater.units import Quantity as Q


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One object on the plan. `id` is unique in its site and never shown; `name` is what people call it."""

    kind: ClassVar[str] = ""
    word: ClassVar[str] = ""
    geometry: ClassVar[str] = ""

    id: str
    name: str = words("Name")
    locked: bool = False
    note: str = words("Note")


class RoofForm(StrEnum):
    """How a roof falls."""

    FLAT = "flat"
    MONO = "one fall"
    GABLE = "gable"
    HIP = "hip"


@dataclass(frozen=True, slots=True, kw_only=True)
class Roof(Thing):
    """A roof, by its eaves outline on the plan (plan area yields water; slope area never does)."""

    kind: ClassVar[str] = "roof"
    word: ClassVar[str] = "Roof"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    form: RoofForm = option(RoofForm.GABLE, "Form", "Roof")
    pitch_deg: float = number(35.0, "Pitch", Q.ANGLE_DEG, 0.0, 75.0, "Roof")
    fall_deg: float | None = number(
        None, "Falls towards", Q.ANGLE_DEG, 0.0, 360.0, "Roof", "Compass bearing of the fall, for a roof with one fall."
    )
    eaves_height_m: float = number(
        2.8,
        "Eaves height",
        Q.HEIGHT_M,
        0.3,
        15.0,
        "Roof",
        "Above the ground at the foot of the wall, to the gutter's bottom.",
    )
    surface: str = choice("tiles", "Surface", "surfaces", "Roof")
    filter_share: float = number(
        0.9, "Filter passes", Q.SHARE, 0.0, 1.0, "Roof", "Share that leaf guards and filters let through."
    )


class GutterProfile(StrEnum):
    """Section of a gutter."""

    HALF_ROUND = "half round"
    BOX = "box"


@dataclass(frozen=True, slots=True, kw_only=True)
class Gutter(Thing):
    """A gutter, from its high end to its downpipe."""

    kind: ClassVar[str] = "gutter"
    word: ClassVar[str] = "Gutter"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    roof: str = refer("Roof", "roof")
    downpipe: str = refer("Leads to", "downpipe")
    profile: GutterProfile = option(GutterProfile.HALF_ROUND, "Profile", "Gutter")
    width_mm: float = number(112.0, "Width", Q.SMALL_MM, 50.0, 400.0, "Gutter")
    fall_mm_m: float = number(3.0, "Fall", Q.NUMBER, 0.0, 50.0, "Gutter", "Millimetres for each metre of run.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Downpipe(Thing):
    """A downpipe; without a diverter its water leaves at its foot."""

    kind: ClassVar[str] = "downpipe"
    word: ClassVar[str] = "Downpipe"
    geometry: ClassVar[str] = "Point"

    shape: Point
    roof: str = refer("Roof", "roof")
    bore_mm: float = number(68.0, "Bore", Q.BORE_MM, 30.0, 200.0, "Pipe")
    drained: bool = flag(
        False, "Foot leads to a drain", "Pipe", "Water that is not caught goes into a drain and not onto the ground."
    )


class DiverterKind(StrEnum):
    """What a diverter does when its tank is full."""

    STOPS = "stops by itself"
    FEEDS = "keeps feeding"
    WHOLE_PIPE = "whole pipe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Diverter(Thing):
    """Leads water from a downpipe to a tank."""

    kind: ClassVar[str] = "diverter"
    word: ClassVar[str] = "Diverter"
    geometry: ClassVar[str] = "Point"

    shape: Point
    downpipe: str = refer("On downpipe", "downpipe", "Diverter")
    tank: str = refer("Feeds", "tank", "Diverter")
    form: DiverterKind = option(DiverterKind.STOPS, "When the tank is full", "Diverter")
    height_m: float = number(
        2.0, "Height", Q.HEIGHT_M, 0.0, 12.0, "Diverter", "Of its side outlet above the ground at the downpipe."
    )
    share: float = number(1.0, "Share led aside", Q.SHARE, 0.0, 1.0, "Diverter")
    most_l_min: float = number(54.0, "Leads aside at most", Q.FLOW_L_MIN, 1.0, 2000.0, "Diverter")
    feeder_bore_mm: float = number(32.0, "Feeder bore", Q.BORE_MM, 8.0, 200.0, "Diverter")


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstFlush(Thing):
    """Keeps back the first, dirty water of each rain."""

    kind: ClassVar[str] = "first_flush"
    word: ClassVar[str] = "First-flush device"
    geometry: ClassVar[str] = "Point"

    shape: Point
    downpipe: str = refer("On downpipe", "downpipe")
    keeps_l: float = number(20.0, "Keeps back", Q.VOLUME_L, 0.0, 2000.0, "Device", "Litres at the start of each rain.")


class TankForm(StrEnum):
    """Shape of a tank."""

    UPRIGHT = "upright"
    BOX = "box"
    LYING = "lying"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank(Thing):
    """A tank. Heights of outlet, inlet and overflow are above the tank's own floor, which stands `stand_height_m` above the ground."""

    kind: ClassVar[str] = "tank"
    word: ClassVar[str] = "Tank"
    geometry: ClassVar[str] = "Point"

    shape: Point
    form: TankForm = option(TankForm.UPRIGHT, "Form", "Size")
    width_m: float = number(
        1.2, "Width", Q.LENGTH_M, 0.2, 10.0, "Size", "Diameter of an upright or lying tank, width of a box."
    )
    length_m: float = number(1.2, "Length", Q.LENGTH_M, 0.2, 20.0, "Size", "Of a box or lying tank.")
    bearing_deg: float = number(0.0, "Turned", Q.ANGLE_DEG, 0.0, 360.0, "Size", "Compass bearing of its length.")
    depth_m: float = number(1.35, "Inside height", Q.HEIGHT_M, 0.1, 10.0, "Size")
    capacity_l: float = number(1500.0, "Capacity", Q.VOLUME_L, 10.0, 500_000.0, "Size", "To the overflow.")
    empty_kg: float = number(40.0, "Weight when empty", Q.MASS_KG, 0.0, 50_000.0, "Size")
    stand_height_m: float = number(
        0.2,
        "Stand height",
        Q.HEIGHT_M,
        0.0,
        1.5,
        "Stand, inlet, overflow",
        caution_over=0.6,
        caution="Over 0.6 m a stand needs a builder's advice.",
    )
    outlet_height_m: float = number(
        0.08, "Outlet height", Q.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    inlet_height_m: float = number(
        1.32, "Inlet height", Q.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    overflow_height_m: float = number(
        1.26, "Overflow height", Q.HEIGHT_M, 0.0, 10.0, "Stand, inlet, overflow", "Above the tank's floor."
    )
    water_l: float = number(750.0, "Water now", Q.VOLUME_L, 0.0, 500_000.0, "Water")
    opaque: bool = flag(True, "Opaque", "Lid and light", "Light in a tank grows algae (common practice, no source).")
    lid_opening_m: float = number(0.4, "Lid opening", Q.LENGTH_M, 0.0, 3.0, "Lid and light")
    lid_locks: bool = flag(True, "Lid locks", "Lid and light")
    children_about: bool = flag(False, "Children can reach it", "Lid and light")

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
        """Height of the water above the floor at `volume_l`; the overflow's height when full. Dead water below the outlet counts."""
        share = min(max(volume_l / self.capacity_l, 0.0), 1.0)
        if self.form is TankForm.LYING:
            return self.overflow_height_m * _lying_height_share(share)
        return self.overflow_height_m * share

    def volume_at_m(self, height_m: float) -> float:
        """Litres held when the water stands `height_m` above the floor."""
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
    height_m: float = number(0.5, "Height", Q.HEIGHT_M, 0.0, 3.0, "Tap")


@dataclass(frozen=True, slots=True, kw_only=True)
class Link(Thing):
    """A pipe between two tanks, from the middle of one to the middle of the other."""

    kind: ClassVar[str] = "link"
    word: ClassVar[str] = "Link"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank_a: str = refer("From", "tank", "Link")
    tank_b: str = refer("To", "tank", "Link")
    height_m: float = number(0.1, "Height", Q.HEIGHT_M, 0.0, 10.0, "Link", "Above the floor of the first tank.")
    bore_mm: float = number(40.0, "Bore", Q.BORE_MM, 8.0, 300.0, "Link")
    valve: bool = flag(True, "Has a valve", "Link")


@dataclass(frozen=True, kw_only=True)
class LineFields:
    """What a watering line loses and gives; shared by the drawn lines and the site's usual line."""

    bore: str = choice("hose-19", "Bore", "line_bores", "Line")
    end: str = choice("open-hose", "End", "line_ends", "Line")
    roughness_mm: float = number(
        0.0015, "Roughness", Q.NUMBER, 0.0, 1.0, "Line", "Of the bore's wall, mm: 0.0015 new plastic."
    )
    fittings_k: float = number(
        2.5, "Fittings", Q.NUMBER, 0.0, 200.0, "Line", "Sum of loss coefficients, entrance and exit included."
    )
    lift_m: float = number(
        0.0, "Lift at the end", Q.HEIGHT_M, 0.0, 3.0, "Line", "How far above the ground the water is delivered."
    )
    line_height_m: float = number(
        0.0, "Line height", Q.HEIGHT_M, 0.0, 3.0, "Line", "How far above the ground the line lies on its way."
    )
    wanted_l_min: float = number(1.0, "Wanted flow", Q.FLOW_L_MIN, 0.1, 100.0, "Line", "The least worth waiting for.")
    least_head_m: float = number(0.0, "Least head at the end", Q.HEIGHT_M, 0.0, 20.0, "Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class WateringLine(Thing, LineFields):
    """A watering line as it is laid, from a tank to where it delivers."""

    kind: ClassVar[str] = "watering_line"
    word: ClassVar[str] = "Watering line"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank: str = refer("From tank", "tank", "Line")


@dataclass(frozen=True, slots=True, kw_only=True)
class Overflow(Thing):
    """The pipe that takes a tank's overflow, from the tank to its mouth."""

    kind: ClassVar[str] = "overflow"
    word: ClassVar[str] = "Overflow"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    tank: str = refer("From tank", "tank", "Overflow")
    bore_mm: float = number(50.0, "Bore", Q.BORE_MM, 10.0, 300.0, "Overflow")
    taker: str = refer(
        "Ends in", "taker", "Overflow", "A pond, soakaway, swale or ditch; empty when it ends on the ground."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bed(Thing):
    """Ground that wants water."""

    kind: ClassVar[str] = "bed"
    word: ClassVar[str] = "Bed"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    crop: str = choice("mixed-vegetables", "Crop", "crops", "Bed")
    soil: str = choice("loam", "Soil", "soils", "Bed")
    cover: str = choice("bare", "Cover", "covers", "Bed", "What lies on the soil: mulch keeps water in.")
    cover_share: float = number(0.0, "Share covered", Q.SHARE, 0.0, 1.0, "Bed")
    under_cover: bool = flag(False, "Under a roof or glass", "Bed", "Gets no rain.")
    raised_m: float = number(0.0, "Raised by", Q.HEIGHT_M, 0.0, 1.5, "Bed")
    deliver_x_m: float | None = number(
        None, "Delivery spot, east", Q.LENGTH_M, -1e8, 1e8, "Bed", "Its highest ground unless given."
    )
    deliver_y_m: float | None = number(None, "Delivery spot, north", Q.LENGTH_M, -1e8, 1e8, "Bed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pond(Thing):
    """A pond. Open water: children can drown in a few centimetres."""

    kind: ClassVar[str] = "pond"
    word: ClassVar[str] = "Pond"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    depth_m: float = number(0.6, "Depth", Q.HEIGHT_M, 0.05, 5.0, "Pond")
    freeboard_m: float = number(
        0.05, "Room above the water", Q.HEIGHT_M, 0.0, 2.0, "Pond", "From today's water to where it spills."
    )
    lined: bool = flag(True, "Lined", "Pond")
    children_about: bool = flag(False, "Children can reach it", "Pond")


@dataclass(frozen=True, slots=True, kw_only=True)
class Soakaway(Thing):
    """A pit filled with stone or crates, from which water soaks into the ground."""

    kind: ClassVar[str] = "soakaway"
    word: ClassVar[str] = "Soakaway"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    depth_m: float = number(1.0, "Depth", Q.HEIGHT_M, 0.2, 4.0, "Soakaway", "Effective depth below its inlet.")
    void_share: float = number(
        0.3, "Void share", Q.SHARE, 0.05, 1.0, "Soakaway", "0.3 stone, 0.95 crates (common practice, no source)."
    )
    soak_mm_h: float | None = number(
        None, "Soak rate measured", Q.SOAK_MM_H, 0.01, 2000.0, "Soakaway", "By a trial pit; the soil's when empty."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Swale(Thing):
    """A shallow, level, grassed hollow along the contour."""

    kind: ClassVar[str] = "swale"
    word: ClassVar[str] = "Swale"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(0.9, "Width", Q.LENGTH_M, 0.2, 10.0, "Swale")
    depth_m: float = number(0.2, "Depth", Q.HEIGHT_M, 0.02, 1.5, "Swale")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ditch(Thing):
    """A ditch that leads water along its fall, from its high end."""

    kind: ClassVar[str] = "ditch"
    word: ClassVar[str] = "Ditch"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(0.6, "Width", Q.LENGTH_M, 0.1, 10.0, "Ditch")
    depth_m: float = number(0.3, "Depth", Q.HEIGHT_M, 0.02, 3.0, "Ditch")


@dataclass(frozen=True, slots=True, kw_only=True)
class Bank(Thing):
    """A bank, by its crest."""

    kind: ClassVar[str] = "bank"
    word: ClassVar[str] = "Bank"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    height_m: float = number(0.4, "Height", Q.HEIGHT_M, 0.05, 5.0, "Bank")
    width_m: float = number(1.6, "Width at the foot", Q.LENGTH_M, 0.2, 20.0, "Bank")


@dataclass(frozen=True, slots=True, kw_only=True)
class Building(Thing):
    """A building: it stands up from the ground; water and lines go round it."""

    kind: ClassVar[str] = "building"
    word: ClassVar[str] = "Building"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    height_m: float = number(3.0, "Height", Q.HEIGHT_M, 0.2, 60.0, "Building")


@dataclass(frozen=True, slots=True, kw_only=True)
class Door(Thing):
    """A door or low window, whose sill must stay dry."""

    kind: ClassVar[str] = "door"
    word: ClassVar[str] = "Door"
    geometry: ClassVar[str] = "Point"

    shape: Point
    width_m: float = number(0.9, "Width", Q.LENGTH_M, 0.3, 6.0, "Door")
    bearing_deg: float = number(180.0, "Opens towards", Q.ANGLE_DEG, 0.0, 360.0, "Door")
    sill_height_m: float = number(
        0.15, "Sill height", Q.HEIGHT_M, -3.0, 3.0, "Door", "Above the ground outside; below it for a basement window."
    )
    keep_dry: bool = flag(True, "Keep dry", "Door")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall(Thing):
    """A wall: it turns water up to its height, and lines go round it."""

    kind: ClassVar[str] = "wall"
    word: ClassVar[str] = "Wall"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    thickness_m: float = number(0.25, "Thickness", Q.LENGTH_M, 0.02, 3.0, "Wall")
    height_m: float = number(1.2, "Height", Q.HEIGHT_M, 0.02, 10.0, "Wall")


class TreeForm(StrEnum):
    """Whether it is one tree or a row."""

    TREE = "tree"
    HEDGE = "hedge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree(Thing):
    """A tree by its crown, or a hedge by its outline."""

    kind: ClassVar[str] = "tree"
    word: ClassVar[str] = "Tree or hedge"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    form: TreeForm = option(TreeForm.TREE, "Form", "Tree or hedge")
    height_m: float = number(4.0, "Height", Q.HEIGHT_M, 0.2, 60.0, "Tree or hedge")


@dataclass(frozen=True, slots=True, kw_only=True)
class Path(Thing):
    """A path by its middle line."""

    kind: ClassVar[str] = "path"
    word: ClassVar[str] = "Path"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    width_m: float = number(1.2, "Width", Q.LENGTH_M, 0.2, 20.0, "Path")

    @property
    def band(self) -> Polygon:
        """The path's ground, m."""
        return self.shape.buffer(self.width_m / 2, cap_style="flat", join_style="round")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepDry(Thing):
    """Ground where water must not go."""

    kind: ClassVar[str] = "keep_dry"
    word: ClassVar[str] = "Keep-dry ground"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon
    reason: str = words("Reason", "Keep-dry ground", "Door, path, neighbour ...")


@dataclass(frozen=True, slots=True, kw_only=True)
class Boundary(Thing):
    """The edge of the site."""

    kind: ClassVar[str] = "boundary"
    word: ClassVar[str] = "Boundary"
    geometry: ClassVar[str] = "Polygon"

    shape: Polygon


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelPeg(Thing):
    """A spot whose level was measured."""

    kind: ClassVar[str] = "level_peg"
    word: ClassVar[str] = "Level peg"
    geometry: ClassVar[str] = "Point"

    shape: Point
    level_m: float = number(100.0, "Level", Q.LEVEL_M, -500.0, 9000.0, "Peg")


@dataclass(frozen=True, slots=True, kw_only=True)
class SlopeArrow(Thing):
    """A fall that was measured, from its upper to its lower end."""

    kind: ClassVar[str] = "slope_arrow"
    word: ClassVar[str] = "Slope arrow"
    geometry: ClassVar[str] = "LineString"

    shape: LineString
    one_in: float = number(20.0, "Falls 1 in", Q.ONE_IN, 1.0, 10_000.0, "Slope")


KINDS: tuple[type[Thing], ...] = (
    Roof, Gutter, Downpipe, Diverter, FirstFlush,
    Tank, Tap, Link,
    WateringLine, Bed,
    Overflow, Pond, Soakaway, Swale, Ditch, Bank,
    Building, Door, Wall, Tree, Path, KeepDry, Boundary,
    LevelPeg, SlopeArrow,
)  # fmt: skip
"""All kinds, in the order and groups of the drawing tray."""

TRAY_GROUPS: tuple[tuple[str, ...], ...] = (
    ("roof", "gutter", "downpipe", "diverter", "first_flush"),
    ("tank", "tap", "link"),
    ("watering_line", "bed"),
    ("overflow", "pond", "soakaway", "swale", "ditch", "bank"),
    ("building", "door", "wall", "tree", "path", "keep_dry", "boundary"),
    ("level_peg", "slope_arrow"),
)
TAKERS: tuple[str, ...] = ("pond", "soakaway", "swale", "ditch")
BY_KIND: dict[str, type[Thing]] = {kind.kind: kind for kind in KINDS}
