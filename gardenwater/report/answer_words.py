"""What each question writes beside things and results: lines of labels and their ranks."""

from __future__ import annotations

import math
from collections.abc import Callable, Container, Mapping
from typing import NamedTuple

from gardenwater.assess import Answers, BedReach, CatchAnswer, OverflowAnswer, ReachAnswer, StandAnswer
from gardenwater.findings import Question
from gardenwater.report.drawing import TextStyle
from gardenwater.report.labels import Line
from gardenwater.report.styles import ANSWER, ANSWER_ITALIC
from gardenwater.report.text import bed_words, litres
from gardenwater.report.year.bed_words import bed_label
from gardenwater.report.year.day import DayState
from gardenwater.report.year.days import LEAST_L
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Roof, Tank
from gardenwater.units import Quantity, UnitSystem, text

_JUST_SHARE = 0.95
"""Of what a pipe carries: from there on it is said to be just enough (ours, no source)."""


class Said(NamedTuple):
    """What a question says of a thing. named: words added to its name."""

    rank: int
    lines: tuple[Line, ...] = ()
    named: str = ""


def said_of(
    site: Site,
    answers: Answers | None,
    question: Question,
    units: UnitSystem,
    focus_tank: str,
    day: DayState | None = None,
    asked: Container[str] | None = None,
) -> dict[str, Said]:
    """What the question says of each thing, by id. day: in Lasting, the day that is shown.

    asked: ids of the things that are asked about; in Reach, which is said anew in each frame of a drag, nothing is said
    of other beds.
    """
    if day is not None:
        return _by_day(day, units)
    if answers is None:
        return _stores(site, units)
    if question is Question.REACH and answers.stand is not None:
        return _stand(site, answers.stand, units)
    says: Mapping[Question, Callable[[], dict[str, Said]]] = {
        Question.CATCH: lambda: _catch(site, answers.catch, units),
        Question.REACH: lambda: _reach(site, answers.reach, units, focus_tank, asked),
        Question.OVERFLOW: lambda: _overflow(site, answers.overflow, answers.catch, units),
    }
    return says[question]() if question in says else _stores(site, units)


def _line(words: str, role: str, style: TextStyle = ANSWER) -> Line:
    return Line(words, style, role)


def stores_after(site: Site, catch: CatchAnswer | None) -> dict[str, float]:
    """Litres in each tank after the wet day: what it held before, and what it takes."""
    taken = catch.spills.taken_l if catch is not None else {}
    full = site.settings.tanks_full
    return {tank.id: tank.capacity_l if full else tank.water_l + taken.get(tank.id, 0.0) for tank in site.of(Tank)}


def _stores(site: Site, units: UnitSystem, volumes_l: Mapping[str, float] | None = None) -> dict[str, Said]:
    """Tanks with the litres in them: now unless given."""
    given = volumes_l or {}
    return {
        tank.id: Said(3, (_line(litres(given.get(tank.id, tank.water_l), units), "water", ANSWER_ITALIC),))
        for tank in site.of(Tank)
    }


def _by_day(day: DayState, units: UnitSystem) -> dict[str, Said]:
    """Tanks with what they hold that day and spill, beds with what they want."""
    said: dict[str, Said] = {}
    for tank, held in day.tanks.items():
        words, role = ("empty", "fails") if held.volume_l < LEAST_L else (litres(held.volume_l, units), "water")
        lines = [_line(words, role, ANSWER_ITALIC)]
        if held.spills:
            lines.append(_line(f"spills {litres(held.spill_l, units)}", "spill", ANSWER_ITALIC))
        said[tank] = Said(2, tuple(lines))
    for bed, state in day.beds.items():
        said[bed] = Said(2, (_line(bed_label(state, day.date, day.can_l), "ink"),))
    return said


def _reach(
    site: Site, reach: ReachAnswer | None, units: UnitSystem, focus_tank: str, asked: Container[str] | None
) -> dict[str, Said]:
    said = _stores(site, units)
    if reach is None:
        return said
    tank = reach.tank(focus_tank) if focus_tank else None
    beds: tuple[BedReach, ...] = tank.beds if tank is not None else reach.beds
    for bed in beds:
        if asked is None or bed.bed in asked:
            said[bed.bed] = Said(2, (_line(bed_words(bed, units), "ink"),))
    return said


def _stand(site: Site, stand: StandAnswer, units: UnitSystem) -> dict[str, Said]:
    """Beds: whether some spot serves them, or what stand they would need."""
    said = _stores(site, units)
    for chance in stand.map.chances:
        if chance.spots:
            words = "served"
        elif math.isnan(chance.stand_m):
            words = "no way for a line"
        else:
            words = f"needs a stand of {text(chance.stand_m, Quantity.HEIGHT_M, units)}"
        said[chance.key] = Said(2, (_line(words, "ink"),))
    return said


def _catch(site: Site, catch: CatchAnswer | None, units: UnitSystem) -> dict[str, Said]:
    said = _stores(site, units)
    if catch is None:
        return said
    for roof in site.of(Roof):
        pipes = {part.downpipe for part in catch.parts if part.roof == roof.id}
        if catch.year is not None and pipes:
            volume_l = sum(catch.year.pipes[pipe].runs_l for pipe in pipes if pipe in catch.year.pipes)
            said[roof.id] = Said(2, (_line(f"{litres(volume_l, units)} a year", "ink"),))
    for pipe in site.of(Downpipe):
        lines = _capacity(catch, pipe.id, units)
        if pipe.id in catch.uncaught:
            lost = catch.year.pipes[pipe.id].runs_l if catch.year is not None and pipe.id in catch.year.pipes else None
            first = () if lost is None else (_line(f"{litres(lost, units)} a year lost", "watch"),)
            said[pipe.id] = Said(1, (*first, *lines), ", caught by nobody")
        elif lines:
            said[pipe.id] = Said(2, lines)
    return said


def _capacity(catch: CatchAnswer, pipe: str, units: UnitSystem) -> tuple[Line, ...]:
    """Whether a pipe carries the design rain: "1.3 of 1.4 L/s, enough"."""
    found = catch.capacities.pipes.get(pipe)
    if found is None:
        return ()
    sends = text(found.sends_l_s, Quantity.FLOW_L_S, units, unit=False)
    carries = text(found.carries_l_s, Quantity.FLOW_L_S, units)
    if not found.enough:
        return (_line(f"{sends} of {carries}, too small", "fails"),)
    word = "just enough" if found.sends_l_s > _JUST_SHARE * found.carries_l_s else "enough"
    return (_line(f"{sends} of {carries}, {word}", "ink"),)


def _overflow(
    site: Site, overflow: OverflowAnswer | None, catch: CatchAnswer | None, units: UnitSystem
) -> dict[str, Said]:
    uncaught = catch.uncaught if catch is not None else ()
    stores = _stores(site, units, stores_after(site, catch))
    said = {thing_id: words._replace(rank=2) for thing_id, words in stores.items()}
    if overflow is None:
        return said
    spilled: dict[str, float] = {}
    for source in overflow.sources:
        spilled[source.owner] = spilled.get(source.owner, 0.0) + source.volume_m3 * 1000.0
    for owner, volume_l in spilled.items():
        if isinstance(site.get(owner), Downpipe):
            rank, why = (1, "uncaught") if owner in uncaught else (2, "runs out at its foot")
            said[owner] = Said(rank, (_line(f"{litres(volume_l, units)}, {why}", "roof_line"),))
        elif isinstance(site.get(owner), Tank):
            said[owner] = Said(2, (_line(f"spills {litres(volume_l, units)}", "water", ANSWER_ITALIC),))
    for taker, taken in zip(overflow.takers, overflow.spill.taken, strict=True):
        if taken.volume_m3 > 0:
            words = _line(f"took {litres(taken.volume_m3 * 1000.0, units)}", "earth", ANSWER_ITALIC)
            said[taker] = Said(2, (words,), ", full" if taken.full else "")
    return said
