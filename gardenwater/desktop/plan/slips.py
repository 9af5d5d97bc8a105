"""Words at the pointer: what a thing is, what a drag changes, why something cannot be there."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from gardenwater.desktop.plan.geometry import touch_shape
from gardenwater.desktop.plan.live import Sight, SlipLine
from gardenwater.desktop.plan.placing import Misplaced
from gardenwater.findings import Question
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, LevelPeg, Roof, SlopeArrow, Tank, Thing
from gardenwater.units import Quantity, UnitSystem, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers

_TOLD_M = 0.005  # a smaller change of level is not told


@dataclass(frozen=True, slots=True)
class Before:
    """How things stood when a drag began."""

    thing: Thing | None
    level_m: float
    answers: Answers | None

    @classmethod
    def of(cls, sight: Sight, things: Sequence[Thing]) -> Before:
        """What is to be compared with, for one thing; several are compared by the question's answer alone."""
        thing = things[0] if len(things) == 1 else None
        level_m = _level_under(sight, thing) if thing is not None else math.nan
        return cls(thing, level_m, sight.desk.answers)


def _level_under(sight: Sight, thing: Thing) -> float:
    spot = touch_shape(thing).centroid
    return sight.level_at(spot.x, spot.y)


def dragged_lines(sight: Sight, before: Before) -> tuple[SlipLine, ...]:
    """The question's answer now and before, and how much lower or higher the thing stands."""
    lines: list[SlipLine] = []
    now = sight.desk.answers
    answer = _answer(sight.desk.question, before, now, sight.desk.units)
    if answer:
        lines.append(SlipLine(answer, strong=True))
    thing = None if before.thing is None else sight.desk.site.get(before.thing.id)
    if thing is not None:
        change = _level_under(sight, thing) - before.level_m
        if math.isfinite(change):
            lines.append(SlipLine(_level_words(change, sight.desk.units)))
        if isinstance(thing, Tank) and now is not None:
            lines += _feed_lines(thing.id, now, sight.desk.units)
    return tuple(lines)


def _feed_lines(tank_id: str, answers: Answers, units: UnitSystem) -> list[SlipLine]:
    """How far the lowest feed is above the tank's inlet, or below it."""
    falls = [feed.fall_m for chain in answers.chains if chain.tank == tank_id for feed in chain.feeds]
    known = [fall for fall in falls if math.isfinite(fall)]
    if not known:
        return []
    fall = text(abs(min(known)), Quantity.HEIGHT_M, units)
    if min(known) < 0:
        return [SlipLine(f"feed is {fall} below the inlet", "fails")]
    return [SlipLine(f"feed clears the inlet by {fall}", "ink_soft")]


def _level_words(change_m: float, units: UnitSystem) -> str:
    if abs(change_m) < _TOLD_M:
        return "as high as before"
    return f"{text(abs(change_m), Quantity.HEIGHT_M, units)} {'higher' if change_m > 0 else 'lower'} than before"


def _answer(question: Question, before: Before, now: Answers | None, units: UnitSystem) -> str:
    if now is None:
        return ""
    if question is Question.REACH and now.reach is not None:
        return _with_before(_beds(before, now), _beds(before, before.answers), f" of {len(now.reach.beds)} beds")
    if question is Question.OVERFLOW and now.overflow is not None:
        return _overflow_words(before.answers, now, units)
    return ""


def _beds(before: Before, answers: Answers | None) -> int | None:
    """Beds reached by the dragged tank, or by any when it is no tank."""
    if answers is None or answers.reach is None:
        return None
    tank = answers.reach.tank(before.thing.id) if isinstance(before.thing, Tank) else None
    return answers.reach.beds_reached if tank is None else tank.beds_reached


def _with_before(now: int | None, then: int | None, rest: str) -> str:
    if now is None:
        return ""
    return f"{now}{rest}" if then is None or then == now else f"{now}{rest}, was {then}"


def _overflow_words(before: Answers | None, now: Answers, units: UnitSystem) -> str:
    """Litres that pool and litres that leave, against before."""
    assert now.overflow is not None
    account = now.overflow.account
    then = before.overflow.account if before is not None and before.overflow is not None else None
    pooled = _litres(account.pooled_l, then.pooled_l if then else None, units)
    leaving = _litres(account.off_site_l, then.off_site_l if then else None, units)
    return f"{pooled} pooled; {leaving} off the site"


def _litres(now_l: float, then_l: float | None, units: UnitSystem) -> str:
    now = text(now_l, Quantity.VOLUME_L, units)
    then = now if then_l is None else text(then_l, Quantity.VOLUME_L, units)
    return now if now == then else f"{now} (was {then})"


def misplaced_lines(wrong: Misplaced) -> tuple[SlipLine, ...]:
    """Why it cannot be there, the nearest place that can be, and what letting go does."""
    lines = [SlipLine(wrong.why, "unsafe", strong=True)]
    if wrong.nearest is not None:
        lines.append(SlipLine(f"Nearest place that can be: {wrong.away_m:.1f} m {wrong.way}"))
    lines.append(SlipLine("Let go: it goes back", "ink_soft"))
    return tuple(lines)


def hover_lines(sight: Sight, thing: Thing) -> tuple[SlipLine, ...]:
    """What the thing under the pointer is called, and what it is in one line."""
    site, units = sight.desk.site, sight.desk.units
    parts = [part for part in (_measure(thing, units), _served(thing, sight.desk.answers)) if part]
    name = SlipLine(name_of(site, thing.id), strong=True)
    return (name, SlipLine(", ".join(parts), "ink_soft")) if parts else (name,)


def _measure(thing: Thing, units: UnitSystem) -> str:
    """The size of a thing, as people say it."""
    if isinstance(thing, Tank):
        water, full = (
            text(thing.water_l, Quantity.VOLUME_L, units, unit=False),
            text(thing.capacity_l, Quantity.VOLUME_L, units),
        )
        return f"{water} of {full}"
    if isinstance(thing, LevelPeg):
        return text(thing.level_m, Quantity.LEVEL_M, units)
    if isinstance(thing, SlopeArrow):
        return text(thing.one_in, Quantity.ONE_IN, units)
    if isinstance(thing, Roof):
        return f"{text(thing.shape.area, Quantity.AREA_M2, units)} on the plan"
    if thing.geometry == "Polygon":
        return text(thing.shape.area, Quantity.AREA_M2, units)
    return text(thing.shape.length, Quantity.LENGTH_M, units) if thing.geometry == "LineString" else ""


def _served(thing: Thing, answers: Answers | None) -> str:
    """How many tanks reach a bed."""
    if not isinstance(thing, Bed) or answers is None or answers.reach is None:
        return ""
    rows = [tank.bed(thing.id) for tank in answers.reach.tanks]
    count = sum(row.reached for row in rows if row is not None)
    return "reached by no tank" if not count else "reached by 1 tank" if count == 1 else f"reached by {count} tanks"
