"""Each roof's plan shared among its downpipes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.catch.eaves import Stretch, by_drawn_gutters, by_level_gutter
from gardenwater.catch.planes import Plane, RoofShape, Surface, roof_shape, surface_of
from gardenwater.catch.skeleton import Edge, Place, polygons_of
from gardenwater.catch.wiring import Wiring, wiring
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Gutter, Roof

_SAME_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RoofPart:
    """What one downpipe gets of one plane of a roof.

    downpipe: its id; empty where the water drips off the eaves. shape: on the plan. area_m2: of the plan.
    fall_bearing_deg: compass bearing of the way down; NaN on a flat roof. foot: the spot of the eaves in the middle of
    where it runs off, x and y, m. outward: direction away from the roof there, of length 1. gutters: the drawn gutters
    that its water runs through, and the plan area that each gathers, m2.
    """

    roof: str
    downpipe: str
    shape: Surface
    area_m2: float
    fall_bearing_deg: float
    foot: Place
    outward: Place
    gutters: tuple[tuple[str, float], ...] = ()


def parts(site: Site, *, wires: Wiring | None = None) -> tuple[RoofPart, ...]:
    """Each roof's plan shared among its downpipes, plane by plane; together the parts of a roof are its plan.

    Water runs straight down its plane to the eaves. Where gutters are drawn on a roof they decide, and eaves without
    one drip. Where none is drawn, a level gutter all round is assumed: water goes to the nearest downpipe along the
    eaves, and planes are parted straight down the fall half way between two. A flat roof's water goes to the nearest
    downpipe across the roof. A roof without downpipes drips.
    """
    wires = wires or wiring(site)
    found: list[RoofPart] = []
    for roof in site.of(Roof):
        found.extend(_roof_parts(site, wires, roof))
    return tuple(found)


def gutters_on(site: Site, wires: Wiring, roof: str) -> list[tuple[Gutter, str]]:
    """The gutters drawn on a roof, each with its downpipe (empty where it leads to none)."""
    return [(g, wires.pipe_of.get(g.id, "")) for g in site.of(Gutter) if wires.roof_of.get(g.id) == roof]


def _roof_parts(site: Site, wires: Wiring, roof: Roof) -> Iterator[RoofPart]:
    shape = roof_shape(roof)
    pipes = [pipe for pipe in site.of(Downpipe) if wires.roof_of.get(pipe.id) == roof.id]
    gutters = gutters_on(site, wires, roof.id)
    stretches = by_drawn_gutters(shape.rings, gutters) if gutters else by_level_gutter(shape.rings, pipes)
    for plane in shape.planes:
        if plane.eaves:
            yield from _plane_parts(roof, plane, shape, stretches)
        else:
            yield from _flat_parts(roof, plane, shape, pipes)


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of a plane whose water runs over one stretch of one edge."""

    shape: Polygon
    edge: Edge
    stretch: Stretch


def _plane_parts(
    roof: Roof, plane: Plane, shape: RoofShape, stretches: Sequence[Sequence[Stretch]]
) -> Iterator[RoofPart]:
    by_pipe: dict[str, list[_Piece]] = defaultdict(list)
    for piece in _pieces(plane, [(shape.edges[index], stretches[index]) for index in plane.eaves]):
        by_pipe[piece.stretch.downpipe].append(piece)
    for pipe, pieces in by_pipe.items():
        gathered: dict[str, float] = defaultdict(float)
        for piece in pieces:
            if piece.stretch.gutter:
                gathered[piece.stretch.gutter] += piece.shape.area
        widest = max(pieces, key=lambda piece: piece.stretch.end_m - piece.stretch.start_m)
        yield RoofPart(
            roof=roof.id,
            downpipe=pipe,
            shape=surface_of([piece.shape for piece in pieces]),
            area_m2=math.fsum(piece.shape.area for piece in pieces),
            fall_bearing_deg=plane.fall_bearing_deg,
            foot=widest.edge.at(widest.stretch.middle_m),
            outward=(-widest.edge.inward[0], -widest.edge.inward[1]),
            gutters=tuple(gathered.items()),
        )


def _pieces(plane: Plane, eaves: Sequence[tuple[Edge, Sequence[Stretch]]]) -> Iterator[_Piece]:
    """The plane cut down its fall wherever the water goes elsewhere.

    Water beyond the ends of the eaves has come down a valley, and runs off at their end.
    """
    only_edge, only = eaves[0]
    if len(eaves) == 1 and len(only) == 1:
        yield from (_Piece(polygon, only_edge, only[0]) for polygon in polygons_of(plane.shape))
        return
    frame = _Frame(plane.fall)
    cuts = {frame.across(edge.at(m)) for edge, many in eaves for s in many for m in (s.start_m, s.end_m)}
    if len(eaves) == 1:
        cuts -= {min(cuts), max(cuts)}
    for strip in frame.strips(plane.shape, sorted(cuts)):
        for polygon in polygons_of(plane.shape.intersection(strip)):
            spot = polygon.representative_point()
            yield _Piece(polygon, *_over(frame, (spot.x, spot.y), eaves))


class _Frame:
    """Directions of a plane: across its fall and up it."""

    def __init__(self, fall: Place) -> None:
        self.fall = fall

    def across(self, place: Place) -> float:
        return -place[0] * self.fall[1] + place[1] * self.fall[0]

    def height(self, place: Place) -> float:
        return -place[0] * self.fall[0] - place[1] * self.fall[1]

    def place(self, across: float, height: float) -> Place:
        fx, fy = self.fall
        return -across * fy - height * fx, across * fx - height * fy

    def strips(self, shape: Surface, cuts: Sequence[float]) -> Iterator[Polygon]:
        """The plan in strips down the fall, from one cut to the next, to beyond the shape at both ends."""
        corners = [(float(x), float(y)) for x, y in shapely.get_coordinates(shape)]
        across, heights = [self.across(c) for c in corners], [self.height(c) for c in corners]
        low, high = min(heights) - 1.0, max(heights) + 1.0
        inside = [cut for cut in cuts if min(across) + _SAME_M < cut < max(across) - _SAME_M]
        for one, other in pairwise([min(across) - 1.0, *inside, max(across) + 1.0]):
            yield Polygon([self.place(a, h) for a, h in ((one, low), (other, low), (other, high), (one, high))])


def _over(frame: _Frame, spot: Place, eaves: Sequence[tuple[Edge, Sequence[Stretch]]]) -> tuple[Edge, Stretch]:
    """The edge and its stretch that water from a spot runs over."""
    across, height = frame.across(spot), frame.height(spot)
    best: tuple[tuple[float, float], Edge, Sequence[Stretch], float] | None = None
    for edge, stretches in eaves:
        start, end = frame.across(edge.start), frame.across(edge.end)
        share = (across - start) / (end - start)
        run = min(max(share, 0.0), 1.0) * edge.length_m
        beside = max(-share, share - 1.0, 0.0) * abs(end - start)
        drop = height - frame.height(edge.at(run))
        # Straight below comes first (the nearest of those); else the end that the valley leads to.
        rank = (0.0, drop) if beside <= _SAME_M and drop >= -_SAME_M else (1.0, beside + abs(drop))
        if best is None or rank < best[0]:
            best = rank, edge, stretches, run
    assert best is not None
    _, edge, stretches, run = best
    near = min(stretches, key=lambda s: max(s.start_m - run, run - s.end_m))
    return edge, near


def _flat_parts(roof: Roof, plane: Plane, shape: RoofShape, pipes: Sequence[Downpipe]) -> Iterator[RoofPart]:
    """A flat roof: each spot's water to the nearest downpipe; without any, over the longest side."""
    longest = max(shape.rings[0], key=lambda edge: edge.length_m)
    outward = -longest.inward[0], -longest.inward[1]
    if not pipes:
        yield _flat_part(roof, "", plane.shape, longest.at(longest.length_m / 2), outward)
        return
    for pipe, piece in _nearest(plane.shape, pipes):
        yield _flat_part(roof, pipe.id, piece, (pipe.shape.x, pipe.shape.y), outward)


def _flat_part(roof: Roof, pipe: str, shape: Surface, foot: Place, outward: Place) -> RoofPart:
    return RoofPart(
        roof=roof.id,
        downpipe=pipe,
        shape=shape,
        area_m2=shape.area,
        fall_bearing_deg=math.nan,
        foot=foot,
        outward=outward,
    )


def _nearest(shape: Surface, pipes: Sequence[Downpipe]) -> Iterator[tuple[Downpipe, Surface]]:
    """The shape shared among the pipes by which is nearest; of pipes on one spot the first has it."""
    first = {(pipe.shape.x, pipe.shape.y): pipe for pipe in reversed(pipes)}
    stops = [pipe for pipe in pipes if first[pipe.shape.x, pipe.shape.y] is pipe]
    rest: Surface | Polygon | MultiPolygon = shape
    west, south, east, north = shape.bounds
    reach = 2 * math.hypot(east - west, north - south) + max(pipe.shape.distance(shape) for pipe in stops)
    for index, pipe in enumerate(stops):
        area: BaseGeometry = rest
        for other in stops[index + 1 :]:
            area = area.intersection(_nearer(pipe, other, reach))
        mine = polygons_of(area)
        if mine:
            yield pipe, surface_of(mine)
        left = polygons_of(rest.difference(area))
        if not left:
            return
        rest = surface_of(left)


def _nearer(pipe: Downpipe, other: Downpipe, reach: float) -> Polygon:
    """The half of the plan (as far as it matters) that is nearer to one pipe than to another."""
    dx, dy = other.shape.x - pipe.shape.x, other.shape.y - pipe.shape.y
    apart = math.hypot(dx, dy)
    across, along = (-dy / apart * reach, dx / apart * reach), (dx / apart * reach, dy / apart * reach)
    x, y = (pipe.shape.x + other.shape.x) / 2, (pipe.shape.y + other.shape.y) / 2
    return Polygon(
        [
            (x + across[0], y + across[1]),
            (x + across[0] - 2 * along[0], y + across[1] - 2 * along[1]),
            (x - across[0] - 2 * along[0], y - across[1] - 2 * along[1]),
            (x - across[0], y - across[1]),
        ]
    )
