"""The levels of one tank, and of the line to the bed that it serves by least, as a strip of a printed sheet."""

from __future__ import annotations

import math

from gardenwater.assess import Answers, BedReach, TankReach
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.report.drawing import Mark, Rect
from gardenwater.report.moved import moved
from gardenwater.report.side_view import Delivery, side_view
from gardenwater.report.typeface import measure
from gardenwater.report.way_view import way_view
from gardenwater.report.ways import bed_profile
from gardenwater.site.names import name_of
from gardenwater.units import UnitSystem

STRIP_MM = 44.0
"""Height of the strip on a sheet of paper."""
_SIDE_SHARE = 0.44
_GAP_PX = 10.0


def has_levels(answers: Answers | None, question: Question, tank: str) -> bool:
    """Whether a sheet has such a strip: one of Reach, of one tank, which stands on ground with a level."""
    if (
        not tank
        or answers is None
        or question is not Question.REACH
        or answers.stand is not None
        or answers.reach is None
    ):
        return False
    return answers.reach.tank(tank) is not None


def hardest_bed(reach: TankReach) -> BedReach | None:
    """The bed that is reached with the least to spare."""
    reached = [bed for bed in reach.beds if bed.reached and not math.isnan(bed.margin_m)]
    return min(reached, key=lambda bed: bed.margin_m, default=None)


def levels_on(box: Rect, answers: Answers, tank: str, units: UnitSystem, *, factor: float = 1.0) -> list[Mark]:
    """The chain of levels at the left, the line from the side at the right, inside a rectangle, px."""
    assert answers.reach is not None
    reach = answers.reach.tank(tank)
    chain = next(each for each in answers.chains if each.tank == tank)
    bed = None if reach is None else hardest_bed(reach)
    delivery = None
    found = None
    if reach is not None and bed is not None:
        name = name_of(answers.site, bed.bed)
        level_m = level_at(answers.ground.ground, *bed.at) + reach.line.lift_m
        delivery = Delivery(name=name, level_m=level_m, spare_head_m=bed.spare_head_m)
        found = bed_profile(answers, bed.bed, tank)
    width = box.width if found is None else box.width * _SIDE_SHARE
    side = side_view(chain, delivery, width_px=width, height_px=box.height, units=units, measure=measure, factor=factor)
    marks = moved(side, box.x, box.y)
    if found is not None and delivery is not None:
        way = way_view(
            found,
            width_px=box.width - width - _GAP_PX,
            height_px=box.height,
            units=units,
            measure=measure,
            end_name=delivery.name,
            factor=factor,
        )
        marks += moved(way, box.x + width + _GAP_PX, box.y)
    return marks
