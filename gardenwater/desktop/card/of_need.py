"""What a bed or a pond wants in the mean year, on its card, whatever the question."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gardenwater.site.calendar import MONTH_NAMES, day_words
from gardenwater.site.model import Site
from gardenwater.site.things import Bed
from gardenwater.units import Quantity, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers

_SOURCE = "Need: FAO-56's dual crop coefficient and root zone, day by day, with all the water that the bed asks for."
POND_SOURCE = "Evaporation: 1.05 of the reference evapotranspiration (FAO-56, Table 12)."
_WEEK_DAYS = 7.0
_MONTH_DAYS = 30.4


def bed_words(bed_id: str, site: Site, answers: Answers | None) -> str:
    """How it is watered when it needs most: "In July, without rain: 12 cans every 4 days"; empty where not known."""
    from gardenwater.demand import bed_year_words

    wants = answers.need.bed(bed_id) if answers is not None and answers.need is not None else None
    return bed_year_words(wants.year, site.settings.can_l) if wants is not None else ""


def bed_more(bed: Bed, site: Site, answers: Answers | None) -> tuple[tuple[str, str], ...]:
    """When its crops stand on it, the need of its years, and on the last day of the record."""
    from gardenwater.demand import need_words, season_words

    stands = season_words(bed, latitude_deg=site.settings.latitude_deg or 0.0)
    need = answers.need if answers is not None else None
    wants = need.bed(bed.id) if need is not None else None
    if need is None or wants is None:
        return stands
    units = site.settings.units
    rows = [
        *stands,
        ("Needs in the mean year", text(wants.year.year_l, Quantity.VOLUME_L, units)),
        ("Needs in the year of most", text(wants.year.most_l, Quantity.VOLUME_L, units)),
    ]
    if wants.last is not None and need.last_day is not None:
        day = f"{day_words(need.last_day)} {need.last_day.year}"
        rows.append((f"Needs on {day}", need_words(wants.last, units)))
    return tuple(rows)


def need_sources(answers: Answers | None) -> tuple[str, ...]:
    """How the need was found; none where it is not known."""
    if answers is None or answers.need is None:
        return ()
    return (f"{_SOURCE} Reference evapotranspiration: {answers.need.found_by}",)


def pond_words(pond_id: str, site: Site, answers: Answers | None) -> str:
    """What it loses when it loses most: "In July some 88 L a week go to the air"; empty where not known."""
    loss = answers.need.pond(pond_id) if answers is not None and answers.need is not None else None
    if loss is None:
        return ""
    week_l = float(loss.evaporates_l[loss.peak_month - 1]) / _MONTH_DAYS * _WEEK_DAYS
    litres = text(week_l, Quantity.VOLUME_L, site.settings.units)
    return f"In {MONTH_NAMES[loss.peak_month - 1]} some {litres} a week go to the air"
