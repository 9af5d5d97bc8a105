"""Findings of Reach: beds that no tank serves, or serves by little."""

from __future__ import annotations

from gardenwater.findings.entry import ENGINEER, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_WORKED_OUT = (
    "Worked out: least water level that serves the delivery spot, over the ground, with the losses of the line "
    "(Darcy-Weisbach; 64/Re below Re 2000, Colebrook above 4000)"
)
_ERROR = (
    "Worked out: error of the ground relative to the tank, 2 s² (1 - exp(-d / L)) with the site's own s and L "
    "(exponential correlation of levels, usual in geostatistics, from memory)"
)

REACH: tuple[Entry, ...] = (
    entry(
        "reach.bed-out",
        Severity.FAILS,
        Question.REACH,
        _WORKED_OUT,
        raise_stand=Wording(
            "No tank reaches {subject}: {too_high_m:height_m} too high for {other} when full",
            "It needs a water level of {needed_level_m:level_m}; the full tank stands at {full_level_m:level_m}.",
            "Raise its stand to {stand_m:height_m}, so that half its litres serve it, or carry water in cans.",
        ),
        raise_high=Wording(
            "No tank reaches {subject}: {too_high_m:height_m} too high for {other} when full",
            "It needs a water level of {needed_level_m:level_m}; the full tank stands at {full_level_m:level_m}.",
            "With a stand of {stand_m:height_m} half its litres would serve it; that needs a design, and "
            + ENGINEER
            + ". Or carry water in cans.",
        ),
        feed_low=Wording(
            "No tank reaches {subject}: {too_high_m:height_m} too high for {other} when full",
            "A stand of {stand_m:height_m} would do, but puts its inlet {feed_short_m:height_m} above its diverter.",
            "Move the diverter up as well, put a tank higher up the slope, or carry water in cans.",
        ),
        too_high=Wording(
            "No tank reaches {subject}: {too_high_m:height_m} too high for {other} when full",
            "It needs a water level of {needed_level_m:level_m}; the full tank stands at {full_level_m:level_m}.",
            "No stand is high enough: put a tank higher up the slope, or carry water in cans.",
        ),
        move=Wording(
            "No tank reaches {subject}: {too_high_m:height_m} too high for {other} when full",
            "It needs a water level of {needed_level_m:level_m}; the full tank stands at {full_level_m:level_m}.",
            "Move {other} {moved_m:length_m} {=where} on the stand that it has, so that half its litres serve it, or "
            "carry cans.",
        ),
        wider=Wording(
            "No tank reaches {subject}: the line from {other} loses too much on the way",
            "It needs a water level of {needed_level_m:level_m}; the full tank stands at {full_level_m:level_m}.",
            "Take {=bore}: then half the tank's litres serve it. Or carry water in cans.",
        ),
        barred=Wording(
            "No tank reaches {subject}: no line finds a way to it",
            "Buildings, walls and ground without levels bar every way.",
            "Leave a gap for the line, or carry water in cans.",
        ),
        no_level=Wording(
            "No tank reaches {subject}: its ground has no level",
            "",
            "Add level pegs there, or take a raster that covers it.",
        ),
    ),
    entry(
        "reach.bed-waits",
        Severity.WATCH,
        Question.REACH,
        _WORKED_OUT,
        plain=Wording(
            "{other} is {too_high_m:height_m} too low for {subject} today",
            "Reached while it holds over {needed_l:volume_l}; it holds {water_l:volume_l} of {capacity_l:volume_l}.",
            "Carry cans until it fills, or raise its stand by {too_high_m:height_m}.",
        ),
    ),
    entry(
        "reach.bed-by-level",
        Severity.WATCH,
        Question.REACH,
        _WORKED_OUT,
        plain=Wording(
            "{subject} is reached only while {other} holds over {needed_l:volume_l}",
            "Of its {capacity_l:volume_l} no more than {usable_full_l:volume_l} serve this bed.",
            "Below that, carry cans, or raise its stand.",
        ),
    ),
    entry(
        "reach.bed-marginal",
        Severity.WATCH,
        Question.REACH,
        _ERROR,
        within=Wording(
            "{subject} is marginal: {margin_m:height_m} of spare head",
            "The tightest point of the way from {other} has that much; levels along it are good to {error_m:height_m}.",
            "Level the bed's highest ground again.",
        ),
        short=Wording(
            "{subject} is marginal: {too_high_m:height_m} too high for {other}",
            "That is within the error: levels along the way are good to {error_m:height_m}.",
            "Level the bed's highest ground again, or raise the stand by {too_high_m:height_m}.",
        ),
    ),
    entry(
        "reach.bed-slow",
        Severity.WATCH,
        Question.REACH,
        _WORKED_OUT,
        plain=Wording(
            "Water comes to {subject} slower than {wanted_l_min:flow_l_min}",
            "{other} stands high enough, but the line loses too much over {distance_m:length_m}.",
            "Take a wider bore, raise its stand, or give the can more time.",
        ),
        wider=Wording(
            "Water comes to {subject} slower than {wanted_l_min:flow_l_min}",
            "{other} stands high enough, but the line loses too much over {distance_m:length_m}.",
            "Take {=bore}: then half the tank's litres bring that much, or give the can more time.",
        ),
    ),
    entry(
        "cans.carry",
        Severity.NOTE,
        Question.REACH,
        "Worked out: the shortest way on foot round buildings and walls",
        plain=Wording(
            "Cans for {subject} are carried {distance_m:length_m} from {other}",
            "No tank or tap is nearer on foot.",
        ),
    ),
)
