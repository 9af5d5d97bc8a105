"""Signs of what takes, leads or stops water in the ground: ponds, soakaways, rain gardens, swales, ditches, earth."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.report.drawing import Cap, Fill, Pen, Points, Shape, Strokes
from gardenwater.report.paths import circle, each, head, inside, left_of, parallel, run
from gardenwater.report.signs.context import Drafting, Order, Sign
from gardenwater.report.signs.grown import at_least, sheet_mask
from gardenwater.report.signs.slope import upper_side
from gardenwater.site.things import Bank, Ditch, Earthwork, EarthworkForm, Pond, RainGarden, Soakaway, Swale

_EDGE = Pen("earth", 1.5, cap=Cap.ROUND)
_TICK = Pen("earth", 0.9, cap=Cap.ROUND)
_PIT = Pen("earth", 1.5, dash=(6.0, 3.0))
_TUFT_EACH_PX, _TUFT_PX, _SLOPE_PX = 14.0, 4.0, 6.0
_LOOSE_EACH_PX, _MOST_ABREAST = 12.0, 24


@lru_cache(maxsize=512)
def _shores(shape: shapely.Polygon) -> tuple[BaseGeometry, BaseGeometry]:
    """Two lines inside that follow the shore, m."""
    inwards = 0.12 * float(np.sqrt(shape.area))
    return shape.buffer(-inwards, quad_segs=6), shape.buffer(-2 * inwards, quad_segs=6)


def pond(thing: Pond, on: Drafting) -> Sign:
    """Water to the shore, and two lines inside that follow it."""
    first, second = _shores(thing.shape)
    sign: Sign = [(Order.POND, Shape(on.outline(thing.shape), Fill("pool_2"), Pen("water", 1.75)))]
    for shape, width in ((first, 0.8), (second, 0.6)):
        if not shape.is_empty:
            sign.append((Order.POND, Shape(on.outline(shape), pen=Pen("water", width))))
    return sign


def rain_garden(thing: RainGarden, on: Drafting) -> Sign:
    """A shore with one line inside that follows it, and tufts: three strokes from one foot."""
    first, _ = _shores(thing.shape)
    sign: Sign = [(Order.POND, Shape(on.outline(thing.shape), Fill("bed_fill", 0.7), Pen("leaf", 1.4)))]
    if not first.is_empty:
        sign.append((Order.POND, Shape(on.outline(first), pen=Pen("water", 0.8))))
    feet = np.array([(x, y) for x, y, _ in _stones(on.rings(thing.shape), on, _TUFT_EACH_PX)]).reshape(-1, 2)
    if len(feet):
        tips = ((-0.7, -0.8), (0.0, -1.1), (0.7, -0.8))
        blades = np.concatenate([np.stack((feet, feet + np.array(tip) * _TUFT_PX), axis=1) for tip in tips])
        sign.append((Order.POND, Strokes(blades, Pen("leaf", 0.9, cap=Cap.ROUND))))
    return sign


def earthwork(thing: Earthwork, on: Drafting) -> Sign:
    """Its edge with strokes down the new slope: inwards where it is cut, outwards where it is raised, by turns both."""
    sign: Sign = []
    for ring in on.rings(thing.shape):
        closed = np.vstack((ring, ring[:1]))
        sign.append((Order.BANK, Shape((run(ring, closed=True),), pen=_EDGE)))
        at, direction = each(closed, at_least(0.5 * on.px_per_m, 9.0))
        inwards = left_of(direction) * (1.0 if _turns_left(closed) else -1.0)
        sides = {EarthworkForm.CUT: (1.0, 1.0), EarthworkForm.FILLED: (-1.0, -1.0)}.get(thing.form, (1.0, -1.0))
        side = np.where(np.arange(len(at)) % 2 == 0, *sides)[:, None]
        sign.append((Order.BANK, Strokes(np.stack((at, at + inwards * side * _SLOPE_PX), axis=1), _TICK)))
    return sign


def _turns_left(ring: Points) -> bool:
    """Whether the inside of a closed run lies to its left, as `left_of` has it."""
    first, second = ring[0], ring[1]
    along = (second - first) / max(float(np.hypot(*(second - first))), 1e-9)
    middle = (first + second) / 2.0 + left_of(along[np.newaxis])[0] * 0.05
    return bool(inside(middle[np.newaxis], [ring])[0])


def soakaway(thing: Soakaway, on: Drafting) -> Sign:
    """A dashed outline over loose rings, as of stones."""
    rings = on.rings(thing.shape)
    sign: Sign = [(Order.SOAKAWAY, Shape(tuple(run(ring, closed=True) for ring in rings), Fill("paper"), _PIT))]
    stones = _stones(rings, on)
    if stones:
        sign.append((Order.SOAKAWAY, Shape(tuple(circle(*stone) for stone in stones), pen=Pen("earth", 1.1))))
    return sign


def _stones(rings: list[Points], on: Drafting, each_px: float = _LOOSE_EACH_PX) -> list[tuple[float, float, float]]:
    """x, y and radius of loose rings, px: a grid that is shaken always the same way."""
    low, high = rings[0].min(axis=0), rings[0].max(axis=0)
    spacing = max(each_px, float((high - low).max()) / _MOST_ABREAST)
    counts = np.maximum(((high - low - 8) // spacing).astype(int), 1)
    columns, rows = np.meshgrid(np.arange(counts[0]), np.arange(counts[1]))
    place = np.column_stack((columns.ravel(), rows.ravel()))
    number = place[:, 0] * 7 + place[:, 1] * 13
    shake = np.column_stack((np.sin(number * 1.7), np.cos(number * 2.3))) * 1.8
    step = (high - low - 8) / counts
    points = low + 4 + (place + 0.5) * step + shake
    radius = 2.5 + 0.45 * np.sin(number * 0.9)
    sheet = on.view.sheet
    seen = sheet_mask(points, (sheet.x, sheet.y, sheet.right, sheet.bottom))
    for arm in ((4.0, 0.0), (-4.0, 0.0), (0.0, 4.0), (0.0, -4.0)):
        seen &= inside(points + arm, rings)
    return [(float(x), float(y), float(r)) for (x, y), r in zip(points[seen], radius[seen], strict=True)]


def _banks_of(points: Points, width_m: float, on: Drafting, least_px: float) -> tuple[Points, Points, float]:
    """Both edges of a cut and its width in px."""
    width = max(width_m * on.px_per_m, least_px)
    return parallel(points, width / 2), parallel(points, -width / 2), width


def swale(thing: Swale, on: Drafting) -> Sign:
    """Two lines, with ticks from the upper one into the cut."""
    points = on.line(thing.shape)
    left, right, width = _banks_of(points, thing.width_m, on, 8.0)
    upper = left if upper_side(thing.shape, on.ground) > 0 else right
    at, direction = each(upper, at_least(1.0 * on.px_per_m, 9.0))
    into = left_of(direction) * (-1.0 if upper is left else 1.0)
    ticks = np.stack((at, at + into * min(width * 0.55, 6.0)), axis=1)
    return [
        (Order.SWALE, Shape((run(left), run(right)), pen=_EDGE, casing=Pen("paper", 4.5, cap=Cap.ROUND))),
        (Order.SWALE, Strokes(ticks, _TICK)),
    ]


def ditch(thing: Ditch, on: Drafting) -> Sign:
    """Two lines with ticks from both edges by turns, and its bed dashed to an arrow head at the low end."""
    points = on.line(thing.shape)
    left, right, width = _banks_of(points, thing.width_m, on, 12.0)
    step = at_least(2.0 * on.px_per_m, 14.0)
    reach = min(width * 0.32, 6.0)
    at_left, along_left = each(left, step)
    at_right, along_right = each(right, step, first_px=step)
    ticks = np.concatenate((
        np.stack((at_left, at_left - left_of(along_left) * reach), axis=1),
        np.stack((at_right, at_right + left_of(along_right) * reach), axis=1),
    ))  # fmt: skip
    last = points[-1] - points[-2]
    tip = head(points[-1], last / max(float(np.hypot(*last)), 1e-9), 5.0, 3.6)
    bed = Pen("spill", 0.9, dash=(5.0, 3.0))
    return [
        (Order.DITCH, Shape((run(left), run(right)), pen=_EDGE, casing=Pen("paper", 4.5, cap=Cap.ROUND))),
        (Order.DITCH, Strokes(ticks, _TICK)),
        (Order.DITCH, Shape((run(points),), pen=bed)),
        (Order.DITCH, Shape((tip,), pen=Pen("spill", 1.2, cap=Cap.ROUND))),
    ]


def bank(thing: Bank, on: Drafting) -> Sign:
    """The crest, its feet dashed, and strokes down the slopes, long and short by turns."""
    crest = on.line(thing.shape)
    half = max(thing.width_m / 2 * on.px_per_m, 8.0)
    feet = tuple(run(parallel(crest, side * half)) for side in (1.0, -1.0))
    at, direction = each(crest, at_least(0.5 * on.px_per_m, 7.0))
    reach = np.where(np.arange(len(at)) % 2 == 0, 0.88, 0.48)[:, None] * half
    down = left_of(direction) * reach
    strokes = np.concatenate([np.stack((at, at + side * down), axis=1) for side in (1.0, -1.0)])
    return [
        (Order.BANK, Shape(feet, pen=Pen("earth", 0.9, dash=(3.0, 2.4)))),
        (Order.BANK, Strokes(strokes, _TICK)),
        (Order.BANK, Shape((run(crest),), pen=_EDGE)),
    ]
