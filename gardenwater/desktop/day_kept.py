"""The state of the day under the hand, worked out once for each day and answer."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.report.year.day import DayState


class DayKept:
    """Keeps the state that was asked for last: the plan, the cards and the read-out ask for the same."""

    def __init__(self) -> None:
        self._of: tuple[Answers | None, str, dt.date | None] = (None, "", None)
        self._state: DayState | None = None

    def state(self, answers: Answers | None, year: str, day: dt.date | None) -> DayState | None:
        """What tanks hold and beds want that day; None while Lasting is not answered."""
        kept, kept_year, kept_day = self._of
        if kept is not answers or (kept_year, kept_day) != (year, day):
            from gardenwater.report.year.day import day_of

            self._of = (answers, year, day)
            self._state = day_of(answers, year, day)
        return self._state
