"""The sign of each thing on the plan, true to the symbols' rules."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from gardenwater.report.drawing import Group, Mark
from gardenwater.report.signs import built, grown, levels, roofs, takers, tanks, ways
from gardenwater.report.signs.context import Drafting, GutterFlow, Order, Sign
from gardenwater.site.things import Thing

SIGNS: dict[str, Callable[[Any, Drafting], Sign]] = {
    "roof": roofs.roof,
    "gutter": roofs.gutter,
    "downpipe": roofs.downpipe,
    "diverter": roofs.diverter,
    "first_flush": roofs.first_flush,
    "tank": tanks.tank,
    "tap": tanks.tap,
    "link": tanks.link,
    "watering_line": ways.watering_line,
    "bed": grown.bed,
    "overflow": ways.overflow,
    "pond": takers.pond,
    "soakaway": takers.soakaway,
    "rain_garden": takers.rain_garden,
    "swale": takers.swale,
    "ditch": takers.ditch,
    "bank": takers.bank,
    "earthwork": takers.earthwork,
    "building": built.building,
    "door": built.door,
    "wall": built.wall,
    "tree": grown.tree,
    "path": built.path,
    "keep_dry": built.keep_dry,
    "boundary": built.boundary,
    "level_peg": levels.level_peg,
    "slope_arrow": levels.slope_arrow,
}
"""How each kind of thing is drawn."""

LOCKED_STRENGTH = 0.45


def sign(thing: Thing, on: Drafting) -> Sign:
    """The sign of a thing: marks with their place in the order of drawing; at 45 % where it is locked."""
    drawn = SIGNS[thing.kind](thing, on)
    return faded(drawn, LOCKED_STRENGTH) if thing.locked else drawn


def faded(drawn: Sign, strength: float) -> Sign:
    """A sign at less than full strength."""
    return [(order, Group((mark,), strength=strength)) for order, mark in drawn]


def marks_of(drawn: Sign) -> tuple[Mark, ...]:
    """The marks of a sign in their order of drawing."""
    return tuple(mark for _, mark in sorted(drawn, key=lambda pair: pair[0]))


__all__ = ["LOCKED_STRENGTH", "SIGNS", "Drafting", "GutterFlow", "Order", "Sign", "faded", "marks_of", "sign"]
