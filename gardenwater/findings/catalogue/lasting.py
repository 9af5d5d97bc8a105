"""Findings of Lasting: whether the store lasts, and what keeps water from the beds or fresh in the tanks."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_DAILY = (
    "Daily balance, yield after spillage (Jenkins 1978; Fewkes and Butler 2000); needs by FAO-56 (Allen and others, "
    "1998)"
)
_VESSELS = "Communicating vessels; losses of the link by Darcy-Weisbach"
_LASTING = Question.LASTING

LASTING: tuple[Entry, ...] = (
    entry(
        "lasting.runs-dry",
        Severity.FAILS,
        _LASTING,
        _DAILY,
        plain=Wording(
            "The store falls short from {=day} in the driest of {years#year|years}",
            "{missing_l:volume_l} are missing by the year's end, {cans#can|cans}: {days#day|days} are short, and"
            " {share:share} of the need is met.",
            "Add a tank or a roof, as the curve shows, or mulch and shade the beds.",
        ),
        some_years=Wording(
            "The store falls short from {=day} in the driest of {years#year|years}",
            "{missing_l:volume_l} are missing by the year's end, {cans#can|cans}: {days#day|days} are short, and"
            " {share:share} of the need is met. {dry_years#year is|years are} short in all.",
            "Add a tank or a roof, as the curve shows, or mulch and shade the beds.",
        ),
    ),
    entry(
        "lasting.lasts",
        Severity.NOTE,
        _LASTING,
        _DAILY,
        plain=Wording(
            "The store lasts through the driest of {years#year|years}", "{need_l:volume_l} are needed in it."
        ),
    ),
    entry(
        "lasting.out-of-hands",
        Severity.WATCH,
        _LASTING,
        _DAILY,
        plain=Wording(
            "On {days#day|days} of the driest year water is left that does not come to the beds",
            "It stands too low for them, and {cans#can|cans} a day are carried at most.",
            "Raise a tank that holds it, carry more cans, or link it to one that stands higher.",
        ),
    ),
    entry(
        "lasting.bed-by-can",
        Severity.WATCH,
        _LASTING,
        _DAILY,
        plain=Wording(
            "{subject} gets most of its water by can: {cans#can|cans} in the driest year",
            "That is {share:share} of what it is given, on {days#day|days}.",
            "Raise the tank that serves it, or lead a line to it from a higher one.",
        ),
    ),
    entry(
        "lasting.link-thin",
        Severity.WATCH,
        _LASTING,
        _VESSELS,
        plain=Wording(
            "{subject} is too thin: the tanks it joins are not level on {days#day|days} of the driest year",
            "They differ by up to {gap_m:height_m} at a day's end.",
            "Lay a wider pipe; twice the bore passes about six times as much.",
        ),
    ),
    entry(
        "lasting.water-stands",
        Severity.WATCH,
        _LASTING,
        COMMON,
        plain=Wording(
            "Water stands up to {days#day|days} in {subject}",
            "That is its age in the middle year, with the rain that mixes with it.",
            "Keep light and insects out, and draw from this tank first.",
        ),
    ),
    entry(
        "lasting.one-tank",
        Severity.WATCH,
        _LASTING,
        _DAILY,
        plain=Wording(
            "Without {subject} {share:share} of the need would be met, not {share_now:share}",
            "A leak or foul water in it costs {missing_l:volume_l} in a mean year.",
            "Link another tank to its pipe, so that one can fail.",
        ),
    ),
    entry(
        "lasting.made-years",
        Severity.NOTE,
        _LASTING,
        "Two-state chain with gamma depths (Geng and others, 1986)",
        plain=Wording(
            "Lasting rests on {years#made year|made years}, not on a record",
            "They keep the monthly means; long droughts are too few in them, and hot spells are missing.",
            "Bring in the days of a station nearby.",
        ),
    ),
    entry(
        "lasting.needs-latitude",
        Severity.NOTE,
        _LASTING,
        "FAO-56 (Allen and others, 1998): the sun's radiation goes by the latitude",
        plain=Wording(
            "Lasting needs the latitude of the site", "", "Type it in the settings, or place the site on the Earth."
        ),
    ),
)
