"""What the year strip shows, as values: the years that can be chosen and the one that is, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from gardenwater.report.year import Days, YearDays, YearName


class Lack(Enum):
    """Why there is no year to show, in words."""

    WEATHER = "The year: needs weather. Twelve monthly figures are enough."
    TANK = "The year: needs a tank. Pick Tank in the drawing tray, or press Insert and type ta."
    BED = "The year: needs a bed. Pick Bed in the drawing tray, or press Insert and type be."
    ANSWER = "The year: working out."
    FAILED = "The year could not be worked out. Everything else is up to date."


@dataclass(frozen=True, slots=True, eq=False)
class YearShown:
    """What the strip shows.

    days: the year, or None, then `lack` says why. years: what can be chosen instead. key: of the year that is shown.
    tanks: each tank's name and its litres, day by day. stale: a new answer is being worked out, this is the old one.
    """

    days: YearDays | None = None
    years: tuple[YearName, ...] = ()
    key: str = ""
    tanks: tuple[tuple[str, Days], ...] = ()
    stale: bool = False
    lack: Lack = Lack.ANSWER
