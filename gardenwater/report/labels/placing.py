"""The label placer: one pass over labels by rank, each to its cheapest place; nothing is moved again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from gardenwater.report.drawing import Align, Measure, Rect
from gardenwater.report.labels.buckets import Box, Costs, Taken, box_of, crosses
from gardenwater.report.labels.model import ABOVE_PX, SIDE_PX, Label, Leader, Line, Placed, Setting

MOST_COST = 7.0
STEADY_COST = 1.0
"""A label keeps its place while that costs no more than this above the best."""

_PLACE_COST = 0.12
_OUTSIDE_COST = 1.2
_CORNERS_FROM, _CORNER_COST = 4, 1.0
"""Which of the places around an area are at its corners: words there may be read as its neighbour's."""
_FAR = ((26.0, 2.0), (52.0, 3.2), (84.0, 4.4))
_INSIDE_STOPS = (0.5, 0.0, 1.0, 0.25, 0.75)
_NEAR_PX, _CLEAR_PX, _EDGE_PX = 6.0, 4.0, 6.0
_SMALL_RANK = 1
_MOST_IN_GROUP = 16
_MIDDLE, _LEFT, _RIGHT = Align.MIDDLE, Align.LEFT, Align.RIGHT
_NEVER = float("inf")

Spot = tuple[float | None, float, Align, bool]
"""Left (None: not to be had) and top of a box, how words stand in it, whether a leader is drawn."""


def place(
    labels: Iterable[Label],
    setting: Setting,
    measure: Measure,
    *,
    costs: Costs | None = None,
    held: Mapping[str, int] | None = None,
) -> tuple[Placed, ...]:
    """Labels in their places; those for which there is no room are left out.

    costs: of the setting's hurdles, where they were sorted before. held: place of each label in the placing before, by
    key. measure: width and height of words, px.
    """
    taken = Taken(setting.never)
    costs = Costs(setting.hurdles) if costs is None else costs
    inside = box_of(setting.sheet.grown(-_EDGE_PX))
    kept = held or {}
    placed: list[Placed] = []
    for label in sorted(labels, key=lambda each: (each.rank, -each.size, each.key)):
        found = _best(label, inside, taken, costs, measure, kept.get(label.key, -1))
        if found is not None:
            placed.append(found)
            taken.add(box_of(found.box))
            if found.leader is not None:
                taken.add_leader(found.leader)
    return tuple(placed)


def _best(label: Label, sheet: Box, taken: Taken, costs: Costs, measure: Measure, held: int) -> Placed | None:
    """The best place; ranks 0 and 1 first drop their last lines, and then take what there is."""
    lines = label.lines
    while True:
        found = _cheapest(label, lines, sheet, taken, costs, measure, held, MOST_COST)
        if found is not None or label.rank > _SMALL_RANK:
            return found
        if len(lines) == 1:
            return _cheapest(label, lines, sheet, taken, costs, measure, held, _NEVER)
        lines = lines[:-1]


def _cheapest(
    label: Label,
    lines: tuple[Line, ...],
    sheet: Box,
    taken: Taken,
    costs: Costs,
    measure: Measure,
    held: int,
    most: float,
) -> Placed | None:
    size = block_size(lines, measure)
    best: Placed | None = None
    kept: Placed | None = None
    limit = most
    for first, base, spots in _groups(label, *size, sheet):
        if base >= limit and not first <= held < first + _MOST_IN_GROUP:
            continue
        for step, spot in enumerate(spots):
            number, cost = first + step, base + step * _PLACE_COST
            if first > 0 and step >= _CORNERS_FROM and label.areas:
                cost += _CORNER_COST
            most_here = most if number == held else limit
            if spot[0] is None or cost >= most_here:
                continue
            here = _tried(label, lines, spot, size, (number, cost, most_here), sheet, taken, costs)
            if here is None:
                continue
            kept = here if number == held else kept
            if best is None or here.cost < best.cost:
                best, limit = here, here.cost
    if kept is not None and best is not None and kept.cost <= best.cost + STEADY_COST:
        return kept
    return best


def _tried(
    label: Label,
    lines: tuple[Line, ...],
    spot: Spot,
    size: tuple[float, float],
    price: tuple[int, float, float],
    sheet: Box,
    taken: Taken,
    costs: Costs,
) -> Placed | None:
    """A label at a spot, where nothing is in its way and it costs less than the most. price: number, cost, most."""
    left, top, align, leads = spot
    number, cost, most = price
    if left is None:
        return None
    box = (left, top, left + size[0], top + size[1])
    if box[0] < sheet[0] or box[1] < sheet[1] or box[2] > sheet[2] or box[3] > sheet[3] or not taken.free(box):
        return None
    owner = label.owner or label.key
    cost += costs.of(box, owner, most - cost)
    leader = _leader(label, box) if leads and cost < most else None
    if leader is not None:
        if taken.met_by(leader, (box, box_of(label.sign))):
            return None
        cost += costs.of(_middle(leader), owner, most - cost)
    return Placed(label, lines, Rect(left, top, *size), align, number, cost, leader) if cost < most else None


def block_size(lines: tuple[Line, ...], measure: Measure) -> tuple[float, float]:
    """Width and height of a label's box, px."""
    width = max(measure(line.words, line.style)[0] for line in lines)
    return width + 2 * SIDE_PX, sum(line_height(line) for line in lines) + 2 * ABOVE_PX


def line_height(line: Line) -> float:
    """Height of a line of a label: 14 px at the usual size."""
    return line.style.size_px * 1.14


def _groups(
    label: Label, width: float, height: float, sheet: Box
) -> Iterator[tuple[int, float, Iterator[Spot] | tuple[Spot, ...]]]:
    """The places in their order: inside, then the eight around at each distance; number and cost of each first."""
    if label.areas:
        yield 0, 0.0, _inside(label, width, height, sheet)
    if label.inside_only:
        return
    outside = _OUTSIDE_COST if label.areas else 0.0
    for group, (distance, far) in enumerate(((_NEAR_PX, 0.0), *_FAR), 1):
        yield group * _MOST_IN_GROUP, outside + far, _around(label.sign, width, height, distance, leads=far > 0)


def _around(sign: Rect, width: float, height: float, distance: float, *, leads: bool) -> tuple[Spot, ...]:
    """Right, left, below, above, and the four corners of a sign."""
    right, left = sign.right + distance, sign.x - distance - width
    below, above = sign.bottom + distance, sign.y - distance - height
    middle_x, middle_y = sign.x + (sign.width - width) / 2, sign.y + (sign.height - height) / 2
    return (
        (right, middle_y, _LEFT, leads),
        (left, middle_y, _RIGHT, leads),
        (middle_x, below, _MIDDLE, leads),
        (middle_x, above, _MIDDLE, leads),
        (right, above, _LEFT, leads),
        (right, below, _LEFT, leads),
        (left, below, _RIGHT, leads),
        (left, above, _RIGHT, leads),
    )


def _inside(label: Label, width: float, height: float, sheet: Box) -> Iterator[Spot]:
    """Places inside the outlines, clear of them: in the middle, left and right, at half height, a quarter, three."""
    sign = label.sign
    top, bottom = max(sign.y, sheet[1]), min(sign.bottom, sheet[3])
    left, right = max(sign.x, sheet[0]), min(sign.right, sheet[2])
    if right - left < width or bottom - top < height:
        return
    outlines = [[(float(x), float(y)) for x, y in ring] for ring in label.areas]
    pole_y = label.pole[1] if label.pole is not None and top <= label.pole[1] <= bottom else (top + bottom) / 2
    for middle_y in (pole_y, (3 * top + bottom) / 4, (top + 3 * bottom) / 4):
        span = _widest(outlines, middle_y, left, right)
        for at in _INSIDE_STOPS:
            if span is None or span[1] - span[0] < width + 2 * _CLEAR_PX:
                yield None, 0.0, _MIDDLE, False
                continue
            low, high = span[0] + _CLEAR_PX, span[1] - _CLEAR_PX - width
            x, y = low + (high - low) * at, middle_y - height / 2
            clear = (x - _CLEAR_PX + 0.5, y - _CLEAR_PX, x + width + _CLEAR_PX - 0.5, y + height + _CLEAR_PX)
            yield (x if _within(outlines, clear) else None), y, _MIDDLE, False


def _widest(
    outlines: list[list[tuple[float, float]]], y: float, left: float, right: float
) -> tuple[float, float] | None:
    """The widest run inside the outlines along a level of the screen, cut to left and right."""
    stops: list[float] = []
    for outline in outlines:
        ax, ay = outline[-1]
        for bx, by in outline:
            if (ay <= y) != (by <= y):
                stops.append(ax + (y - ay) * (bx - ax) / (by - ay))
            ax, ay = bx, by
    stops.sort()
    runs = [(max(low, left), min(high, right)) for low, high in zip(stops[::2], stops[1::2], strict=True)]
    return max(runs, key=lambda run: run[1] - run[0], default=None)


def _within(outlines: list[list[tuple[float, float]]], box: Box) -> bool:
    """Whether the box crosses none of the outlines (its middle is known to lie inside)."""
    for outline in outlines:
        ax, ay = outline[-1]
        for bx, by in outline:
            if crosses(ax, ay, bx, by, box):
                return False
            ax, ay = bx, by
    return True


def _leader(label: Label, box: Box) -> Leader:
    """From the nearest edge of the box to the nearest point of the sign's box or outline."""
    sign = label.sign
    to_x = min(max((box[0] + box[2]) / 2, sign.x), sign.right)
    to_y = min(max((box[1] + box[3]) / 2, sign.y), sign.bottom)
    if label.areas:
        to_x, to_y = _nearest_corner(label, (box[0] + box[2]) / 2, (box[1] + box[3]) / 2, (to_x, to_y))
    from_x, from_y = min(max(to_x, box[0]), box[2]), min(max(to_y, box[1]), box[3])
    return Leader(from_x, from_y, to_x, to_y)


def _middle(leader: Leader) -> Box:
    """A small box about the middle of a leader: what lies there is crossed by it."""
    x, y = (leader.from_x + leader.to_x) / 2, (leader.from_y + leader.to_y) / 2
    return x - 3, y - 3, x + 3, y + 3


def _nearest_corner(label: Label, x: float, y: float, default: tuple[float, float]) -> tuple[float, float]:
    """The point of the outlines nearest to a point: the foot on the nearest side."""
    best, found = _NEVER, default
    for ring in label.areas:
        ax, ay = (float(value) for value in ring[-1])
        for bx, by in ring.tolist():
            dx, dy = bx - ax, by - ay
            length = dx * dx + dy * dy
            share = 0.0 if length == 0 else min(max(((x - ax) * dx + (y - ay) * dy) / length, 0.0), 1.0)
            px, py = ax + share * dx, ay + share * dy
            distance = (px - x) ** 2 + (py - y) ** 2
            if distance < best:
                best, found = distance, (px, py)
            ax, ay = bx, by
    return found
