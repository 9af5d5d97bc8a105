"""A thing from what was drawn: its shape, its default name, and the things it belongs to, by what it was snapped to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Any

import shapely

from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.geometry import bearing_deg, polar
from gardenwater.desktop.plan.snapping import Snap, things_at
from gardenwater.errors import EditError
from gardenwater.site.model import Site
from gardenwater.site.names import default_name
from gardenwater.site.things import BY_KIND, TAKERS, Bed, Thing

LevelAt = Callable[[float, float], float]
"""Level of the ground at (x, y), m; NaN where there is none."""

_AT_HAND_M = (
    1.0  # what is as near as this belongs together: a diverter and its downpipe, a gutter's end and its downpipe
)
_FEEDER_M = 12.0  # a tank further than this from a diverter is not taken to be fed by it
_TAP_M = 4.0
_OUTWARD_PROBE_M = 0.05

PREFERRED: dict[str, tuple[str, ...]] = {
    "gutter": ("roof", "downpipe"),
    "downpipe": ("roof",),
    "diverter": ("downpipe",),
    "first_flush": ("downpipe",),
    "tap": ("tank",),
    "link": ("tank",),
    "watering_line": ("tank",),
    "overflow": ("tank", "downpipe", *TAKERS),
    "door": ("building",),
}
"""What each kind is snapped to before all else while it is drawn."""

ENDS_AT_SECOND = ("link", "slope_arrow")
"""Lines that are done with their second point."""


def made(site: Site, kind: str, drawn: Sequence[Snap], level_at: LevelAt) -> Thing:
    """The thing that was drawn, with its defaults and references. Raises EditError when there are too few points."""
    of_kind: Any = BY_KIND[kind]
    fields = _FIELDS[kind](site, drawn, level_at) if kind in _FIELDS else {}
    return of_kind(  # type: ignore[no-any-return]
        id=site.free_id(kind),
        name=default_name(site, kind),
        shape=shape_from(kind, [snap.at for snap in drawn]),
        **fields,
    )


def shape_from(kind: str, points: Sequence[XY]) -> shapely.Geometry:
    """The geometry of a kind through these points. Raises EditError when there are too few."""
    geometry = BY_KIND[kind].geometry
    need = {"Point": 1, "LineString": 2, "Polygon": 3}[geometry]
    if len(points) < need:
        word = BY_KIND[kind].word
        raise EditError(f"{word} has only {len(points)} of {need} points.", mend="Set more points, or press Esc.")
    if geometry == "Point":
        return shapely.Point(points[0])
    return shapely.LineString(points) if geometry == "LineString" else shapely.Polygon(points)


def _nearest(site: Site, at: XY, kinds: Sequence[str], within_m: float) -> str:
    """Id of the nearest thing of these kinds, or empty."""
    near = things_at(site, at, kinds, within_m)
    return near[0].id if near else ""


def _snapped(site: Site, snap: Snap, kinds: Sequence[str], within_m: float) -> str:
    """Id of the thing that was snapped to when it is of these kinds, else of the nearest such one, or empty."""
    thing = site.get(snap.thing)
    return thing.id if thing is not None and thing.kind in kinds else _nearest(site, snap.at, kinds, within_m)


def _gutter(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    roof = next((found for snap in drawn if (found := _snapped(site, snap, ("roof",), _AT_HAND_M))), "")
    return {"roof": roof, "downpipe": _snapped(site, drawn[-1], ("downpipe",), _AT_HAND_M)}


def _downpipe(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    return {"roof": _snapped(site, drawn[0], ("roof",), _AT_HAND_M)}


def _diverter(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    return {
        "downpipe": _snapped(site, drawn[0], ("downpipe",), _AT_HAND_M),
        "tank": _nearest(site, drawn[0].at, ("tank",), _FEEDER_M),
    }


def _first_flush(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    return {"downpipe": _snapped(site, drawn[0], ("downpipe",), _AT_HAND_M)}


def _tap(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    return {"tank": _snapped(site, drawn[0], ("tank",), _TAP_M)}


def _link(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    first = _snapped(site, drawn[0], ("tank",), _AT_HAND_M)
    second = _snapped(site, drawn[-1], ("tank",), _AT_HAND_M)
    if not first or not second or first == second:
        raise EditError("A link joins two tanks.", where="Link", mend="Begin on one tank and end on another.")
    return {"tank_a": first, "tank_b": second}


def _watering_line(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    return {"tank": _snapped(site, drawn[0], ("tank",), _AT_HAND_M)}


def _overflow(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    tank = _snapped(site, drawn[0], ("tank",), _AT_HAND_M)
    return {
        "tank": tank,
        "downpipe": "" if tank else _snapped(site, drawn[0], ("downpipe",), _AT_HAND_M),
        "taker": _snapped(site, drawn[-1], TAKERS, 0.0),
    }


def _bed(site: Site, _: Sequence[Snap], __: LevelAt) -> dict[str, Any]:
    return {"soil": site.settings.soil}


def _level_peg(site: Site, drawn: Sequence[Snap], level_at: LevelAt) -> dict[str, Any]:
    level = level_at(*drawn[0].at)
    return {"level_m": round(level, 2) if math.isfinite(level) else site.settings.flat_level_m}


def _slope_arrow(_: Site, drawn: Sequence[Snap], level_at: LevelAt) -> dict[str, Any]:
    """What the ground says now, where it falls that way; the usual fall else."""
    if len(drawn) < 2:
        return {}
    start, end = drawn[0].at, drawn[-1].at
    fall = level_at(*start) - level_at(*end)
    if not fall > 0:
        return {}
    return {"one_in": round(min(max(math.dist(start, end) / fall, 1.0), 10_000.0), 1)}


def _door(site: Site, drawn: Sequence[Snap], _: LevelAt) -> dict[str, Any]:
    """It opens outwards from the wall that it was put in."""
    snap = drawn[0]
    if snap.along is None:
        return {}
    wall = bearing_deg((0.0, 0.0), snap.along)
    building = site.get(snap.thing)
    sides = ((wall + 90.0) % 360.0, (wall - 90.0) % 360.0)
    outside = [
        side
        for side in sides
        if building is None or not building.shape.contains(shapely.Point(polar(snap.at, _OUTWARD_PROBE_M, side)))
    ]
    return {"bearing_deg": round((outside or sides)[0], 1)}


_FIELDS: dict[str, Callable[[Site, Sequence[Snap], LevelAt], dict[str, Any]]] = {
    "gutter": _gutter,
    "downpipe": _downpipe,
    "diverter": _diverter,
    "first_flush": _first_flush,
    "tap": _tap,
    "link": _link,
    "watering_line": _watering_line,
    "overflow": _overflow,
    Bed.kind: _bed,
    "level_peg": _level_peg,
    "slope_arrow": _slope_arrow,
    "door": _door,
}
