"""Findings of the weather that Lasting rests on: how far it is to be trusted."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_RECORD = "The site's own weather"
_LASTING = Question.LASTING

WEATHER: tuple[Entry, ...] = (
    entry(
        "weather.few-years",
        Severity.WATCH,
        _LASTING,
        "BS 8515, clause 4.1.2: daily rain of at least three years, better five",
        plain=Wording(
            "The record has {years#whole year|whole years}, too few to say how dry it gets",
            "At least three are wanted, better five.",
            "Bring in more years, or take the monthly figures.",
        ),
    ),
    entry(
        "weather.left-out",
        Severity.NOTE,
        _LASTING,
        _RECORD,
        plain=Wording(
            "{days#day|days} of the record are not known",
            "The store runs over them as over dry days, and their {years#year is|years are} not counted.",
            "Fill them as the weather's sheet offers, or take the days of another station.",
        ),
    ),
    entry(
        "weather.temperatures-lent",
        Severity.NOTE,
        _LASTING,
        COMMON,
        plain=Wording(
            "The record has no temperatures: the monthly figures give them",
            "Hot and cool spells are smoothed out of the need.",
            "Take a record with temperatures.",
        ),
    ),
    entry(
        "weather.changed",
        Severity.NOTE,
        _LASTING,
        _RECORD,
        plain=Wording(
            "Lasting is worked out for a changed climate",
            "A year has {share:share} of its rain, and is {warmer_k:warming_k} warmer in the mean.",
        ),
    ),
)
