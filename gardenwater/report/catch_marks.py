"""Catch on the plan: each downpipe's part of a roof, what gutters and feeders carry, and their words."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from itertools import combinations
from types import MappingProxyType

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.assess import Answers, CatchAnswer
from gardenwater.catch import RoofPart
from gardenwater.findings import Question
from gardenwater.report.drawing import Group, Subpath
from gardenwater.report.labels import Label, Line
from gardenwater.report.look import PlanLook
from gardenwater.report.plan_labels import by_scale, pole_of
from gardenwater.report.signs.answers import roof_part, roof_part_lines, share_line
from gardenwater.report.signs.context import Drafting, GutterFlow, Order, Sign
from gardenwater.report.signs.states import bounds
from gardenwater.report.styles import ANSWER, KEY_TITLE
from gardenwater.report.text import litres
from gardenwater.units import Quantity, text

_LEAST_SHARE_M = 0.05
_SAME_FALL_DEG = 1.0
_LEAST_PART_PX = 24.0


def flows_of(answers: Answers | None, question: Question) -> Mapping[str, GutterFlow]:
    """What each drawn gutter and feeder carries in a year, by id; in Catch only, where the year's rain is known."""
    catch = answers.catch if answers is not None and question is Question.CATCH else None
    if catch is None or catch.year is None:
        return MappingProxyType({})
    uncaught = set(catch.uncaught)
    pipe_of = catch.wires.pipe_of
    flows = {
        gutter: GutterFlow(0.0, volume_l, pipe_of.get(gutter, "") not in {*uncaught, ""})
        for gutter, volume_l in catch.year.gutters.items()
    }
    flows |= {diverter: GutterFlow(led_l, led_l, caught=True) for diverter, led_l in catch.year.diverters.items()}
    return MappingProxyType(flows)


def is_caught(part: RoofPart, catch: CatchAnswer) -> bool:
    """Whether a tank gets what runs off a part of a roof."""
    return bool(part.downpipe) and part.downpipe not in catch.uncaught


def part_signs(catch: CatchAnswer | None, on: Drafting, clear: tuple[Subpath, ...]) -> Sign:
    """The parts of the roofs, each with its own hatch, and the lines between shares of one plane."""
    if catch is None:
        return []
    sign: Sign = []
    for index, part in enumerate(catch.parts):
        outlines = on.rings(part.shape)
        if not outlines or not bounds([Subpath(ring) for ring in outlines]).meets(on.view.sheet):
            continue
        sign.append((Order.ROOF, roof_part(outlines, caught=is_caught(part, catch))))
        lines = roof_part_lines(outlines, part.fall_bearing_deg, index, on.view.sheet)
        sign.append((Order.ROOF, Group((lines,), clear)))
    for line in _shares(tuple((part.roof, part.fall_bearing_deg, part.shape) for part in catch.parts)):
        sign.append((Order.UNDER_ROOF, share_line(on.runs(line))))
    return sign


@lru_cache(maxsize=32)
def _shares(parts: tuple[tuple[str, float, BaseGeometry], ...]) -> tuple[BaseGeometry, ...]:
    """Where two parts of one plane meet, m."""
    found: list[BaseGeometry] = []
    for (roof_a, fall_a, shape_a), (roof_b, fall_b, shape_b) in combinations(parts, 2):
        if roof_a != roof_b or not abs(fall_a - fall_b) < _SAME_FALL_DEG:
            continue
        common = shape_a.boundary.intersection(shape_b.boundary)
        if common.length > _LEAST_SHARE_M:
            found.append(shapely.line_merge(shapely.MultiLineString(_runs(common))))
    return tuple(found)


def _runs(shape: BaseGeometry) -> list[shapely.LineString]:
    return [part for part in shapely.get_parts(shape) if isinstance(part, shapely.LineString)]


def part_litres(part: RoofPart, catch: CatchAnswer) -> float:
    """Litres a year of one part: of what runs down its pipe the share of its area; NaN where it is not known."""
    pipe = catch.year.pipes.get(part.downpipe) if catch.year is not None else None
    return pipe.runs_l * part.area_m2 / pipe.area_m2 if pipe is not None and pipe.area_m2 > 0 else math.nan


def part_labels(answers: Answers | None, on: Drafting, look: PlanLook) -> list[Label]:
    """On each part of a roof its litres a year and its area."""
    catch = answers.catch if answers is not None and on.question is Question.CATCH else None
    if catch is None:
        return []
    labels = []
    for index, part in enumerate(catch.parts):
        areas = tuple(on.rings(part.shape))
        if not areas:
            continue
        volume_l = part_litres(part, catch)
        size = text(part.area_m2, Quantity.AREA_M2, look.units)
        lines: tuple[Line, ...] = (Line(size, ANSWER.scaled(look.text_factor), "ink"),)
        if math.isfinite(volume_l):
            lines = (Line(litres(volume_l, look.units), KEY_TITLE.scaled(look.text_factor), "ink"), *lines)
        sign = bounds([Subpath(ring) for ring in areas])
        kept = by_scale(lines, 2, max(sign.width, sign.height), on.px_per_m)
        pole = on.px(pole_of(part.shape))
        if kept and min(sign.width, sign.height) > _LEAST_PART_PX:
            place = float(pole[0]), float(pole[1])
            size_px2 = sign.width * sign.height
            labels.append(
                Label(f"part {index}", 2, kept, sign, size_px2, areas, place, owner=part.roof, inside_only=True)
            )
    return labels
