"""What each question writes beside things and results: lines of labels and their ranks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from gardenwater.assess import Answers, BedReach, OverflowAnswer, ReachAnswer
from gardenwater.findings import Question
from gardenwater.report.drawing import TextStyle
from gardenwater.report.labels import Line
from gardenwater.report.styles import ANSWER, ANSWER_ITALIC
from gardenwater.report.text import bed_words, litres
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Tank
from gardenwater.units import UnitSystem


class Said(NamedTuple):
    """What a question says of a thing. named: words added to its name."""

    rank: int
    lines: tuple[Line, ...] = ()
    named: str = ""


def said_of(
    site: Site, answers: Answers | None, question: Question, units: UnitSystem, focus_tank: str
) -> dict[str, Said]:
    """What the question says of each thing, by id."""
    if answers is None:
        return _stores(site, units)
    says: Mapping[Question, Callable[[], dict[str, Said]]] = {
        Question.REACH: lambda: _reach(site, answers.reach, units, focus_tank),
        Question.OVERFLOW: lambda: _overflow(site, answers.overflow, units),
    }
    return says[question]() if question in says else _stores(site, units)


def _line(words: str, role: str, style: TextStyle = ANSWER) -> Line:
    return Line(words, style, role)


def _stores(site: Site, units: UnitSystem) -> dict[str, Said]:
    """Tanks with the litres in them."""
    return {tank.id: Said(3, (_line(litres(tank.water_l, units), "water", ANSWER_ITALIC),)) for tank in site.of(Tank)}


def _reach(site: Site, reach: ReachAnswer | None, units: UnitSystem, focus_tank: str) -> dict[str, Said]:
    said = _stores(site, units)
    if reach is None:
        return said
    tank = reach.tank(focus_tank) if focus_tank else None
    beds: tuple[BedReach, ...] = tank.beds if tank is not None else reach.beds
    for bed in beds:
        said[bed.bed] = Said(2, (_line(bed_words(bed, units), "ink"),))
    return said


def _overflow(site: Site, overflow: OverflowAnswer | None, units: UnitSystem) -> dict[str, Said]:
    said = {thing_id: words._replace(rank=2) for thing_id, words in _stores(site, units).items()}
    if overflow is None:
        return said
    spilled: dict[str, float] = {}
    for source in overflow.sources:
        spilled[source.owner] = spilled.get(source.owner, 0.0) + source.volume_m3 * 1000.0
    for owner, volume_l in spilled.items():
        if isinstance(site.get(owner), Downpipe):
            said[owner] = Said(1, (_line(f"{litres(volume_l, units)}, uncaught", "roof_line"),))
        else:
            said[owner] = Said(2, (_line(f"spills {litres(volume_l, units)}", "water", ANSWER_ITALIC),))
    for taker, volume_m3 in zip(overflow.takers, overflow.spill.taken_m3, strict=True):
        if volume_m3 > 0:
            said[taker] = Said(2, (_line(f"took {litres(volume_m3 * 1000.0, units)}", "earth", ANSWER_ITALIC),))
    return said
