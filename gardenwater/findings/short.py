"""The shortest answer to each question, and its wording by code (said by `wording.short_words`)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from gardenwater.findings.model import Question, Severity


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortAnswer:
    """The one line that stands under a question's word; text-free, so that every face says it in its own units.

    code: stable name of the answer, `question.what` (`reach.beds`); its wording is in `SHORTS`.
    numbers: name and value pairs, SI with the unit in the name. names: ids of the things that it names.
    severity: of the gravest finding that the words are about; None where nothing is wrong.
    needs: True when the question lacks something (`needs a tank`) and was not worked out.
    """

    question: Question
    code: str
    numbers: tuple[tuple[str, float], ...] = ()
    names: tuple[str, ...] = ()
    severity: Severity | None = None
    needs: bool = False

    def number(self, name: str) -> float:
        """The value of the number called `name`; KeyError where there is none."""
        return dict(self.numbers)[name]


SHORTS: Mapping[str, str] = MappingProxyType(
    {
        "ground.fall": "{relief_m:height_m} of fall",
        "ground.needs-levels": "needs levels",
        "catch.year": "{year_l:volume_l} a year",
        "catch.wet-day": "{wet_day_l:volume_l} a wet day",
        "catch.nothing": "no roof leads to a tank",
        "catch.needs-roof": "needs a roof",
        "reach.beds": "{reached:number} of {beds#bed|beds}",
        "reach.needs-tank": "needs a tank",
        "reach.needs-bed": "needs a bed",
        "overflow.dry": "nothing spills",
        "overflow.unsafe": "{count:number} near a building",
        "overflow.over-sill": "{count:number} over a sill",
        "overflow.on-path": "{count:number} over a path",
        "overflow.on-keep-dry": "{count:number} on keep-dry ground",
        "overflow.no-pipe": "{count:number} without a pipe",
        "overflow.leaves": "{volume_l:volume_l} off the site",
        "overflow.kept": "{volume_l:volume_l} kept on site",
        "overflow.needs-roof": "needs a roof",
        "lasting.short": "{days#day|days} short",
        "lasting.lasts": "lasts the driest year",
        "lasting.needs-tank": "needs a tank",
        "lasting.needs-bed": "needs a bed",
        "lasting.needs-latitude": "needs a latitude",
        "lasting.needs-weather": "needs weather",
        "next-step.not-answered": "not in this version",
        "rounds.not-answered": "not in this version",
    }
)
"""All codes; each under 24 letters or so, so that seven answers stand in a row."""
