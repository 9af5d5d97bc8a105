"""Signs of what holds water and passes it on: tank, tap, link."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import shapely

from gardenwater.report.drawing import Cap, Fill, Pen, Points, Shape, Strokes, Subpath
from gardenwater.report.paths import at_lengths, below, circle, left_of, lengths, outset, parallel, run
from gardenwater.report.signs.context import Drafting, Order, Sign, under
from gardenwater.site.things import Link, Tank, TankForm, Tap

_LINE = Pen("water", 2.0)
_LEVEL = Pen("water", 1.0)
_STAND = Pen("ink", 0.9, dash=(3.0, 2.4))
_RING = Pen("water", 1.75)
_LEAST_PX = 11.0
_STAND_OUT_PX = 3.6


@lru_cache(maxsize=1024)
def footprint_of(thing: Tank) -> shapely.Polygon:
    """The outline of a tank on the plan, m."""
    return thing.footprint


def tank_outline(thing: Tank, on: Drafting) -> Points:
    """The true outline in px, or as small as a tank is ever drawn; float64 (n, 2), closed."""
    if thing.form is TankForm.UPRIGHT:
        x, y = on.spot(thing.shape)
        return circle(x, y, max(thing.width_m / 2 * on.px_per_m, _LEAST_PX / 2)).points
    points = on.rings(footprint_of(thing))[0]
    spread = float(min(thing.width_m, thing.length_m)) * on.px_per_m
    if spread >= _LEAST_PX:
        return points
    middle = points.mean(axis=0)
    grown: Points = middle + (points - middle) * (_LEAST_PX / max(spread, 1e-9))
    return grown


def tank(thing: Tank, on: Drafting) -> Sign:
    """The outline, filled as a level seen from the side up to the store; a dashed ring where it stands on a stand."""
    outline = tank_outline(thing, on)
    path = (Subpath(outline, closed=True),)
    sign: Sign = [(Order.TANK, Shape(path, Fill("paper"), casing=under(_LINE)))]
    share = min(max(on.store_l.get(thing.id, thing.water_l) / thing.capacity_l, 0.0), 1.0)
    top, bottom = float(outline[:, 1].min()), float(outline[:, 1].max())
    water = below(outline, bottom - share * (bottom - top))
    if share > 0 and len(water) >= 3:
        sign.append((Order.TANK, Shape((Subpath(water, closed=True),), Fill("tank_fill"))))
        if share < 0.995:
            surface = water[np.abs(water[:, 1] - water[:, 1].min()) < 1e-6]
            ends = np.stack((surface[np.argmin(surface[:, 0])], surface[np.argmax(surface[:, 0])]))
            sign.append((Order.TANK, Strokes(ends[None], _LEVEL)))
    sign.append((Order.TANK, Shape(path, pen=_LINE)))
    if thing.stand_height_m > 0:
        sign.append((Order.TANK, Shape((Subpath(outset(outline, _STAND_OUT_PX), closed=True),), pen=_STAND)))
    return sign


def tap(thing: Tap, on: Drafting) -> Sign:
    """A ring with a dot, a stem and a bar above it."""
    x, y = on.spot(thing.shape)
    handle = np.array((((x, y - 5), (x, y - 12)), ((x - 4, y - 12), (x + 4, y - 12))))
    return [
        (Order.TAP, Strokes(handle, _RING, casing=under(_RING))),
        (Order.TAP, Shape((circle(x, y, 5.0),), Fill("paper"), _RING, casing=under(_RING))),
        (Order.TAP, Shape((circle(x, y, 1.6),), Fill("water"))),
    ]


def link(thing: Link, on: Drafting) -> Sign:
    """Two lines with a cross tick half way, longer where there is a valve."""
    points = on.line(thing.shape)
    pair = tuple(run(parallel(points, side)) for side in (1.6, -1.6))
    at, direction = at_lengths(points, [lengths(points)[-1] / 2])
    half = (5.0 if thing.valve else 3.5) * left_of(direction)
    tick = np.stack((at - half, at + half), axis=1)
    return [
        (Order.LINK, Shape((run(points),), pen=Pen("paper", 7.4))),
        (Order.LINK, Shape(pair, pen=Pen("water", 1.2))),
        (Order.LINK, Strokes(tick, Pen("water", 1.4, cap=Cap.ROUND))),
    ]
