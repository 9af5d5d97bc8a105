"""Words of the answers in people's units: on labels, in the read-out. Findings get theirs in `findings.wording`."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gardenwater.assess import BedReach, Status
from gardenwater.units import FOOT_M, Quantity, UnitSystem, can_time, text

if TYPE_CHECKING:
    from gardenwater.overflow import Pool

GAP = "\u00a0"

_OUT_WORDS = {
    "RIDGE": "behind a ridge",
    "TOO_HIGH": "too high",
    "TOO_FAR": "too far",
    "BARRIER": "no way leads there",
    "NO_DATA": "no level here",
}


def minutes_words(minutes: float) -> str:
    """Time for a can: "2 min 40 s"."""
    return can_time(minutes * 60.0)


def bed_words(bed: BedReach, units: UnitSystem) -> str:
    """What a tank does for a bed: "3 min 40 s a can", "marginal", "0.15 m too high", "behind a ridge"."""
    if bed.status is Status.MARGINAL:
        return "marginal"
    if bed.status is Status.SURE:
        return f"{minutes_words(bed.minutes_per_can)} a can"
    if bed.status is Status.SLOW:
        return f"slow, {minutes_words(bed.minutes_per_can)} a can" if bed.minutes_per_can > 0 else "slow"
    if math.isfinite(bed.too_high_m) and bed.too_high_m > 0:
        return f"{text(bed.too_high_m, Quantity.HEIGHT_M, units)} too high"
    return _OUT_WORDS.get(bed.reason.name, "out of reach")


def litres(volume_l: float, units: UnitSystem) -> str:
    """Litres, or gallons: "720 L"."""
    return text(volume_l, Quantity.VOLUME_L, units)


def hours_words(hours: float) -> str:
    """How long water stands: "9 hours", "2 days"."""
    if not math.isfinite(hours):
        return "for good"
    if hours < 1:
        return "under an hour"
    if hours < 48:
        count = round(hours)
        return "1 hour" if count == 1 else f"{count} hours"
    return f"{round(hours / 24)} days"


def pool_words(pool: Pool, units: UnitSystem) -> tuple[str, str]:
    """A pool in two lines: "310 L, 10 cm deep" and "gone in 9 hours"."""
    deep = text(pool.depth_m, Quantity.DEPTH_M, units)
    first = f"{litres(pool.volume_m3 * 1000.0, units)}, {deep} deep"
    gone = hours_words(pool.hours_to_soak)
    return first, "does not soak away" if gone == "for good" else f"gone in {gone}"


def level_words(level_m: float, step_m: float, units: UnitSystem) -> str:
    """A contour's level, no finer than its step: "99 m"."""
    unit_m, word = (FOOT_M, "ft") if units is UnitSystem.US else (1.0, "m")
    shown, step = level_m / unit_m, step_m / unit_m
    places = 0 if abs(step - round(step)) < 1e-6 else 1 if abs(step * 10 - round(step * 10)) < 1e-6 else 2
    return f"{shown:.{places}f}{GAP}{word}".replace("-", "\u2212")


def length_words(length_m: float, units: UnitSystem) -> str:
    """A whole length in the margin or on a scale: "20 m", "50 ft"."""
    unit_m, word = (FOOT_M, "ft") if units is UnitSystem.US else (1.0, "m")
    return f"{length_m / unit_m:g}{GAP}{word}"


def peg_words(level_m: float, units: UnitSystem) -> str:
    """A measured level without its unit: "101.42"."""
    return text(level_m, Quantity.LEVEL_M, units, unit=False)


def one_in_words(one_in: float, units: UnitSystem) -> str:
    """A fall: "1 in 11"."""
    return text(one_in, Quantity.ONE_IN, units)
