"""Words along lines: contours, class edges, feed limits; placed after all blocks."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from gardenwater.report.drawing import Measure, Points, Rect, Subpath, TextStyle
from gardenwater.report.labels.buckets import Costs, Taken, box_of
from gardenwater.report.paths import at_lengths, lengths

_STOPS = 60
_WANTED = 0.4
_EACH_PX = 600.0
_MOST_TILT_DEG = 55.0
_ROOM_PX = 3.0
_MOST_TRIED = 16
_EDGE_PX = 6.0


@dataclass(frozen=True, slots=True, eq=False)
class LineWords:
    """Words for a line. points: px. casing: whether the words stand on a wash and want a paper casing."""

    points: Points
    words: str
    style: TextStyle
    role: str
    casing: bool = False


class PlacedWords(NamedTuple):
    """Words in their place: middle (px), tilt (degrees clockwise), the box they take and its outline."""

    line: LineWords
    x: float
    y: float
    angle_deg: float
    box: Rect
    outline: Subpath


def place_along(
    lines: Iterable[LineWords], sheet: Rect, taken_boxes: Iterable[Rect], costs: Costs, measure: Measure
) -> tuple[PlacedWords, ...]:
    """Words in their places, upright, one for each line and 600 px; those without a free stop are left out.

    costs: what they lie on only where no stop is clear of it.
    """
    taken = Taken(taken_boxes)
    inside = sheet.grown(-_EDGE_PX)
    placed: list[PlacedWords] = []
    for line in lines:
        total = float(lengths(line.points)[-1])
        width, height = measure(line.words, line.style)
        if total < 2.2 * width:
            continue
        for part in range(max(1, math.floor(total / _EACH_PX))):
            span = min(total, _EACH_PX)
            found = _free_stop(line, part * span, span, (width, height * 0.72), inside, taken, costs)
            if found is not None:
                placed.append(found)
                taken.add(box_of(found.box))
    return tuple(placed)


def _free_stop(
    line: LineWords,
    first_px: float,
    span_px: float,
    size: tuple[float, float],
    sheet: Rect,
    taken: Taken,
    costs: Costs,
) -> PlacedWords | None:
    """The free stop nearest to 0.4 of a span; one where the words lie on nothing, if there is one."""
    width, height = size
    shares = (np.arange(_STOPS) + 0.5) / _STOPS
    half = min(width / 2, span_px / 4)
    at_px = first_px + shares * span_px
    stops, _ = at_lengths(line.points, np.concatenate((at_px, at_px - half, at_px + half)))
    middle, before, after = stops.reshape(3, _STOPS, 2)
    chord = after - before
    tilt = np.degrees(np.arctan2(chord[:, 1], chord[:, 0]))
    tilt = np.where(tilt > 90, tilt - 180, np.where(tilt <= -90, tilt + 180, tilt))
    straight = np.hypot(*chord.T) > 1.8 * half
    second: PlacedWords | None = None
    tried = 0
    for index in np.argsort(np.abs(shares - _WANTED), kind="stable"):
        if abs(tilt[index]) > _MOST_TILT_DEG or not straight[index]:
            continue
        turn = math.radians(float(tilt[index]))
        x, y = (float(value) for value in (middle[index] + (before[index] + after[index]) / 2) / 2)
        wide = (width / 2 + _ROOM_PX) * abs(math.cos(turn)) + height / 2 * abs(math.sin(turn))
        high = (width / 2 + _ROOM_PX) * abs(math.sin(turn)) + height / 2 * abs(math.cos(turn))
        box = Rect(x - wide, y - high, 2 * wide, 2 * high)
        if box.x < sheet.x or box.y < sheet.y or box.right > sheet.right or box.bottom > sheet.bottom:
            continue
        if not taken.free(box_of(box)):
            continue
        outline = _turned(x, y, width / 2 + _ROOM_PX, height / 2, turn)
        found = PlacedWords(line, x, y, float(tilt[index]), box, outline)
        tried += 1
        if costs.of(box_of(box), "", 1.0) == 0.0:
            return found
        second = second or found
        if tried == _MOST_TRIED:
            break
    return second


def _turned(x: float, y: float, half_width: float, half_height: float, turn: float) -> Subpath:
    along = np.array((math.cos(turn), math.sin(turn))) * half_width
    across = np.array((-math.sin(turn), math.cos(turn))) * half_height
    middle = np.array((x, y))
    corners = (middle - along - across, middle + along - across, middle + along + across, middle - along + across)
    return Subpath(np.stack(corners), closed=True)
