"""The rows of the tables of choices. A field's name is its column's; a number's unit is the end of the name."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One choice. source: the standard and clause, and how the numbers are known."""

    key: str
    name: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Surface(Row):
    """A roof's covering: the share of the rain on its plan area that reaches the gutter, with its published range."""

    yield_coefficient: float
    least: float
    most: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineBore(Row):
    """A hose, pipe or dripline by its bore. kind: hose, pipe or dripline."""

    bore_mm: float
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LineEnd(Row):
    """What a watering line ends in.

    fittings_k is the whole line's, entrance and exit included; end_k that of the end alone.
    """

    fittings_k: float
    end_k: float
    lift_m: float
    least_head_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFitting(Row):
    """A fitting in a watering line. loss_k: in velocity heads of the line's own bore."""

    loss_k: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWall(Row):
    """The inside of a bore, new or old."""

    roughness_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Soil(Row):
    """A soil: steady soak rate with its range; water held at field capacity and at wilting point, m³/m³.

    readily_evaporable_mm: what a wet surface loses as fast as the sun drives it (REW). pond_seepage_mm_day: what a pond
    without a liner loses through its bed, which is far tighter than open soil.
    """

    soak_mm_h: float
    soak_least_mm_h: float
    soak_most_mm_h: float
    field_capacity: float
    wilting_point: float
    readily_evaporable_mm: float
    pond_seepage_mm_day: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Crop(Row):
    """A crop: its season, its crop coefficients at the start, in mid season and at the end, and its roots.

    habit: annual, or perennial (roots and height stand all year, between seasons it is dormant). sow_month: when it is
    sown, planted or comes into leaf in the north: 4 is 1 April, 4.5 its middle. days_ini to days_end: lengths of the
    four stages. kc: single crop coefficients, kcb: basal ones, for air of 45 % and wind of 2 m/s. root_least_m: depth
    of full-grown roots that watering goes by, root_most_m: in deep soil without watering. depletion_p: share of the
    available water that may be used before the crop suffers, at 5 mm a day.
    """

    habit: str
    sow_month: float
    days_ini: float
    days_dev: float
    days_mid: float
    days_end: float
    kc_ini: float
    kc_mid: float
    kc_end: float
    kcb_ini: float
    kcb_mid: float
    kcb_end: float
    height_m: float
    root_least_m: float
    root_most_m: float
    depletion_p: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Cover(Row):
    """What lies on the soil, where all of it is covered: share of evaporation saved, share of transpiration added."""

    evaporation_cut: float
    transpiration_rise: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelter(Row):
    """What keeps the wind off: the share of its speed that is taken."""

    wind_cut: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSize(Row):
    """A usual tank. form: as `TankForm`. Heights of outlet, inlet and overflow are above its floor."""

    form: str
    width_m: float
    length_m: float
    depth_m: float
    capacity_l: float
    empty_kg: float
    outlet_height_m: float
    inlet_height_m: float
    overflow_height_m: float
