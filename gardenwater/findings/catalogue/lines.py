"""Findings of watering lines as they are laid."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_AIR = (
    "Gravity lines fall all the way, or have a vent at each high point: BC Ministry of Agriculture Factsheet "
    "590.304-5 (2006) on air locks, seen in part; 0.10 m and more counts, judgement"
)
_GRADE = (
    "Worked out: the line along its way against the grade line at the wanted flow (Darcy-Weisbach); siphons are not "
    "counted"
)
_WATCH, _REACH = Severity.WATCH, Question.REACH

LINES: tuple[Entry, ...] = (
    entry(
        "line.over-grade",
        Severity.FAILS,
        _REACH,
        _GRADE,
        plain=Wording(
            "{subject} climbs {over_m:height_m} too high {distance_m:length_m} along, even with {other} full",
            "No water comes over that point; a siphon would draw in air and dirt.",
            "Lay it round the rise, dig it in by {over_m:height_m}, or raise the stand by as much.",
        ),
    ),
    entry(
        "line.over-grade-now",
        _WATCH,
        _REACH,
        _GRADE,
        plain=Wording(
            "{subject} climbs {over_m:height_m} too high {distance_m:length_m} along, for {other} as it is",
            "The full tank drives water over it; below {needed_m:level_m} it does not.",
            "Lay it round the rise, or dig it in by {over_m:height_m}.",
        ),
    ),
    entry(
        "line.high-point",
        _WATCH,
        _REACH,
        _AIR,
        one=Wording(
            "{subject} has a high point {distance_m:length_m} along",
            "It stands {by_m:height_m} over its sides. Air gathers there and holds the water back.",
            "Vent it there, or lay it {by_m:height_m} lower.",
        ),
        several=Wording(
            "{subject} has {count:number} high points, the highest {distance_m:length_m} along",
            "That one stands {by_m:height_m} over its sides. Air gathers there and holds the water back.",
            "Vent each, or lay the line so that it falls all the way.",
        ),
    ),
    entry(
        "line.low-point",
        _WATCH,
        _REACH,
        _AIR,
        one=Wording(
            "{subject} has a low point {distance_m:length_m} along",
            "It lies {by_m:height_m} under its sides. Silt settles and water stands there, and frost can split it.",
            "Fit a drain-down there, or lay it {by_m:height_m} higher.",
        ),
        several=Wording(
            "{subject} has {count:number} low points, the deepest {distance_m:length_m} along",
            "That one lies {by_m:height_m} under its sides. Silt settles and water stands there; frost can split it.",
            "Fit a drain-down at each, or lay the line so that it falls all the way.",
        ),
    ),
    entry(
        "line.clear",
        _WATCH,
        _REACH,
        COMMON + ": light in standing water grows algae",
        plain=Wording(
            "{subject} lets light in",
            "Clear pipe with standing water grows algae.",
            "Use opaque pipe, or drain it after each round.",
        ),
    ),
)
