"""What a bed and a tank say of a day, in words: on their labels, in the read-out, on their cards."""

from __future__ import annotations

import datetime as dt
import math

from gardenwater.report.year.day import BedDay, Dryness
from gardenwater.report.year.reading import day_words
from gardenwater.site.calendar import weekday_word
from gardenwater.units import Quantity, UnitSystem, text

_NAMED_DAYS = 6


def cans_words(volume_l: float, can_l: float) -> str:
    """Whole cans: "4 cans"."""
    cans = max(1, math.ceil(volume_l / can_l - 1e-6))
    return "1 can" if cans == 1 else f"{cans}\u00a0cans"


def bed_label(bed: BedDay, date: dt.date, can_l: float) -> str:
    """What its label says: "moist", "water in 3 days", "water today, 4 cans", "dry, 9 cans"."""
    if bed.dryness is Dryness.DRY:
        return f"dry, {cans_words(bed.short_l, can_l)}"
    if bed.dryness is Dryness.TODAY:
        return f"water today, {cans_words(bed.wanted_l, can_l)}"
    if bed.dryness is Dryness.SOON and bed.next_day is not None:
        days = (bed.next_day - date).days
        return "water tomorrow" if days == 1 else f"water in {days} days"
    return "moist"


def bed_wants(bed: BedDay, date: dt.date, can_l: float) -> str:
    """What it wants and by when: "wants 4 cans by Thursday"."""
    if bed.dryness is Dryness.DRY:
        return f"wants {cans_words(bed.short_l, can_l)} more today"
    if bed.next_day is None:
        return "wants nothing more this year"
    days = (bed.next_day - date).days
    when = (
        "today"
        if days == 0
        else f"by {weekday_word(bed.next_day)}"
        if days <= _NAMED_DAYS
        else f"by {day_words(bed.next_day)}"
    )
    return f"wants {cans_words(bed.next_l, can_l)} {when}"


def short_of_full(bed: BedDay, units: UnitSystem) -> str:
    """How much its root zone lacks: "11 mm short of full"; empty where that is not known."""
    if not math.isfinite(bed.depletion_mm):
        return ""
    if bed.depletion_mm < 0.5:
        return "full"
    return f"{text(round(bed.depletion_mm), Quantity.RAIN_MM, units)} short of full"
