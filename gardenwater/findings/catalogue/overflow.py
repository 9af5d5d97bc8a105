"""Findings of Overflow: where spilled water does harm, or has no place to go."""

from __future__ import annotations

from gardenwater.findings.entry import LOCAL, PRACTITIONER, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

MENDABLE = frozenset(
    f"overflow.{name}"
    for name in (
        "towards-building",
        "near-building",
        "over-sill",
        "pool-on-path",
        "crosses-path",
        "on-keep-dry",
        "leaves-site",
        "taker-full",
        "no-pipe",
    )
)
"""Codes of findings that mends are looked for."""

_ROUTED = (
    "Worked out: spilled water is followed down the surface of the ground, fills hollows to their rim, and soaks at "
    "the soil's rate"
)
_THREE_M = "University extension note: overflow is led at least 10 ft (3 m) from a foundation, seen second-hand"
_LIE = (
    "Worked out: topographic wetness index (Beven and Kirkby 1979), corrected for the soil; from which index on ground "
    "is soft is judgement, no source"
)
_Q = Question.OVERFLOW

OVERFLOW: tuple[Entry, ...] = (
    entry(
        "overflow.towards-building",
        Severity.UNSAFE,
        _Q,
        _THREE_M,
        runs=Wording(
            "Water from {subject} runs towards {other} and comes within {distance_m:length_m}",
            "{volume_l:volume_l} {=when}; common guidance keeps it {limit_m:length_m} from a foundation.",
            "Turn it away downhill, or lead it in a pipe {limit_m:length_m} off; " + LOCAL + ".",
        ),
        stands=Wording(
            "Water stands {distance_m:length_m} from {subject}, {depth_m:depth_m} deep",
            "{volume_l:volume_l} of {all}, {=when}; common guidance is {limit_m:length_m} from a foundation.",
            "Lead the water past it, or let the hollow drain; " + LOCAL + ".",
        ),
    ),
    entry(
        "overflow.near-building",
        Severity.WATCH,
        _Q,
        _THREE_M,
        plain=Wording(
            "{volume_l:volume_l} run off within {distance_m:length_m} of {subject}",
            "From {all}, {=when}; common guidance is {limit_m:length_m} from a foundation.",
            "Lead it in a pipe {limit_m:length_m} off; " + LOCAL + ".",
        ),
    ),
    entry(
        "overflow.over-sill",
        Severity.UNSAFE,
        _Q,
        _ROUTED,
        plain=Wording(
            "Water stands {gap_m:depth_m} over the sill of {subject}",
            "The pool rises to {pool_level_m:level_m}, the sill is at {sill_level_m:level_m}.",
            "Lead the water past it, or raise the sill; " + LOCAL + ".",
        ),
    ),
    entry(
        "overflow.pool-on-path",
        Severity.FAILS,
        _Q,
        _ROUTED,
        soaks=Wording(
            "{all's} {=what} pools on {subject}",
            "{=When}, {volume_l:volume_l} stand {depth_m:depth_m} deep over {length_m:length_m} of it, for "
            "{soak_h:hours}.",
            "Lead it in a pipe to a soakaway or swale, or turn the mouth another way.",
        ),
        stays=Wording(
            "{all's} {=what} pools on {subject}",
            "{=When}, {volume_l:volume_l} stand {depth_m:depth_m} deep over {length_m:length_m} of it, and stay.",
            "Lead it in a pipe to a soakaway or swale, or turn the mouth another way.",
        ),
    ),
    entry(
        "overflow.crosses-path",
        Severity.WATCH,
        _Q,
        _ROUTED,
        plain=Wording(
            "{all's} {=what} crosses {subject}",
            "{volume_l:volume_l} {=when}: the path is soft after it.",
            "Lead it under the path in a pipe, or turn the mouth another way.",
        ),
    ),
    entry(
        "overflow.on-keep-dry",
        Severity.FAILS,
        _Q,
        _ROUTED,
        plain=Wording(
            "{all's} {=what} runs onto {subject}, which is to stay dry",
            "{volume_l:volume_l} {=when}.",
            "Lead it in a pipe past it, or turn the mouth another way.",
        ),
        reason=Wording(
            "{all's} {=what} runs onto {subject}, which is to stay dry: {=reason}",
            "{volume_l:volume_l} {=when}.",
            "Lead it in a pipe past it, or turn the mouth another way.",
        ),
    ),
    entry(
        "overflow.leaves-site",
        Severity.WATCH,
        _Q,
        _ROUTED,
        boundary=Wording(
            "{volume_l:volume_l} run over the boundary, at its {=where} side",
            "From {all}, {=when}, onto ground that is not yours.",
            "Keep it on the site with a swale, pond or soakaway; " + LOCAL + ".",
        ),
        ground=Wording(
            "{volume_l:volume_l} leave the ground that is known, at its {=where} side",
            "From {all}, {=when}. What they do there is not known.",
            "Draw the boundary, or take ground that goes farther.",
        ),
    ),
    entry(
        "overflow.pool-in-hollow",
        Severity.NOTE,
        _Q,
        _ROUTED,
        soaks=Wording(
            "{volume_l:volume_l} stand {depth_m:depth_m} deep in a hollow, for {soak_h:hours}",
            "From {all}, {=when}.",
            "Let it be where it does no harm; a bed that is under water for a day suffers.",
        ),
        stays=Wording(
            "{volume_l:volume_l} stand {depth_m:depth_m} deep in a hollow, and stay",
            "From {all}, {=when}; the soil takes none.",
            "Let the hollow drain, or make it a pond.",
        ),
    ),
    entry(
        "overflow.soft-path",
        Severity.WATCH,
        _Q,
        _LIE,
        plain=Wording(
            "{subject} lies where the ground gathers water",
            "{length_m:length_m} of it stay soft after rain, without any overflow.",
            "Raise it, drain it to its lower side, or lay it another way.",
        ),
    ),
    entry(
        "overflow.soft-by-building",
        Severity.WATCH,
        _Q,
        _LIE,
        plain=Wording(
            "The ground gathers water {distance_m:length_m} from {subject}",
            "{area_m2:area_m2} within {limit_m:length_m} of it stay soft after rain, without any overflow.",
            "Let the ground fall away from the wall, or drain it; " + LOCAL + ".",
        ),
        several=Wording(
            "The ground gathers water by {count:number} buildings, most by {subject}",
            "{area_m2:area_m2} within {limit_m:length_m} of it stay soft after rain, without any overflow, the nearest"
            " {distance_m:length_m} away.",
            "Let the ground fall away from the walls, or drain it; " + LOCAL + ".",
        ),
    ),
    entry(
        "overflow.tap-by-wall",
        Severity.NOTE,
        _Q,
        "Drips and spilled cans keep the ground soft for half a metre round a tap: judgement, no source",
        plain=Wording(
            "{subject} drips {distance_m:length_m} from {other}",
            "The ground at the wall stays wet.",
            "Set a slab or gravel under it that falls away from the wall.",
        ),
    ),
    entry(
        "overflow.taker-full",
        Severity.WATCH,
        _Q,
        _ROUTED,
        plain=Wording(
            "{subject} is full and spills on",
            "It took {taken_l:volume_l} {=when}; that is all it can.",
            "Make it larger, or lead part of the water elsewhere.",
        ),
        pond=Wording(
            "{subject} is full and spills on",
            "It took {taken_l:volume_l} {=when}; by seepage and evaporation it has that room again after "
            "{room_days:number} days.",
            "Leave more room above the water, or lead part of the water elsewhere.",
        ),
    ),
    entry(
        "overflow.no-pipe",
        Severity.FAILS,
        _Q,
        "Each tank that can overflow needs a way for it: common practice, no source",
        plain=Wording(
            "Overflow of {subject} has no pipe",
            "{volume_l:volume_l} run down beside the tank {=when}.",
            "Lead it to a soakaway, swale or pond, or back to the downpipe.",
        ),
    ),
    entry(
        "overflow.misses-taker",
        Severity.FAILS,
        _Q,
        "Plan: distance from the mouth to the taker",
        plain=Wording(
            "{subject} ends {distance_m:length_m} short of {other}",
            "It is said to end there, but its mouth lies outside.",
            "Draw the pipe into it.",
        ),
    ),
    entry(
        "overflow.soil",
        Severity.NOTE,
        _Q,
        "Table of soils; soak rate of the site's soil unless a taker's was measured",
        plain=Wording(
            "Soil is taken as {=soil}: it soaks {soak_mm_h:soak_mm_h}",
            "A wet day here is {rain_mm:rain_mm} in {rain_h:hours}, with the tanks as they are now.",
            "Dig a trial pit to measure how fast water soaks; " + PRACTITIONER + " on soakaways.",
        ),
        tanks_full=Wording(
            "Soil is taken as {=soil}: it soaks {soak_mm_h:soak_mm_h}",
            "A wet day here is {rain_mm:rain_mm} in {rain_h:hours}, and finds the tanks full.",
            "Dig a trial pit to measure how fast water soaks; " + PRACTITIONER + " on soakaways.",
        ),
        rain=Wording(
            "Soil is taken as {=soil}: it soaks {soak_mm_h:soak_mm_h}",
            "{=Asked} is {rain_mm:rain_mm} in {rain_h:hours}.",
            "Dig a trial pit to measure how fast water soaks; " + PRACTITIONER + " on soakaways.",
        ),
        litres=Wording(
            "Soil is taken as {=soil}: it soaks {soak_mm_h:soak_mm_h}",
            "{rain_l:volume_l} run from each spilling tank within {rain_h:hours}.",
            "Dig a trial pit to measure how fast water soaks; " + PRACTITIONER + " on soakaways.",
        ),
    ),
    entry(
        "overflow.thinned",
        Severity.NOTE,
        _Q,
        "Plan: the ground has more cells than are worked through at once",
        plain=Wording(
            "Overflow is worked out on cells of {cell_m:length_m}, not {fine_m:length_m}",
            "The ground has {cells:number} cells; small hollows and banks are lost.",
            "Cut the raster to the garden and what lies above it.",
        ),
    ),
)
