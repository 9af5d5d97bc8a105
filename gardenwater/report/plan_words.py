"""All words of a plan in their places: placed anew when the plan rests, carried along while it moves."""

from __future__ import annotations

import math
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from gardenwater.assess import Answers
from gardenwater.findings import Question
from gardenwater.report.catch_marks import part_labels
from gardenwater.report.drawing import Align, Mark, Pen, Rect, Shape, Subpath, Text
from gardenwater.report.hurdles import hurdles_of, never_on
from gardenwater.report.labels import Costs, Label, LineWords, Placed, PlacedWords, Setting, place, place_along
from gardenwater.report.labels.model import ABOVE_PX, SIDE_PX
from gardenwater.report.labels.placing import line_height
from gardenwater.report.look import PlanLook
from gardenwater.report.paths import run
from gardenwater.report.pictures import Pictures
from gardenwater.report.plan_labels import ThingLabels, thing_labels
from gardenwater.report.results import Disc, disc_boxes, mend_labels, result_hurdles, result_labels, shows_overflow
from gardenwater.report.signs.context import Drafting
from gardenwater.report.stand_picture import spot_box, stand_labels, stand_line_words
from gardenwater.report.styles import CASING, CONTOUR, EDGE
from gardenwater.report.text import level_words
from gardenwater.report.view import View
from gardenwater.site.things import Thing

_LEADER = Pen("ink_soft", 0.9)
_LEADER_CASING = Pen("paper", 3.0)
_BASE_SHARE, _MIDDLE_SHARE = 0.79, 0.33
"""Where the base line lies in a line of a label; how far below the middle of the letters, for each px of their size."""


@dataclass(frozen=True, slots=True, eq=False)
class Clearing:
    """What is left free for words. clip: the sheet less all boxes. boxes: of labels, for rows of dots."""

    clip: tuple[Subpath, ...]
    boxes: tuple[Rect, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Words:
    """Words in their places.

    clearing: what is left free for them; it stays the same object while something is dragged, so that what is cut by it
    stays too. made_of: what they were placed for; equal parts give the same places, so the old ones stand.
    """

    view: View
    placed: tuple[Placed, ...]
    along: tuple[PlacedWords, ...]
    clearing: Clearing
    made_of: Hashable
    of_reach: object | None
    of_things: ThingLabels


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """What words keep clear of besides things: sheets, signs of findings, handles."""

    sheets: tuple[Rect, ...]
    discs: tuple[Disc, ...]
    handles: tuple[Rect, ...]


def words_of(
    things: Sequence[Thing],
    answers: Answers | None,
    on: Drafting,
    look: PlanLook,
    pictures: Pictures | None,
    around: Around,
    before: Words | None,
) -> Words:
    """The words of a plan. before: those of the drawing before, whose places are kept where they still serve."""
    overflow = pictures.overflow if pictures is not None and shows_overflow(on.question, look) else None
    of_things = thing_labels(_in_full(things, look), answers, on, look, None if before is None else before.of_things)
    labels = [
        *of_things,
        *result_labels(overflow, on, look),
        *mend_labels(on, look),
        *part_labels(answers, on, look),
        *stand_labels(None if pictures is None else pictures.stand, on, look.units, look.text_factor),
    ]
    said = tuple((label.key, label.rank, label.lines) for label in labels)
    spots = tuple((disc.x, disc.y) for disc in around.discs)
    reach = None if pictures is None else pictures.reach
    shown = (on.view, on.question, tuple(things), said, around.sheets, around.handles, spots, pictures, look.contours)
    made_of = (*shown, look.settled)  # words that were only carried along are placed once the plan rests
    if before is not None and before.made_of == made_of:
        return before
    if before is not None and not look.settled:
        return _carried(labels, of_things, on, look, before, made_of, reach)
    never = (*never_on(things, on), *_spots(pictures, on), *around.sheets, *disc_boxes(around.discs), *around.handles)
    hurdles = (*hurdles_of(things, on), *result_hurdles(overflow, on))
    costs = Costs(hurdles)
    held = {} if before is None else {placed.label.key: placed.place for placed in before.placed}
    placed = place(labels, Setting(on.view.sheet, never, hurdles), look.measure, costs=costs, held=held)
    boxes = [*(each.box for each in placed), *never]
    along = place_along(_along(pictures, on, look), on.view.sheet, boxes, costs, look.measure)
    return Words(on.view, placed, along, _clearing(on.view, placed, along), made_of, reach, of_things)


def _spots(pictures: Pictures | None, on: Drafting) -> list[Rect]:
    """The boxes of proposed spots."""
    stand = None if pictures is None else pictures.stand
    return [] if stand is None else [spot_box(each, on.view) for each in stand.answer.proposals]


def _in_full(things: Iterable[Thing], look: PlanLook) -> list[Thing]:
    """The things that bear labels: all, or those that a filter leaves."""
    return [thing for thing in things if not look.only or thing.id in look.only]


def _clearing(view: View, placed: tuple[Placed, ...], along: tuple[PlacedWords, ...]) -> Clearing:
    boxes = tuple(each.box for each in placed)
    clip = (view.sheet.outline(), *(box.outline() for box in boxes), *(each.outline for each in along))
    return Clearing(clip, boxes)


def _along(pictures: Pictures | None, on: Drafting, look: PlanLook) -> list[LineWords]:
    """Words along lines: minutes of the classes' edges, then levels of the bolder contours."""
    if pictures is None:
        return []
    lines: list[LineWords] = []
    if pictures.reach is not None:
        edge = EDGE.scaled(look.text_factor)
        lines += [
            LineWords(curve.points, f"{curve.value:g}\u00a0min", edge, "water_line", casing=True)
            for curve in pictures.reach.edges.in_sight(on.view)
        ]
    if pictures.stand is not None:
        lines += stand_line_words(pictures.stand, on, look.units, look.text_factor)
    ground = pictures.ground
    if look.contours and ground.step_m > 0:
        style, role = (
            CONTOUR.scaled(look.text_factor),
            "contour_over" if on.washed or on.question is Question.GROUND else "contour",
        )
        lines += [
            LineWords(curve.points, level_words(curve.value, 5 * ground.step_m, look.units), style, role)
            for curve in ground.contours.in_sight(on.view)
            if ground.is_index(curve.value)
        ]
    return lines


def _carried(
    labels: Iterable[Label],
    of_things: ThingLabels,
    on: Drafting,
    look: PlanLook,
    before: Words,
    made_of: Hashable,
    reach: object | None,
) -> Words:
    """The places of before, moved with their signs; nothing is placed anew."""
    old = {placed.label.key: placed for placed in before.placed}
    moved = (_moved(old[label.key], label, look) for label in labels if label.key in old)
    room = on.view.sheet.grown(20.0)
    placed = tuple(each for each in moved if room.meets(each.box))
    along: tuple[PlacedWords, ...] = ()
    if before.view.metres_per_px == on.view.metres_per_px:
        x, y = on.view.to_px(before.view.centre_x, before.view.centre_y)
        was_x, was_y = before.view.to_px(before.view.centre_x, before.view.centre_y)
        same = before.of_reach is reach
        along = tuple(_shifted(each, x - was_x, y - was_y) for each in before.along if same or not each.line.casing)
    clearing = before.clearing if before.view == on.view else _clearing(on.view, placed, along)
    return Words(on.view, placed, along, clearing, made_of, reach, of_things)


def _moved(placed: Placed, label: Label, look: PlanLook) -> Placed:
    """A label where its sign went, with the words that it has now."""
    if placed.label is label:
        return placed
    old, new = placed.label.sign, label.sign
    right = new.x + new.width / 2 - old.x - old.width / 2
    down = new.y + new.height / 2 - old.y - old.height / 2
    lines = label.lines[: len(placed.lines)]
    width = max(look.measure(line.words, line.style)[0] for line in lines) + 2 * SIDE_PX
    spare = placed.box.width - width
    shift = {Align.LEFT: 0.0, Align.MIDDLE: spare / 2, Align.RIGHT: spare}[placed.align]
    box = Rect(placed.box.x + right + shift, placed.box.y + down, width, placed.box.height)
    leader = placed.leader
    if leader is not None:
        leader = leader._replace(
            from_x=leader.from_x + right, from_y=leader.from_y + down, to_x=leader.to_x + right, to_y=leader.to_y + down
        )
    return replace(placed, label=label, lines=lines, box=box, leader=leader)


def _shifted(words: PlacedWords, right: float, down: float) -> PlacedWords:
    box = words.box._replace(x=words.box.x + right, y=words.box.y + down)
    outline = Subpath(words.outline.points + np.array((right, down)), closed=True)
    return words._replace(x=words.x + right, y=words.y + down, box=box, outline=outline)


def word_marks(words: Words) -> list[Mark]:
    """Words along lines, then labels with their leaders."""
    marks: list[Mark] = [_along_mark(each) for each in words.along]
    for placed in words.placed:
        if placed.leader is not None:
            leader = placed.leader
            line = run(((leader.from_x, leader.from_y), (leader.to_x, leader.to_y)))
            marks.append(Shape((line,), pen=_LEADER, casing=_LEADER_CASING))
    for placed in words.placed:
        marks += _label_marks(placed)
    return marks


def _along_mark(each: PlacedWords) -> Text:
    """Words about the middle of their box: their base line lies a third of their size below it."""
    line, turn = each.line, math.radians(each.angle_deg)
    down = line.style.size_px * _MIDDLE_SHARE
    x, y = each.x - math.sin(turn) * down, each.y + math.cos(turn) * down
    casing = CASING if line.casing else None
    return Text(x, y, line.words, line.style, line.role, Align.MIDDLE, casing, each.angle_deg)


def _label_marks(placed: Placed) -> list[Mark]:
    box = placed.box
    x = {Align.LEFT: box.x + SIDE_PX, Align.MIDDLE: box.x + box.width / 2, Align.RIGHT: box.right - SIDE_PX}[
        placed.align
    ]
    marks: list[Mark] = []
    top = box.y + ABOVE_PX
    for line in placed.lines:
        height = line_height(line)
        base = top + height * _BASE_SHARE
        marks.append(Text(x, base, line.words, line.style, line.role, placed.align, CASING))
        top += height
    return marks
