"""What beds and open water want: FAO-56's dual crop coefficient and root zone, day by day."""

from __future__ import annotations

from gardenwater.demand.bed_days import bed_days
from gardenwater.demand.model import BedDays, BedStack, Stage, stack
from gardenwater.demand.open_water import open_water_mm
from gardenwater.demand.place import CommonSky, common_sky
from gardenwater.demand.records_zone import Asks
from gardenwater.demand.running import BedRun, run_bed
from gardenwater.demand.seasons import season_words
from gardenwater.demand.snow import rain_and_thaw
from gardenwater.demand.summary import BedYear, bed_year, bed_year_words, by_month
from gardenwater.demand.today import BedNeed, need_today, need_words

__all__ = [
    "Asks",
    "BedDays",
    "BedNeed",
    "BedRun",
    "BedStack",
    "BedYear",
    "CommonSky",
    "Stage",
    "bed_days",
    "bed_year",
    "bed_year_words",
    "by_month",
    "common_sky",
    "need_today",
    "need_words",
    "open_water_mm",
    "rain_and_thaw",
    "run_bed",
    "season_words",
    "stack",
]
