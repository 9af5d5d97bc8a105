"""Findings of places for a tank: what is to be watched on a proposed spot, and beds that no spot serves."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, ENGINEER, LOCAL, PRACTITIONER, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_WORKED_OUT = (
    "Worked out: least water level that serves the bed's delivery spot, against the highest feed of each downpipe "
    "(under the eaves, less the feeder's fall of 1 in 100: common practice, no source)"
)
_BEARING = (
    "IBC Table 1806.2, presumed bearing of clay and silt 71.8 kPa (1,500 lb/sq ft), seen in public code; soft or made "
    "ground bears less"
)
_CHILDREN = "Accident prevention society: children drown in a few centimetres; lids, or rigid mesh that bears a child"
_WATCH, _NOTE, _FAILS, _REACH = Severity.WATCH, Severity.NOTE, Severity.FAILS, Question.REACH

STAND: tuple[Entry, ...] = (
    entry(
        "stand.bed-not-served",
        _FAILS,
        _REACH,
        _WORKED_OUT,
        feed_low=Wording(
            "No spot works for {subject}: the feed is {short_m:height_m} too low everywhere",
            "The nearest spot would need a stand of {stand_m:height_m}.",
            "Take water from higher eaves, allow a longer feeder, or carry water in cans.",
        ),
        stand_high=Wording(
            "No stand up to {most_m:height_m} serves {subject}",
            "The nearest spot would need {stand_m:height_m}.",
            "Serve it from a tank higher up the slope, or carry water in cans.",
        ),
        no_way=Wording(
            "No spot works for {subject}: no line leads to it from where a tank could stand",
            "",
            "Allow a longer feeder, leave a gap for the line, or carry water in cans.",
        ),
    ),
    entry(
        "stand.no-spot",
        _FAILS,
        _REACH,
        _WORKED_OUT,
        no_pipe=Wording(
            "No tank can be fed: no downpipe has a roof or a diverter whose level is known",
            "",
            "Draw the roof and its downpipe.",
        ),
        taken=Wording(
            "No free ground lies within {most_m:length_m} of a downpipe",
            "Buildings, beds, paths and steep ground take all of it.",
            "Allow a longer feeder, or take a smaller tank.",
        ),
    ),
    entry(
        "stand.clears-little",
        _WATCH,
        _REACH,
        _WORKED_OUT,
        plain=Wording(
            "{subject's} feed clears the inlet by only {clears_m:height_m}",
            "It comes {feeder_m:length_m} from {other}, its diverter close under the eaves.",
            "Measure eaves and ground with a level before you build.",
        ),
    ),
    entry(
        "stand.near-building",
        _WATCH,
        _REACH,
        "US practice: overflow at least 10 ft (3 m) from a foundation, university extension note, seen second-hand",
        plain=Wording(
            "{subject} is {distance_m:length_m} from {other}: lead its overflow away",
            "Under {limit_m:length_m} from a foundation spilled water softens the ground.",
            "Pipe its overflow to a taker, or back to the downpipe; " + LOCAL + ".",
        ),
    ),
    entry(
        "stand.children",
        _WATCH,
        _REACH,
        _CHILDREN,
        plain=Wording(
            "A child can get at the lid of a tank on {subject}: it is {lid_m:height_m} above the ground",
            "A stand is climbed, and a lid left open is deep water.",
            "Fit a lid that locks and leave nothing beside it to climb on; " + LOCAL + ".",
        ),
    ),
    entry(
        "stand.uneven-base",
        _WATCH,
        _REACH,
        COMMON + ": a base is cut level into firm ground",
        plain=Wording(
            "The ground of {subject} falls {fall_m:height_m} across the base",
            "",
            "Dig it level into firm ground, never fill one side up; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "stand.ground-untested",
        _NOTE,
        _REACH,
        _BEARING,
        plain=Wording(
            "Ground of the spots is taken as firm clay, which bears {bearing_kpa:pressure_kpa}; nobody has tested it",
            "The heaviest of them presses {pressure_kpa:pressure_kpa} on its base.",
            "Dig a trial hole where the tank is to stand; " + ENGINEER + ".",
        ),
    ),
)
