"""Findings of Overflow: whether what is built carries, holds and ends the water that comes to it."""

from __future__ import annotations

from gardenwater.findings.entry import LOCAL, PRACTITIONER, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_Q = Question.OVERFLOW
_MANNING = "Manning's formula; n of mown grass 0.035, of a grown ditch 0.040 (UDFCD 1990, table 2-4)"
_BRE = "BRE Digest 365: sides to half the effective depth, half empty within 24 h (seen second-hand)"
_FULL = "Colebrook-White, roughness 0.6 mm (common practice), full and falling evenly"

DRAINAGE: tuple[Entry, ...] = (
    entry(
        "overflow.pipe-narrow",
        Severity.FAILS,
        _Q,
        "University extension note: the overflow at least as large as the inlet, seen second-hand",
        plain=Wording(
            "{subject} is narrower than what feeds {other}",
            "Its bore is {bore_mm:bore_mm}, that of the inlets together {inlet_mm:bore_mm}.",
            "Fit a pipe of {inlet_mm:bore_mm} or more, or a second one.",
        ),
    ),
    entry(
        "overflow.pipe-too-small",
        Severity.FAILS,
        _Q,
        _FULL + "; rain 75 mm/h, 0.021 L/s on each m² (Approved Document H, seen second-hand)",
        plain=Wording(
            "{subject} carries {carries_l_s:flow_l_s}; {sends_l_s:flow_l_s} may come in the design rain",
            "It falls {fall_m:height_m} over {length_m:length_m}; what does not go through runs out at {other}.",
            "Fit a wider pipe, or let it fall more.",
        ),
    ),
    entry(
        "overflow.ditch-too-small",
        Severity.FAILS,
        _Q,
        _MANNING,
        plain=Wording(
            "{subject} carries {carries_l_s:flow_l_s}; {sends_l_s:flow_l_s} come {=when}",
            "It falls {fall_m:height_m} over {length_m:length_m} and is {depth_m:height_m} deep.",
            "Dig it wider or deeper, or share the water with another.",
        ),
    ),
    entry(
        "overflow.washes-out",
        Severity.WATCH,
        _Q,
        _MANNING
        + "; grass on soil that is easily washed out bears 4, 3 or 2.5 ft/s by its fall (SCS-TP-61, second-hand)",
        plain=Wording(
            "Water runs faster in {subject} than grass bears",
            "{speed_m_s:height_m} a second {=when}, where grass bears {bears_m_s:height_m}.",
            "Lay it nearer to the contour, make it wider, or pave its bed with stones.",
        ),
    ),
    entry(
        "overflow.swale-off-contour",
        Severity.WATCH,
        _Q,
        "Plan: levels of the ground along it; what it holds stands level",
        plain=Wording(
            "{subject} does not lie on the contour: it holds {room_l:volume_l} of {whole_l:volume_l}",
            "The ground along it differs by {fall_m:height_m}, and it is {depth_m:height_m} deep: its low end spills "
            "first.",
            "Draw it along a contour, or part it by checks.",
        ),
    ),
    entry(
        "overflow.soakaway-slow",
        Severity.WATCH,
        _Q,
        _BRE,
        slow=Wording(
            "{subject} is half empty after {half_h:hours} only",
            "It should be within {limit_h:hours}, to be ready for the next rain.",
            "Make it longer and narrower, so that its sides are larger; " + PRACTITIONER + ".",
        ),
        tight=Wording(
            "The soil of {subject} hardly soaks: {soak_mm_h:soak_mm_h}",
            "A soakaway wants {least_mm_h:soak_mm_h} at least.",
            "Lead the water to a pond or swale; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "overflow.spillway-small",
        Severity.FAILS,
        _Q,
        "Broad-crested weir: Q = 1.705 b h^1.5",
        plain=Wording(
            "The spillway of {subject} is too small: water stands {head_m:depth_m} deep in it",
            "{sends_l_s:flow_l_s} run over it {=when}; it is {width_m:length_m} wide and {depth_m:depth_m} deep.",
            "Make it wider, or deeper by a hand.",
        ),
    ),
    entry(
        "overflow.no-end",
        Severity.FAILS,
        _Q,
        "Plan: the way of the water followed to its end",
        taker=Wording(
            "{subject} is full, and its overflow leads nowhere",
            "{over_l:volume_l} {=when} more than it holds; no way leads on from it, or the way leads back.",
            "Give it an overflow that leads downhill, to ground that can take it.",
        ),
        pipe=Wording(
            "{subject} leads back into {other}, which is led into it",
            "The water of one goes round to the other and has no end.",
            "Let one of them end on the ground or in a taker.",
        ),
    ),
    entry(
        "overflow.past-door",
        Severity.FAILS,
        _Q,
        "Worked out: the way of spilled water; how near it may come is judgement, no source",
        plain=Wording(
            "{all's} {=what} runs past {subject}, whose sill is {sill_m:height_m} above the ground",
            "{volume_l:volume_l} {=when}, {distance_m:length_m} off.",
            "Turn it away with a kerb or a swale, or raise the sill; " + LOCAL + ".",
        ),
        below=Wording(
            "{all's} {=what} runs past {subject}, whose sill lies {sill_m:height_m} below the ground",
            "{volume_l:volume_l} {=when}, {distance_m:length_m} off.",
            "Turn it away with a kerb or a swale, or raise the sill; " + LOCAL + ".",
        ),
    ),
    entry(
        "overflow.asked-missing",
        Severity.WATCH,
        _Q,
        "Settings: what Overflow is asked for",
        day=Wording(
            "The day that Overflow is asked for is not in the weather: a wet day is taken",
            "It is written {=asked}.",
            "Give a rainy day of the record, as 2014-11-19, or read in weather.",
        ),
        owner=Wording(
            "Nothing that spills is called {=asked}: all water is followed",
            "",
            "Give the name of a tank, downpipe or roof.",
        ),
    ),
)
