"""Findings of the chain of levels: eaves, diverter, inlet, overflow, water, outlet."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_CHAIN = "Water runs down: each level of the chain lies under the one before; levels as measured or drawn"
_AIR = (
    "Gravity lines fall all the way, or have a vent at each high point: BC Ministry of Agriculture Factsheet "
    "590.304-5 (2006) on air locks, seen in part; 0.10 m and more counts, judgement"
)
_STANDING = COMMON + ": a feeder that dips stays full of water; 0.10 m and more counts, judgement"
_FAILS, _CATCH = Severity.FAILS, Question.CATCH

LEVELS: tuple[Entry, ...] = (
    entry(
        "levels.inlet-above-diverter",
        _FAILS,
        _CATCH,
        _CHAIN,
        lower_stand=Wording(
            "Inlet of {subject} is {gap_m:height_m} above its diverter",
            "{other} stands at {diverter_level_m:level_m}, the inlet at {inlet_level_m:level_m}.",
            "Lower the stand by {mend_m:height_m}, or move the diverter up by as much: then its feeder of "
            "{length_m:length_m} falls 1 in 100.",
        ),
        move_diverter=Wording(
            "Inlet of {subject} is {gap_m:height_m} above its diverter",
            "{other} stands at {diverter_level_m:level_m}, the inlet at {inlet_level_m:level_m}.",
            "Move the diverter up by {mend_m:height_m}, or put the tank on lower ground.",
        ),
    ),
    entry(
        "levels.diverter-above-eaves",
        _FAILS,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} is {gap_m:height_m} above the gutter of {other}",
            "It stands at {diverter_level_m:level_m}, the eaves at {eaves_level_m:level_m}.",
            "Move it down by {gap_m:height_m}.",
        ),
    ),
    entry(
        "levels.overflow-above-diverter",
        Severity.WATCH,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} never fills: its overflow is {gap_m:height_m} above its diverter",
            "It fills to {fills_l:volume_l} of {capacity_l:volume_l}, the level of {other}.",
            "Move the diverter up by {mend_m:height_m}, or lower the stand by as much.",
        ),
    ),
    entry(
        "levels.water-below-outlet",
        Severity.WATCH,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} gives no water now: it stands {gap_m:height_m} under its outlet",
            "It holds {water_l:volume_l}, all of it below the outlet.",
            "Wait for rain, or move the outlet nearer to the floor.",
        ),
    ),
    entry(
        "levels.tap-above-water",
        _FAILS,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} never runs: it is {gap_m:height_m} above the overflow of {other}",
            "",
            "Put the tap at least {gap_m:height_m} lower, or raise the stand.",
        ),
    ),
    entry(
        "levels.tap-high",
        Severity.WATCH,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} runs only while {other} holds over {needed_l:volume_l}",
            "It is {gap_m:height_m} above the tank's outlet.",
            "Put the tap lower, or raise the stand.",
        ),
    ),
    entry(
        "levels.link-dry",
        _FAILS,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} passes nothing: it is {gap_m:height_m} above the overflow of {other}",
            "",
            "Put it at least {gap_m:height_m} lower.",
        ),
    ),
    entry(
        "levels.overflow-pipe-climbs",
        _FAILS,
        Question.OVERFLOW,
        _CHAIN,
        plain=Wording(
            "{subject} ends {gap_m:height_m} above the overflow of {other}",
            "Its mouth is at {mouth_level_m:level_m}, the overflow at {overflow_level_m:level_m}.",
            "Lead it to lower ground.",
        ),
    ),
    entry(
        "levels.feeder-climbs",
        _FAILS,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "The feeder to {subject} climbs {over_m:height_m} over {other}, {distance_m:length_m} along",
            "Nothing runs over that point by itself.",
            "Dig it in by {mend_m:height_m} there, or lead it round the rise.",
        ),
    ),
    entry(
        "levels.feeder-high-point",
        Severity.WATCH,
        _CATCH,
        _AIR,
        plain=Wording(
            "The feeder to {subject} has a high point {distance_m:length_m} along",
            "It stands {by_m:height_m} over its sides. Air gathers there and holds the water back.",
            "Dig it in by {mend_m:height_m} there, or vent it.",
        ),
    ),
    entry(
        "levels.feeder-dips",
        Severity.WATCH,
        _CATCH,
        _STANDING,
        one=Wording(
            "The feeder to {subject} falls {fall_m:height_m} and rises {by_m:height_m} again",
            "Its low point, {distance_m:length_m} along, holds {stands_l:volume_l}: silt settles, frost can split it.",
            "Hang it straight, {mend_m:height_m} higher there, so that it falls all the way, or fit a drain-down.",
        ),
        several=Wording(
            "The feeder to {subject} falls {fall_m:height_m} and rises {by_m:height_m} again, the deepest of "
            "{count:number} dips",
            "Its low point, {distance_m:length_m} along, holds {stands_l:volume_l}: silt settles, frost can split it.",
            "Hang it straight, {mend_m:height_m} higher there, so that it falls all the way, or drain each dip.",
        ),
    ),
    entry(
        "levels.link-climbs",
        _FAILS,
        _CATCH,
        _CHAIN,
        plain=Wording(
            "{subject} climbs {over_m:height_m} over the overflow of {other}, {distance_m:length_m} along",
            "Neither tank can stand so high: it passes nothing.",
            "Dig it in by {mend_m:height_m} there, or lead it round the rise.",
        ),
    ),
    entry(
        "levels.feeder-falls-little",
        Severity.WATCH,
        _CATCH,
        COMMON,
        plain=Wording(
            "The feeder to {subject} falls only {fall_m:height_m} over {length_m:length_m}",
            "Under 1 in 100 leaves and grit settle in it.",
            "Move the diverter up by {mend_m:height_m}, or lower the stand by as much.",
        ),
    ),
)
