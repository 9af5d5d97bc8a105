"""A grid of buckets in which boxes and pieces of lines are found by where they lie."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from gardenwater.report.drawing import Rect
from gardenwater.report.labels.model import Hurdle

_SIDE_PX = 64.0
_LONGEST_PX = 12_000
_ROW = 1 << 12
_SHIFT = 1 << 11

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, px."""
Piece = tuple[float, float, float, float, float, int]
"""Both ends of a straight piece, px, the cost of what it belongs to, and that one's number."""
_Ground = tuple[Box, int, list[tuple[float, float]]]
"""The box, the number and the outline of a ground."""


def box_of(rect: Rect) -> Box:
    """A rectangle by its edges."""
    return rect.x, rect.y, rect.x + rect.width, rect.y + rect.height


def _keys(box: Box) -> list[int]:
    left, top = int(box[0] // _SIDE_PX) + _SHIFT, int(box[1] // _SIDE_PX) + _SHIFT
    right, bottom = int(box[2] // _SIDE_PX) + _SHIFT, int(box[3] // _SIDE_PX) + _SHIFT
    return [row * _ROW + column for row in range(top, bottom + 1) for column in range(left, right + 1)]


def crosses(ax: float, ay: float, bx: float, by: float, box: Box) -> bool:
    """Whether a straight piece touches a box."""
    left, top, right, bottom = box
    if (
        (ax < left and bx < left)
        or (ax > right and bx > right)
        or (ay < top and by < top)
        or (ay > bottom and by > bottom)
    ):
        return False
    dx, dy = bx - ax, by - ay
    first = dx * (top - ay) - dy * (left - ax)
    second = dx * (top - ay) - dy * (right - ax)
    third = dx * (bottom - ay) - dy * (left - ax)
    fourth = dx * (bottom - ay) - dy * (right - ax)
    low, high = min(first, second, third, fourth), max(first, second, third, fourth)
    return low <= 0.0 <= high


class Taken:
    """Boxes and leaders that no label may touch.

    Boxes are kept as bits, one number for each two px of height and a bit for each two of width: whether a place is
    free is asked some thousand times for each placing. A box is rounded outwards.
    """

    __slots__ = ("_boxes", "_leaders", "_rows")

    def __init__(self, boxes: Iterable[Rect]) -> None:
        self._rows = [0] * (_LONGEST_PX // 2)
        self._boxes: list[Box] = []
        self._leaders: list[Box] = []
        for rect in boxes:
            self.add(box_of(rect))

    def add(self, box: Box) -> None:
        """Take a box."""
        self._boxes.append(box)
        left, top, right, bottom = (min(max(edge, 0.0), _LONGEST_PX) for edge in box)
        bits = _bits(left, right)
        for row in range(int(top) >> 1, _past(bottom)):
            self._rows[row] |= bits

    def add_leader(self, leader: Box) -> None:
        """Take a leader, by its two ends."""
        self._leaders.append(leader)

    def free(self, box: Box) -> bool:
        """Whether nothing taken touches a box on the sheet."""
        bits = _bits(box[0], box[2])
        for row in self._rows[int(box[1]) >> 1 : _past(box[3])]:
            if row & bits:
                return False
        for ax, ay, bx, by in self._leaders:
            if (ax < box[0] and bx < box[0]) or (ax > box[2] and bx > box[2]):
                continue
            if crosses(ax, ay, bx, by, box):
                return False
        return True

    def met_by(self, leader: Box, own: tuple[Box, Box]) -> bool:
        """Whether a leader runs over a box other than its `own` two: its words' and its sign's."""
        ax, ay, bx, by = leader
        left, right = (ax, bx) if ax < bx else (bx, ax)
        for box in self._boxes:
            if box[2] >= left and box[0] <= right and crosses(ax, ay, bx, by, box) and box not in own:
                return True
        return False


def _past(edge: float) -> int:
    """The first row or column of two px that lies wholly past an edge."""
    return -int(-edge // 2.0)


def _bits(left: float, right: float) -> int:
    """The bits of the columns from left to right."""
    first = int(left) >> 1
    return ((1 << (_past(right) - first)) - 1) << first


class Costs:
    """What lying in a box costs: each thing that it lies on once."""

    __slots__ = ("_costs", "_found", "_grounds", "_owners", "_pieces", "_slices")

    def __init__(self, hurdles: tuple[Hurdle, ...]) -> None:
        self._owners = [hurdle.owner for hurdle in hurdles]
        self._costs = [hurdle.cost for hurdle in hurdles]
        self._grounds: dict[int, list[_Ground]] = {}
        for number, hurdle in enumerate(hurdles):
            if hurdle.ground:
                self._add_ground(hurdle, number)
        self._pieces, self._slices = _sorted_pieces(hurdles)
        self._found: dict[int, list[Piece]] = {}

    def _add_ground(self, hurdle: Hurdle, number: int) -> None:
        low, high = hurdle.points.min(axis=0), hurdle.points.max(axis=0)
        box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
        outline = [(float(x), float(y)) for x, y in hurdle.points]
        if (box[2] - box[0]) * (box[3] - box[1]) > 4e6:
            return
        for key in _keys(box):
            self._grounds.setdefault(key, []).append((box, number, outline))

    def _bucket(self, key: int) -> list[Piece]:
        found = self._found.get(key)
        if found is None:
            first, last = self._slices.get(key, (0, 0))
            found = [(x0, y0, x1, y1, cost, int(of)) for x0, y0, x1, y1, cost, of in self._pieces[first:last].tolist()]
            self._found[key] = found
        return found

    def of(self, box: Box, owner: str, limit: float) -> float:
        """Cost of a box for a label; at least `limit` when it is not less than that."""
        left, top, right, bottom = box
        cost = 0.0
        seen: set[int] = set()
        found, grounds = self._found, self._grounds
        for key in _keys(box):
            pieces = found.get(key)
            for ax, ay, bx, by, price, number in self._bucket(key) if pieces is None else pieces:
                if (ax < left and bx < left) or (ax > right and bx > right):
                    continue
                if (ay < top and by < top) or (ay > bottom and by > bottom) or number in seen:
                    continue
                if crosses(ax, ay, bx, by, box):
                    seen.add(number)
                    cost += price
                    if cost >= limit:
                        return cost
            if key in grounds:
                cost += self._on_grounds(grounds[key], box, owner, seen)
        return cost

    def _on_grounds(self, grounds: list[_Ground], box: Box, owner: str, seen: set[int]) -> float:
        """Cost of the grounds that a box lies on and that were not seen yet."""
        cost = 0.0
        for around, number, outline in grounds:
            if number in seen or self._owners[number] == owner:
                continue
            if around[0] < box[2] and around[2] > box[0] and around[1] < box[3] and around[3] > box[1]:
                seen.add(number)
                if lies_on(outline, box):
                    cost += self._costs[number]
        return cost


def _sorted_pieces(hurdles: tuple[Hurdle, ...]) -> tuple[np.ndarray, dict[int, tuple[int, int]]]:
    """All lines in pieces no longer than a bucket, sorted by bucket; and where each bucket's pieces begin and end."""
    starts, ends, numbers = [], [], []
    for number, hurdle in enumerate(hurdles):
        if not hurdle.ground:
            points = np.concatenate((hurdle.points, hurdle.points[:1])) if hurdle.closed else hurdle.points
            starts.append(points[:-1])
            ends.append(points[1:])
            numbers.append(np.full(len(points) - 1, number))
    if not starts:
        return np.empty((0, 6)), {}
    start, end, number_of = np.concatenate(starts), np.concatenate(ends), np.concatenate(numbers)
    near = (np.maximum(start, end) > -_SIDE_PX).all(axis=1) & (np.minimum(start, end) < _LONGEST_PX).all(axis=1)
    start, end, number_of = start[near], end[near], number_of[near]
    count = np.maximum(np.ceil(np.hypot(*(end - start).T) / _SIDE_PX), 1).astype(int)
    piece = np.repeat(np.arange(len(count)), count)
    step = np.arange(len(piece)) - np.repeat(np.cumsum(count) - count, count)
    share = (step / count[piece])[:, None]
    along = (end - start)[piece]
    low = start[piece] + along * share
    high = low + along / count[piece][:, None]
    cost = np.array([hurdle.cost for hurdle in hurdles])[number_of[piece]]
    rows = np.column_stack((low, high, cost, number_of[piece]))
    return _by_bucket(rows)


def _by_bucket(rows: np.ndarray) -> tuple[np.ndarray, dict[int, tuple[int, int]]]:
    first = np.floor(np.minimum(rows[:, :2], rows[:, 2:4]) / _SIDE_PX).astype(int) + _SHIFT
    last = np.floor(np.maximum(rows[:, :2], rows[:, 2:4]) / _SIDE_PX).astype(int) + _SHIFT
    count, index = len(rows), np.arange(len(rows))
    rows_of, columns_of = (first[:, 1], last[:, 1]), (first[:, 0], last[:, 0])
    pairs = np.unique([(down * _ROW + across) * count + index for down in rows_of for across in columns_of])
    key = pairs // max(count, 1)
    begin = np.flatnonzero(np.diff(key, prepend=-1))
    stops = np.append(begin[1:], len(key))
    slices = dict(zip(key[begin].tolist(), zip(begin.tolist(), stops.tolist(), strict=True), strict=True))
    return rows[pairs - key * count], slices


def lies_on(outline: list[tuple[float, float]], box: Box) -> bool:
    """Whether a box and the ground inside an outline share anything."""
    ax, ay = outline[-1]
    middle_x, middle_y = (box[0] + box[2]) / 2, (box[1] + box[3]) / 2
    odd = False
    for bx, by in outline:
        if crosses(ax, ay, bx, by, box):
            return True
        if (ay <= middle_y) != (by <= middle_y) and middle_x < ax + (middle_y - ay) * (bx - ax) / (by - ay):
            odd = not odd
        ax, ay = bx, by
    return odd
