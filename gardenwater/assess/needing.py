"""What beds and ponds want in the mean year: from weather and latitude alone, whatever tanks there are."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.lasting_stages import LastingStages
from gardenwater.demand import BedNeed, BedYear, bed_year, by_month, need_today, open_water_mm, run_bed
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Pond
from gardenwater.weather.et import et_words

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BedWants:
    """What a bed wants with all the water it asks for.

    year: through the mean year. last: as the last day of the record ends, had it been watered by its rule; None of made
    weather, which has no such day.
    """

    bed: str
    year: BedYear
    last: BedNeed | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PondLoss:
    """What a pond gives to the air in each month of the mean year, L, float64 (12,): of its whole outline."""

    pond: str
    evaporates_l: Floats

    @property
    def peak_month(self) -> int:
        """The month in which most goes, 1 to 12."""
        return int(self.evaporates_l.argmax()) + 1


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NeedAnswer:
    """What the site's beds and ponds want.

    beds, ponds: in the site's order. last_day: the last of the record; None of made weather. found_by: how the
    reference evapotranspiration was found, in words.
    """

    beds: tuple[BedWants, ...]
    ponds: tuple[PondLoss, ...]
    last_day: dt.date | None
    found_by: str

    def bed(self, bed_id: str) -> BedWants | None:
        """What this bed wants."""
        return next((bed for bed in self.beds if bed.bed == bed_id), None)

    def pond(self, pond_id: str) -> PondLoss | None:
        """What this pond loses."""
        return next((pond for pond in self.ponds if pond.pond == pond_id), None)


def need_answer(site: Site, lasting: LastingStages) -> NeedAnswer:
    """What the beds and ponds of a site want; the site has weather and latitude (`LastingStages.has_days`)."""
    weather = lasting.years.weather
    by_month_mm = by_month(open_water_mm(lasting.years.common.et0_mm), weather.start)
    return NeedAnswer(
        beds=tuple(_bed(bed, site, lasting) for bed in site.of(Bed)),
        ponds=tuple(PondLoss(pond=pond.id, evaporates_l=by_month_mm * pond.shape.area) for pond in site.of(Pond)),
        last_day=None if weather.made else weather.last,
        found_by=et_words(weather),
    )


def _bed(bed: Bed, site: Site, lasting: LastingStages) -> BedWants:
    days = lasting.days_of(bed)
    past = run_bed(days)
    last = None
    if not lasting.years.weather.made:
        depletion_mm = float(past.depletion_mm[-1])
        last = need_today(days, days.days - 1, depletion_mm=depletion_mm, can_l=site.settings.can_l)
    return BedWants(bed=bed.id, year=bed_year(days, past), last=last)
