"""Findings of Catch: roofs and pipes whose water is lost."""

from __future__ import annotations

from gardenwater.findings.entry import Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_PLAN = "Plan: what is joined to what"
_YIELD = (
    "Worked out: plan area times rain times the surface's yield coefficient and the filter's share (EN 16941-1 form)"
)
_DESIGN = (
    "EN 12056-3: 0.021 L/s on each m² (75 mm/h, Approved Document H, seen second-hand); gutters clause 5, downpipes by "
    "Wyly and Eaton, a third filled"
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
        "catch.eaves-drip",
        Severity.WATCH,
        _Q,
        _YIELD,
        year=Wording(
            "{year_l:volume_l} a year drip off the eaves of {subject}",
            "{wet_day_l:volume_l} in a wet day, where no gutter is drawn.",
            "Draw a gutter there.",
        ),
        wet_day=Wording(
            "{wet_day_l:volume_l} drip off the eaves of {subject} in a wet day",
            "No gutter is drawn there.",
            "Draw a gutter there.",
        ),
    ),
    entry(
        "catch.pipe-too-small",
        Severity.FAILS,
        _Q,
        _DESIGN,
        plain=Wording(
            "{subject} takes {carries_l_s:flow_l_s}; the roof sends {sends_l_s:flow_l_s} in the design rain",
            "It drains {effective_m2:area_m2} of roof as wind-driven rain meets it.",
            "Add a second, or fit a wider one.",
        ),
    ),
    entry(
        "catch.outlet-too-small",
        Severity.FAILS,
        _Q,
        "EN 12056-3:2000 table 7, water at 0.47 of the gutter's depth (from memory), halved by a strainer (7.3.3); "
        "0.021 L/s on each m² (75 mm/h, Approved Document H, seen second-hand)",
        plain=Wording(
            "The outlet to {subject} passes {carries_l_s:flow_l_s}; the roof sends {sends_l_s:flow_l_s} in the design "
            "rain",
            "It drains {effective_m2:area_m2} of roof as wind-driven rain meets it.",
            "Fit a wider outlet, a deeper gutter, or a second downpipe.",
        ),
        strainer=Wording(
            "The outlet to {subject} passes {carries_l_s:flow_l_s} through its leaf guard; the roof sends "
            "{sends_l_s:flow_l_s} in the design rain",
            "The guard halves it. It drains {effective_m2:area_m2} of roof as wind-driven rain meets it.",
            "Take the guard out and keep leaves off elsewhere, or fit a wider outlet.",
        ),
    ),
    entry(
        "catch.gutter-too-small",
        Severity.FAILS,
        _Q,
        _DESIGN,
        plain=Wording(
            "{subject} carries {carries_l_s:flow_l_s}; the roof sends {sends_l_s:flow_l_s} in the design rain",
            "It gathers {effective_m2:area_m2} of roof as wind-driven rain meets it.",
            "Fit a wider one, or add a downpipe.",
        ),
    ),
    entry(
        "catch.unjoined",
        Severity.FAILS,
        _Q,
        _PLAN,
        downpipe_roof=Wording("{subject} gets water from no roof", "", "Say which roof it drains."),
        gutter_roof=Wording(
            "{subject} gathers from no roof", "", "Draw it along the eaves, or say which roof it is on."
        ),
        gutter_downpipe=Wording("{subject} leads to no downpipe", "", "Say which downpipe it leads to."),
        diverter_downpipe=Wording("{subject} is on no downpipe", "", "Say which downpipe it is on."),
        diverter_tank=Wording("{subject} leads to no tank", "", "Say which tank it feeds."),
        first_flush_downpipe=Wording("{subject} is on no downpipe", "", "Say which downpipe it is on."),
        overflow_tank=Wording("{subject} comes from no tank", "", "Say which tank it is of."),
        watering_line_tank=Wording("{subject} comes from no tank", "", "Say which tank it is of."),
        tap_tank=Wording("{subject} draws from no tank", "", "Say which tank it draws from."),
        link_tank_a=Wording("{subject} begins at no tank", "", "Say which two tanks it joins."),
        link_tank_b=Wording("{subject} ends at no tank", "", "Say which two tanks it joins."),
    ),
    entry(
        "catch.joined-to-nearest",
        Severity.NOTE,
        _Q,
        _PLAN,
        plain=Wording(
            "{count#thing is|things are} taken with what is nearest",
            "{all}: not said what they belong to.",
            "Say it in their cards.",
        ),
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
