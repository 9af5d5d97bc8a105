"""What is asked about a place for a tank, and what is answered."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gardenwater.findings import Finding

if TYPE_CHECKING:
    from gardenwater.reach import StandMap, StandSpot
    from gardenwater.site.things import Diverter, Tank


@dataclass(frozen=True, slots=True, kw_only=True)
class StandAsk:
    """Where could a tank stand?

    beds: ids of the beds that it is to serve; all of them when empty. tank: id of the tank that is to stand elsewhere,
    with its own line; empty for a new one. size: of a new one, a row of the table of tank sizes. share: of the litres
    that its outlet gives, how many are to serve the beds. most_feeder_m, most_stand_m: longest feeder, highest stand.
    """

    beds: tuple[str, ...] = ()
    tank: str = ""
    size: str = "upright-1500"
    share: float = 0.5
    most_feeder_m: float = 16.0
    most_stand_m: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class StandSafety:
    """What stands there, in figures.

    weight_kg: when full. pressure_kpa: on its base when full; bearing_kpa: what the ground is presumed to bear.
    height_to_base: height of stand and tank over the least width of its base. base_fall_m: of the ground across the
    base: to be dug or built up. building_m: to the nearest building, and wall_m: to the nearest wall; infinite without
    one. water_over_ground_m: how high its lid is above the ground.
    """

    weight_kg: float
    pressure_kpa: float
    bearing_kpa: float
    height_to_base: float
    base_fall_m: float
    building_m: float
    wall_m: float
    lid_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BedMinutes:
    """A bed from a proposed tank: minutes for a can when the asked share has been drawn; NaN where out of reach."""

    bed: str
    minutes_per_can: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedTank:
    """One of the best spots, with what would be put there.

    stand_m: the stand, to the next whole centimetre. clears_m: how far the feed is above the inlet on it. pipe: id of
    the downpipe that feeds it; pipe_l: what runs down it in a year, NaN without a figure for the rain. needed_level_m:
    of the bed that asks for most. tank, diverter: the things as they would stand. beds: each bed that is asked for.
    """

    rank: int
    spot: StandSpot
    stand_m: float
    clears_m: float
    pipe: str
    pipe_l: float
    needed_level_m: float
    hardest: str
    tank: Tank
    diverter: Diverter
    beds: tuple[BedMinutes, ...]
    safety: StandSafety
    findings: tuple[Finding, ...] = ()

    @property
    def name(self) -> str:
        """What it is called: its rank."""
        return spot_name(self.rank)

    def minutes_at(self, bed: str) -> float:
        """Minutes for a can at a bed; NaN where it is not reached."""
        return next((row.minutes_per_can for row in self.beds if row.bed == bed), float("nan"))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class StandAnswer:
    """Where a tank could stand. coarse: on a thinned ground, without proposals.

    model: the tank that was asked for, wherever it stands. beds: ids of the beds asked for. of: how many spots there
    are in all. findings: of the two best, and of beds that no spot serves.
    """

    ask: StandAsk
    model: Tank
    beds: tuple[str, ...]
    map: StandMap
    proposals: tuple[ProposedTank, ...] = ()
    of: int = 0
    findings: tuple[Finding, ...] = ()


def spot_name(rank: int) -> str:
    """What a spot is called in a sentence."""
    return f"Spot {rank}"
