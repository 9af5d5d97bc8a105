"""Each roof's plan shared among its downpipes."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from shapely import Polygon

from gardenwater.catch.eaves import Stretch, by_drawn_gutters, by_level_gutter
from gardenwater.catch.frame import Frame
from gardenwater.catch.leads import Wiring, wiring
from gardenwater.catch.planes import Assumption, Plane, RoofShape, Surface, roof_shape, surface_of
from gardenwater.catch.skeleton import Edge, Place, corners_of, polygons_of
from gardenwater.site.model import Site
from gardenwater.site.things import Downpipe, Gutter, Roof

_SAME_M = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class RoofPart:
    """What one downpipe gets of one plane of a roof.

    downpipe: its id; empty where the water drips off the eaves. shape: on the plan. area_m2: of the plan.
    fall_bearing_deg: compass bearing of the way down; NaN on a flat roof. foot: the spot of the eaves in the middle of
    where it runs off, x and y, m. outward: direction away from the roof there, of length 1. gutters: the drawn gutters
    that its water runs through, and the plan area that each gathers, m2. assumed: what had to be assumed of the roof.
    """

    roof: str
    downpipe: str
    shape: Surface
    area_m2: float
    fall_bearing_deg: float
    foot: Place
    outward: Place
    gutters: tuple[tuple[str, float], ...] = ()
    assumed: tuple[Assumption, ...] = ()


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
    assumed = [] if shape.assumed is None else [shape.assumed]
    if pipes and not gutters and any(plane.eaves for plane in shape.planes):
        assumed.append(Assumption.LEVEL_GUTTER)
    for plane in shape.planes:
        found = _plane_parts(roof, plane, shape, stretches) if plane.eaves else _flat_parts(roof, plane, shape, pipes)
        yield from (replace(part, assumed=tuple(assumed)) for part in found)


_WORDS = {
    Assumption.FALL: "Which way {roof} falls is not given; it is taken to fall across its longest side.",
    Assumption.FLAT: "The outline of {roof} is too tangled to find its ridges; it is taken as flat.",
    Assumption.LEVEL_GUTTER: "No gutter is drawn on {roof}; a level one all round is assumed.",
}


def assumed_words(site: Site, roof_parts: Iterable[RoofPart]) -> tuple[str, ...]:
    """What was assumed of each roof, one sentence each."""
    found = dict.fromkeys((part.roof, what) for part in roof_parts for what in part.assumed)
    return tuple(_WORDS[what].format(roof=site.thing(roof, Roof).name or "a roof") for roof, what in found)


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
            shape=plane.shape if len(by_pipe) == 1 else surface_of([piece.shape for piece in pieces]),
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
    for polygon in polygons_of(plane.shape):
        frame = Frame(plane.fall, corners_of(polygon.exterior)[0])
        cuts = {frame.across(edge.at(m)) for edge, many in eaves for s in many for m in (s.start_m, s.end_m)}
        for slice_ in frame.slices(polygon, cuts):
            yield _Piece(slice_, *_over(frame, slice_.centroid.coords[0], eaves))


def _over(frame: Frame, spot: Sequence[float], eaves: Sequence[tuple[Edge, Sequence[Stretch]]]) -> tuple[Edge, Stretch]:
    """The edge and its stretch that water from a spot runs over."""
    across, height = frame.across(spot), frame.height(spot)

    def way(edge: Edge) -> tuple[float, float, float]:
        """How far aside and down an edge lies, straight below first; and where the water meets it, m along it."""
        start, end = frame.across(edge.start), frame.across(edge.end)
        share = (across - start) / (end - start)
        run = min(max(share, 0.0), 1.0) * edge.length_m
        aside = max(-share, share - 1.0, 0.0) * abs(end - start)
        drop = height - frame.height(edge.at(run))
        straight = aside <= _SAME_M and drop >= -_SAME_M
        return (0.0, drop, run) if straight else (1.0, aside + abs(drop), run)

    ways = [way(edge) for edge, _ in eaves]
    nearest = min(range(len(eaves)), key=lambda index: ways[index][:2])
    edge, stretches = eaves[nearest]
    run = ways[nearest][2]
    return edge, min(stretches, key=lambda s: max(s.start_m - run, run - s.end_m))


def _flat_parts(roof: Roof, plane: Plane, shape: RoofShape, pipes: Sequence[Downpipe]) -> Iterator[RoofPart]:
    """A flat roof: each spot's water to the nearest downpipe; without any, over the longest side."""
    longest = max(shape.rings[0], key=lambda edge: edge.length_m)
    outward = -longest.inward[0], -longest.inward[1]
    if not pipes:
        yield _flat_part(roof, "", polygons_of(plane.shape), longest.at(longest.length_m / 2), outward)
        return
    for pipe, pieces in _nearest(plane.shape, pipes):
        yield _flat_part(roof, pipe.id, pieces, (pipe.shape.x, pipe.shape.y), outward)


def _flat_part(roof: Roof, pipe: str, pieces: Sequence[Polygon], foot: Place, outward: Place) -> RoofPart:
    return RoofPart(
        roof=roof.id,
        downpipe=pipe,
        shape=surface_of(pieces),
        area_m2=math.fsum(piece.area for piece in pieces),
        fall_bearing_deg=math.nan,
        foot=foot,
        outward=outward,
    )


def _nearest(shape: Surface, pipes: Sequence[Downpipe]) -> Iterator[tuple[Downpipe, list[Polygon]]]:
    """The shape shared among the pipes by which is nearest; of pipes on one spot the first has it."""
    first = {(pipe.shape.x, pipe.shape.y): pipe for pipe in reversed(pipes)}
    stops = list(first.values())
    slices = [
        corners_of(piece.exterior)[:-1]
        for polygon in polygons_of(shape)
        for piece in Frame((0.0, -1.0), corners_of(polygon.exterior)[0]).slices(polygon, ())
    ]
    for pipe in stops:
        mine = slices
        for other in stops:
            if other is not pipe:
                mine = [_nearer(ring, pipe, other) for ring in mine]
        pieces = [piece for ring in mine if len(ring) > 2 and (piece := Polygon(ring)).area > 0]
        if pieces:
            yield pipe, pieces


def _nearer(ring: Sequence[Place], pipe: Downpipe, other: Downpipe) -> list[Place]:
    """The part of a convex piece that is nearer to one pipe than to another (Sutherland and Hodgman 1974)."""
    middle_x, middle_y = (pipe.shape.x + other.shape.x) / 2, (pipe.shape.y + other.shape.y) / 2
    dx, dy = other.shape.x - pipe.shape.x, other.shape.y - pipe.shape.y
    past = [(x - middle_x) * dx + (y - middle_y) * dy for x, y in ring]
    kept: list[Place] = []
    for index, (x, y) in enumerate(ring):
        before = index - 1
        if (past[before] > 0) != (past[index] > 0):
            share = past[before] / (past[before] - past[index])
            kept.append(
                (ring[before][0] + share * (x - ring[before][0]), ring[before][1] + share * (y - ring[before][1]))
            )
        if past[index] <= 0:
            kept.append((x, y))
    return kept
