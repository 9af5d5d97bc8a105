"""The figures of a crop on a bed: the table's, with the bed's own where it has some."""

from __future__ import annotations

from dataclasses import dataclass, replace

from gardenwater.site.things import Bed
from gardenwater.tables import Crop, table

NO_CROP = "none"
ROOTS_AT_FIRST_M = 0.15
"""Depth of the roots of what was just sown or planted: FAO-56 annex 8 has 0.15 to 0.20 m, from memory."""
_PERENNIAL = "perennial"


@dataclass(frozen=True, slots=True, kw_only=True)
class CropFigures:
    """A crop as FAO-56 describes it.

    stages: days of the four stages. kcb: basal crop coefficients at the start, in mid season and at the end, for air of
    45 % and wind of 2 m/s. wetness: what the single coefficients are more than the basal ones. height_m, root_m: full
    grown. depletion_p: share of the available water that may be used at 5 mm a day. sow_month: 4.5 is the middle of
    April, in the north.
    """

    key: str
    perennial: bool
    stages: tuple[int, int, int, int]
    kcb: tuple[float, float, float]
    wetness: tuple[float, float, float]
    height_m: float
    root_m: float
    depletion_p: float
    sow_month: float
    source: str

    @property
    def length(self) -> int:
        """Days of its season."""
        return sum(self.stages)


def figures(key: str) -> CropFigures | None:
    """The figures of a crop of the table; None for the one that is no crop. Raises InputError for a key that is none.

    Roots go to the lesser depth of FAO-56 Table 22, which is meant for watering by (its footnote 1, from memory).
    """
    row: Crop = table("crops").row(key)
    if key == NO_CROP:
        return None
    return CropFigures(
        key=key,
        perennial=row.habit == _PERENNIAL,
        stages=(int(row.days_ini), int(row.days_dev), int(row.days_mid), int(row.days_end)),
        kcb=(row.kcb_ini, row.kcb_mid, row.kcb_end),
        wetness=(row.kc_ini - row.kcb_ini, row.kc_mid - row.kcb_mid, row.kc_end - row.kcb_end),
        height_m=row.height_m,
        root_m=row.root_least_m,
        depletion_p=row.depletion_p,
        sow_month=row.sow_month,
        source=row.source,
    )


def _of_length(stages: tuple[int, int, int, int], days: int) -> tuple[int, int, int, int]:
    """Stages of another season's length, in the same shares; each has a day at least."""
    total = sum(stages)
    ends = [round(sum(stages[: at + 1]) * days / total) for at in range(4)]
    ends = [max(end, at + 1) for at, end in enumerate(ends)]
    return ends[0], ends[1] - ends[0], ends[2] - ends[1], ends[3] - ends[2]


def crops_of(bed: Bed) -> tuple[CropFigures | None, CropFigures | None]:
    """The first and the second crop of a bed, the first with the bed's own figures."""
    first, second = figures(bed.crop), figures(bed.second_crop)
    if first is None:
        return None, second
    if bed.season_days is not None:
        first = replace(first, stages=_of_length(first.stages, round(bed.season_days)))
    if bed.own_kcb is not None:
        # the curve keeps its form: the end falls as it did
        end = first.kcb[2] * bed.own_kcb / first.kcb[1]
        first = replace(first, kcb=(min(first.kcb[0], bed.own_kcb), bed.own_kcb, end))
    if bed.root_m is not None:
        first = replace(first, root_m=bed.root_m)
    return first, second
