"""The words about work that a sudden end left behind."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from gardenwater.desktop.dialogs.ask import changes_words
from gardenwater.site.calendar import day_words

if TYPE_CHECKING:
    from gardenwater.files import Found


def recovered_words(work: Found) -> str:
    """What was kept: "12 changes of Quillet Bank after 14:02 were kept."."""
    what = changes_words(work.changes)
    were = "was" if work.changes == 1 else "were"
    if work.saved is None:
        return f"{what} of {work.name}, which was never saved, {were} kept."
    return f"{what} of {work.name} after {_when(work.saved)} {were} kept."


def saved_choice(work: Found) -> str:
    """The word for doing without the changes."""
    return "Open as saved" if work.path is not None else "Leave them"


def _when(moment: dt.datetime) -> str:
    """The time, with the day when it was not today."""
    here = moment.astimezone()
    today = dt.datetime.now().astimezone().date()
    return f"{here:%H:%M}" if here.date() == today else f"{here:%H:%M} on {day_words(here.date())}"
