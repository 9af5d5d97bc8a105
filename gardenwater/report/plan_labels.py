"""The labels of a plan: a name for each thing that bears one, with what the question says of it."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
import shapely

from gardenwater.assess import Answers
from gardenwater.findings import Question
from gardenwater.report.answer_words import Said, said_of
from gardenwater.report.drawing import Rect
from gardenwater.report.labels import Label, Line
from gardenwater.report.look import PlanLook
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.levels import arrow_run
from gardenwater.report.signs.states import CASING_PX, bounds, box_of, outline_of
from gardenwater.report.styles import ANSWER, NAME, NAME_ITALIC
from gardenwater.report.text import one_in_words, peg_words
from gardenwater.site.things import Building, LevelPeg, Roof, SlopeArrow, Thing

_NAMED = {
    "roof": (NAME, "ink"),
    "building": (NAME, "ink"),
    "bed": (NAME, "ink"),
    "tank": (NAME_ITALIC, "water"),
    "pond": (NAME_ITALIC, "water"),
    "soakaway": (NAME_ITALIC, "earth"),
    "rain_garden": (NAME_ITALIC, "leaf"),
    "swale": (NAME_ITALIC, "earth"),
    "ditch": (NAME_ITALIC, "earth"),
}
"""Kinds that bear their name on the plan, with its cut and role; all others on demand."""

_ON_DEMAND = {
    "gutter": (NAME, "roof_line"),
    "downpipe": (NAME, "roof_line"),
    "diverter": (NAME, "roof_line"),
    "first_flush": (NAME, "roof_line"),
    "tap": (NAME_ITALIC, "water"),
    "link": (NAME_ITALIC, "water"),
    "watering_line": (NAME_ITALIC, "water"),
    "overflow": (NAME_ITALIC, "spill"),
    "bank": (NAME_ITALIC, "earth"),
    "earthwork": (NAME_ITALIC, "earth"),
    "keep_dry": (NAME_ITALIC, "fails"),
}
_SMALL_PX = 40.0
_NO_SMALL_NAMES, _NO_ANSWERS, _NAMES_ONLY = 12.0, 8.0, 4.0
_PEGS_FROM = 24.0


class _MadeOf(NamedTuple):
    """What one label is made of, besides the view. first: its thing is selected, pointed at or dragged."""

    thing: Thing
    said: Said | None
    first: bool
    ringed: bool
    roofs: tuple[shapely.Polygon, ...]

    def same(self, other: _MadeOf) -> bool:
        """Whether the same label comes of it; things and shapes are never changed in place."""
        roofs = len(self.roofs) == len(other.roofs) and all(
            a is b for a, b in zip(self.roofs, other.roofs, strict=True)
        )
        return self.thing is other.thing and self[1:4] == other[1:4] and roofs


@dataclass(frozen=True, slots=True, eq=False)
class ThingLabels:
    """Labels of things, and what each was made of, so that the next drawing takes over those that are still true."""

    base: Hashable
    made: Mapping[str, tuple[_MadeOf, Label | None]]

    def __iter__(self) -> Iterator[Label]:
        return (label for _, label in self.made.values() if label is not None)


def thing_labels(
    things: Collection[Thing], answers: Answers | None, on: Drafting, look: PlanLook, before: ThingLabels | None = None
) -> ThingLabels:
    """A label for each thing that bears one in this question, at this scale. before: those of the drawing before."""
    said = said_of(on.site, answers, on.question, look.units, look.focus_tank, look.day, {thing.id for thing in things})
    shown = {*look.selection, look.hover, *look.dragged}
    roofs = tuple(roof.shape for roof in on.site.of(Roof) if roof.name)
    base = (on.view, on.question, look.units, look.text_factor)
    old = before.made if before is not None and before.base == base else {}
    made: dict[str, tuple[_MadeOf, Label | None]] = {}
    for thing in things:
        over = roofs if isinstance(thing, Building) else ()
        of = _MadeOf(thing, said.get(thing.id), thing.id in shown, thing.id in look.selection, over)
        was = old.get(thing.id)
        made[thing.id] = was if was is not None and was[0].same(of) else (of, _label(of, on, look))
    return ThingLabels(base, made)


def _label(of: _MadeOf, on: Drafting, look: PlanLook) -> Label | None:
    thing, said, first = of.thing, of.said, of.first
    if isinstance(thing, LevelPeg | SlopeArrow):
        return _measured(thing, on, look, first=first)
    if isinstance(thing, Building) and under_roof(thing, of.roofs):
        return None
    named = _NAMED.get(thing.kind)
    if named is None and (first or said is not None):
        named = _ON_DEMAND.get(thing.kind, (NAME, "ink"))
    if named is None or not (thing.name or said):
        return None
    style, role = named
    rank = 0 if first else said.rank if said is not None else 4
    name = f"{thing.name}{said.named}" if said is not None else thing.name
    lines = [Line(name, style.scaled(look.text_factor), role)] if name else []
    if said is not None:
        lines += [Line(words, cut.scaled(look.text_factor), of) for words, cut, of in said.lines]
    sign = _sign_box(thing, on, ringed=of.ringed)
    kept = by_scale(tuple(lines), rank, max(sign.width, sign.height), on.px_per_m)
    if not kept or not sign.meets(on.view.sheet):
        return None
    in_parts = on.question is Question.CATCH and isinstance(thing, Roof)
    areas = tuple(on.rings(thing.shape)) if isinstance(thing.shape, shapely.Polygon) and not in_parts else ()
    pole = on.px(pole_of(thing.shape)) if areas else None
    return Label(
        key=thing.id,
        rank=rank,
        lines=kept,
        sign=sign,
        size=sign.width * sign.height,
        areas=areas,
        pole=None if pole is None else (float(pole[0]), float(pole[1])),
    )


def by_scale(lines: tuple[Line, ...], rank: int, sign_px: float, px_per_m: float) -> tuple[Line, ...]:
    """The lines that are kept at a scale; none where the label is left out."""
    if px_per_m < _NO_SMALL_NAMES and rank == 4 and sign_px < _SMALL_PX:
        return ()
    if px_per_m < _NAMES_ONLY:
        return lines[:1] if rank <= 2 else ()
    return lines[:1] if px_per_m < _NO_ANSWERS and rank > 1 else lines


def _measured(thing: LevelPeg | SlopeArrow, on: Drafting, look: PlanLook, *, first: bool) -> Label | None:
    """The level of a peg, the fall of an arrow: in Ground from a scale on, else on demand."""
    if not first and (on.question is not Question.GROUND or (isinstance(thing, LevelPeg) and on.px_per_m < _PEGS_FROM)):
        return None
    style = ANSWER.scaled(look.text_factor)
    if isinstance(thing, LevelPeg):
        x, y = (float(value) for value in on.spot(thing.shape))
        lines: tuple[Line, ...] = (Line(peg_words(thing.level_m, look.units), style, "earth"),)
        sign = Rect(x - 6, y - 14, 12, 14)
    else:
        middle = arrow_run(thing, on).mean(axis=0)
        lines = (Line(one_in_words(thing.one_in, look.units), style, "earth"),)
        sign = Rect(float(middle[0]) - 8, float(middle[1]) - 5, 16, 10)
    if first and thing.name:
        lines = (Line(thing.name, NAME.scaled(look.text_factor), "earth"), *lines)
    return Label(key=thing.id, rank=0 if first else 6, lines=lines, sign=sign)


def _sign_box(thing: Thing, on: Drafting, *, ringed: bool) -> Rect:
    """The box beside which a label stands: a small one at the middle of a line, the ring of a selected point."""
    if ringed and isinstance(thing.shape, shapely.Point):
        return bounds(outline_of(thing, on)).grown(CASING_PX)
    if isinstance(thing.shape, shapely.LineString):
        x, y = (float(value) for value in on.spot(thing.shape.interpolate(0.5, normalized=True)))
        return Rect(x - 9, y - 6, 18, 12)
    return box_of(thing, on)


@lru_cache(maxsize=4096)
def pole_of(shape: shapely.Polygon | shapely.MultiPolygon) -> tuple[float, float]:
    """A point well inside a polygon, m: its middle, or that of the largest circle in it when that lies deeper."""
    if isinstance(shape, shapely.MultiPolygon):
        return pole_of(max(shape.geoms, key=lambda part: part.area))
    circle = shapely.maximum_inscribed_circle(shape, tolerance=0.05 * np.sqrt(max(shape.area, 1e-6)))
    radius, middle = circle.length, shape.centroid
    if middle.within(shape) and middle.distance(shape.exterior) >= 0.75 * radius:
        return middle.x, middle.y
    return circle.coords[0][0], circle.coords[0][1]


@lru_cache(maxsize=1024)
def under_roof(building: Building, roofs: tuple[shapely.Polygon, ...]) -> bool:
    """Whether named roofs cover more than half of a building: then their name is enough."""
    covered = sum(building.shape.intersection(roof).area for roof in roofs if roof.intersects(building.shape))
    return bool(covered > 0.5 * building.shape.area)
