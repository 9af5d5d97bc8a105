"""Findings of Catch: roofs and pipes whose water is lost."""

from __future__ import annotations

from gardenwater.findings.entry import Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_PLAN = "Plan: what is joined to what"
_YIELD = (
    "Worked out: plan area times rain times the surface's yield coefficient and the filter's share (EN 16941-1 form)"
)
_Q = Question.CATCH
_NOBODY = "Put a diverter on it and lead it to a tank, or lead its foot to a soakaway."

CATCH: tuple[Entry, ...] = (
    entry(
        "catch.pipe-uncaught",
        Severity.WATCH,
        _Q,
        _YIELD,
        year=Wording(
            "{subject} is caught by nobody: {year_l:volume_l} a year",
            "{wet_day_l:volume_l} in a wet day run out at its foot.",
            _NOBODY,
        ),
        wet_day=Wording("{subject} is caught by nobody: {wet_day_l:volume_l} in a wet day", "", _NOBODY),
        drained_year=Wording(
            "{subject} is caught by nobody: {year_l:volume_l} a year",
            "{wet_day_l:volume_l} in a wet day go into a drain.",
            "Put a diverter on it and lead it to a tank.",
        ),
        drained_wet_day=Wording(
            "{subject} is caught by nobody: {wet_day_l:volume_l} in a wet day",
            "They go into a drain.",
            "Put a diverter on it and lead it to a tank.",
        ),
    ),
    entry(
        "catch.roof-without-pipe",
        Severity.FAILS,
        _Q,
        _YIELD,
        year=Wording(
            "{subject} has no downpipe: {year_l:volume_l} a year fall from its eaves",
            "{wet_day_l:volume_l} in a wet day.",
            "Draw a gutter and a downpipe.",
        ),
        wet_day=Wording(
            "{subject} has no downpipe: {wet_day_l:volume_l} fall from its eaves in a wet day",
            "",
            "Draw a gutter and a downpipe.",
        ),
    ),
    entry(
        "catch.diverter-without-tank",
        Severity.FAILS,
        _Q,
        _PLAN,
        plain=Wording("{subject} leads to no tank", "", "Say which tank it feeds."),
    ),
    entry(
        "catch.diverter-without-pipe",
        Severity.FAILS,
        _Q,
        _PLAN,
        plain=Wording("{subject} is on no downpipe", "", "Say which downpipe it is on."),
    ),
    entry(
        "catch.pipe-without-roof",
        Severity.FAILS,
        _Q,
        _PLAN,
        plain=Wording("{subject} gets water from no roof", "", "Say which roof it drains."),
    ),
    entry(
        "catch.tank-unfed",
        Severity.WATCH,
        _Q,
        _PLAN,
        plain=Wording(
            "{subject} is fed by nothing",
            "",
            "Lead a diverter or a link to it; until then it holds what is carried there.",
        ),
    ),
    entry(
        "catch.no-rain",
        Severity.NOTE,
        _Q,
        "Settings: rain in a year",
        plain=Wording(
            "Rain in a year is not given: litres are those of a wet day",
            "A wet day here is {rain_mm:rain_mm}.",
            "Give the year's rain from the local weather office.",
        ),
    ),
)
