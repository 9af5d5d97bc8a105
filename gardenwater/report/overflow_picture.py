"""Overflow as a picture: pools in classes of depth, ground that stays soft, routes and where they end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from gardenwater.assess import OverflowAnswer
from gardenwater.overflow import MUD_FROM_H
from gardenwater.report.drawing import Cap, Fill, Join, Mark, Pen, Picture, Points, Shape, Subpath
from gardenwater.report.fields import Affine6, Curve, Curves, corners, equal_lines, finer, times_finer, to_view
from gardenwater.report.paths import rings
from gardenwater.report.signs.answers import POOL_CLASS_EDGE, RouteEnd, pool, route
from gardenwater.report.view import View

if TYPE_CHECKING:
    from gardenwater.overflow import Exit, Pool, Route

EDGES_M = (0.02, 0.05, 0.10, 0.25)
"""Edges of the classes of depth, m."""

TABLE = (None, *(Fill(f"pool_{number}") for number in range(1, 6)))
_QUIET = Pen("spill", 1.0, strength=0.6)

_DAMP_PX, _SOFT_PX = 17.0, 11.0
"""Width of the band beside a route: it says where the ground is wetted, not how far."""


@dataclass(frozen=True, slots=True, eq=False)
class OverflowPicture:
    """What is drawn of an overflow answer, on the map. Made once for each answer, off the window's thread.

    classes: uint8 (rows, cols), see `TABLE`. edges: between classes of depth. outlines: rings of each pool, m. lines:
    points of each route, m; those that leave the site end at its boundary. leaves_at: where that is, for each exit.
    """

    classes: NDArray[np.uint8]
    transform: Affine6
    edges: Curves
    pools: tuple[Pool, ...]
    outlines: tuple[tuple[Points, ...], ...]
    routes: tuple[Route, ...]
    lines: tuple[Points, ...]
    exits: tuple[Exit, ...]
    leaves_at: tuple[tuple[float, float], ...]


def overflow_picture(answer: OverflowAnswer, boundary: BaseGeometry | None = None) -> OverflowPicture:
    """What is drawn of where the spilled water goes. boundary: of the site, at which routes off it are shown to end."""
    spill, ground = answer.spill, answer.ground
    depth_m = np.nan_to_num(np.asarray(spill.pool_depth_m, dtype=np.float32), nan=0.0)
    wet = depth_m > 0
    times = times_finer(ground) if wet.any() else 1
    a, b, c, d, e, f = corners(ground)
    fine = finer(depth_m, times)
    classes = np.where(fine > 1e-3, np.digitize(fine, EDGES_M) + 1, 0).astype(np.uint8)
    classes.flags.writeable = False
    lines = tuple(_drawn_line(each, boundary) for each in spill.routes)
    edges = equal_lines(depth_m, ground, EDGES_M, least_cells=3.0) if wet.any() else []
    return OverflowPicture(
        classes=classes,
        transform=(a / times, b / times, c, d / times, e / times, f),
        edges=Curves([Curve(curve.points, curve.value) for curve in edges]),
        pools=tuple(spill.pools),
        outlines=tuple(tuple(rings(each.outline)) for each in spill.pools),
        routes=tuple(spill.routes),
        lines=lines,
        exits=tuple(spill.exits),
        leaves_at=tuple(_leaves_at(number, each, spill.routes, lines) for number, each in enumerate(spill.exits)),
    )


def _drawn_line(each: Route, boundary: BaseGeometry | None) -> Points:
    """The points of a route; one that leaves the site is drawn as far as it last crosses the boundary."""
    whole = shapely.get_coordinates(each.line)
    if boundary is None or end_of(each) is not RouteEnd.OFF_SITE:
        return whole
    crossings = shapely.get_coordinates(each.line.intersection(boundary.boundary))
    if len(crossings) == 0:
        return whole
    last_m = float(shapely.line_locate_point(each.line, shapely.points(crossings)).max())
    return shapely.get_coordinates(substring(each.line, 0.0, last_m)) if last_m > 0 else whole


def _leaves_at(number: int, leaving: Exit, routes: Sequence[Route], lines: Sequence[Points]) -> tuple[float, float]:
    """Where a route to an exit is shown to end; the exit itself where none leads there."""
    for each, points in zip(routes, lines, strict=True):
        if end_of(each) is RouteEnd.OFF_SITE and each.end_index == number:
            return float(points[-1, 0]), float(points[-1, 1])
    return leaving.at


def mud(picture: OverflowPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Ground that is soft underfoot: damp beside routes, soft or mud round pools by how long they stand."""
    routes = tuple(Subpath(view.all_to_px(points)) for points in picture.lines if len(points) > 1)
    marks: list[Mark] = []
    if routes:
        damp = Pen("mud_1", _DAMP_PX, cap=Cap.ROUND, join=Join.ROUND, strength=strength)
        marks.append(Shape(routes, pen=damp))
    for outlines, each in zip(picture.outlines, picture.pools, strict=True):
        path = tuple(Subpath(view.all_to_px(ring), closed=True) for ring in outlines)
        role = "mud_3" if each.hours_to_soak > MUD_FROM_H else "mud_2"
        marks.append(Shape(path, pen=Pen("mud_1", 2 * _DAMP_PX, join=Join.ROUND, strength=strength)))
        marks.append(Shape(path, Fill(role, strength), Pen(role, 2 * _SOFT_PX, join=Join.ROUND, strength=strength)))
    return marks


def pool_marks(picture: OverflowPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Pools in classes of depth, thin edges between the classes, outlines and level lines."""
    if not picture.pools:
        return []
    marks: list[Mark] = [
        Picture(picture.classes, TABLE, to_view(picture.transform, view), smooth=True, strength=strength)
    ]
    edges = tuple(Subpath(curve.points) for curve in picture.edges.in_sight(view))
    if edges:
        marks.append(Shape(edges, pen=POOL_CLASS_EDGE))
    for outlines in picture.outlines:
        marks += pool([view.all_to_px(ring) for ring in outlines], view.px_per_m)
    return marks


def quiet_marks(picture: OverflowPicture, view: View) -> list[Mark]:
    """Ways and shores as thin lines: where the water is, when the plan shows the ground underfoot."""
    ways = tuple(Subpath(view.all_to_px(points)) for points in picture.lines if len(points) > 1)
    shores = tuple(Subpath(view.all_to_px(ring), closed=True) for outlines in picture.outlines for ring in outlines)
    return [Shape(path, pen=_QUIET) for path in (ways, shores) if path]


def route_marks(picture: OverflowPicture, view: View, *, heads_px: float = 0.0) -> list[Mark]:
    """Overflow routes by their flow, each with its end. heads_px: how far the arrow heads have moved on."""
    marks: list[Mark] = []
    for each, points in zip(picture.routes, picture.lines, strict=True):
        if len(points) > 1:
            marks += route(view.all_to_px(points), each.flow_l_s, end_of(each), heads_px=heads_px)
    return marks


def end_of(each: Route) -> RouteEnd:
    """How the end of a route is drawn."""
    from gardenwater.overflow import End

    return {End.SOAKED: RouteEnd.SOAKED, End.OFF_SITE: RouteEnd.OFF_SITE}.get(each.end, RouteEnd.PLAIN)
