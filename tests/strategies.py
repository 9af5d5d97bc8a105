"""Generated sites: every kind of thing, every field within its range, shapes that can be drawn, references that hold.

`things(kind)` gives one valid thing, `sites()` a valid site of many. All coordinates are metres.
"""

from __future__ import annotations

import dataclasses
import math
from typing import Any

from hypothesis import strategies as st
from shapely import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from gardenwater.site.climate import MONTH_DAYS, ChangedClimate, Monthly
from gardenwater.site.fields import FieldSpec, flags, specs
from gardenwater.site.listing import text_of
from gardenwater.site.model import Contour, LogEntry, Settings, Sight, Site, Survey, UsualLine
from gardenwater.site.names import kinds_of
from gardenwater.site.rules import CAPACITY_UNDER, most_litres
from gardenwater.site.things import KINDS, Bed, LevelPeg, Link, Pond, Tank, Thing
from gardenwater.tables import table

SHEET_M = 500.0

metres = st.floats(-SHEET_M, SHEET_M, allow_nan=False, allow_infinity=False)
words = st.text(st.characters(categories=("L", "N", "P", "S", "Zs")), max_size=12).map(str.strip)
"""Words in any script, as people type them: printable, trimmed, on one line."""

spots = st.builds(Point, metres, metres)


@st.composite
def lines(draw: st.DrawFn) -> LineString:
    """A line of two to six points, at least a millimetre long; it may cross itself."""
    corners = draw(st.lists(st.tuples(metres, metres), min_size=2, max_size=6))
    line = LineString(corners)
    return line if line.length >= 0.001 else LineString([*corners, (corners[0][0] + 1.0, corners[0][1])])


@st.composite
def outlines(draw: st.DrawFn, *, holes: bool = True) -> Polygon:
    """An outline of three to eight corners, in the order of their bearings from its middle, so that no sides cross."""
    count = draw(st.integers(3, 8))
    east, north = draw(metres), draw(metres)
    turn = draw(st.floats(0.0, 6.0))
    radii = draw(st.lists(st.floats(0.5, 20.0), min_size=count, max_size=count))

    def ring(scale: float) -> list[tuple[float, float]]:
        bearings = [turn + 2.0 * math.pi * number / count for number in range(count)]
        return [
            (east + scale * radius * math.cos(bearing), north + scale * radius * math.sin(bearing))
            for bearing, radius in zip(bearings, radii, strict=True)
        ]

    hole = holes and draw(st.booleans()) and draw(st.booleans())
    return Polygon(ring(1.0), [ring(0.3)] if hole else [])


_SHAPES: dict[str, st.SearchStrategy[Any]] = {"Point": spots, "LineString": lines(), "Polygon": outlines()}


def _field(kind: type[Any], name: str, spec: FieldSpec) -> st.SearchStrategy[Any]:
    if spec.quantity is not None:
        inside = st.floats(spec.least, spec.most, allow_nan=False, allow_infinity=False)
        return st.none() | inside if spec.optional else inside
    if spec.table:
        return st.sampled_from([row.key for row in table(spec.table)])
    if spec.listed:
        keys = st.sampled_from([row.key for row in table(spec.listed)])
        return st.lists(st.tuples(keys, st.integers(1, 9)), max_size=3).map(text_of)
    if spec.options is not None:
        return st.sampled_from(list(spec.options))
    if name in flags(kind):
        return st.booleans()
    return st.just("") if spec.refers else words


def _filled(kind: type[Any]) -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries({name: _field(kind, name, spec) for name, spec in specs(kind).items()})


def _agreeing_tank(draw: st.DrawFn, tank: Tank) -> Tank:
    """A tank whose heights, capacity and water fit together."""
    share = st.floats(0.0, 1.0)
    overflow_m = tank.depth_m * draw(st.floats(0.2, 1.0))
    outlet_m = overflow_m * draw(st.floats(0.0, 0.99))
    tank = dataclasses.replace(
        tank, overflow_height_m=overflow_m, outlet_height_m=outlet_m, inlet_height_m=tank.depth_m * draw(share)
    )
    spec = specs(Tank)["capacity_l"]
    # a little over the least, whose share of the most may round to just under it
    least, most = 1.001 * CAPACITY_UNDER * most_litres(tank), most_litres(tank)
    capacity_l = min(max(least + (most - least) * draw(share), spec.least), spec.most)
    if not least <= capacity_l <= most:
        # the smallest and the largest tanks of the ranges hold less or more than any capacity that is taken
        tank = dataclasses.replace(tank, width_m=1.0, length_m=1.0, depth_m=1.0, inlet_height_m=0.9)
        tank = dataclasses.replace(tank, overflow_height_m=0.9, outlet_height_m=0.1)
        capacity_l = 700.0
    return dataclasses.replace(tank, capacity_l=capacity_l, water_l=capacity_l * draw(share))


def _agreeing(draw: st.DrawFn, thing: Thing) -> Thing:
    """The thing with those fields put right that must agree with each other."""
    if isinstance(thing, Tank):
        return _agreeing_tank(draw, thing)
    if isinstance(thing, Pond):
        return dataclasses.replace(thing, freeboard_m=min(thing.freeboard_m, thing.depth_m))
    if isinstance(thing, Bed):
        spot = thing.shape.representative_point() if draw(st.booleans()) else None
        days = st.sampled_from(["", "12 May", "October 3", "02-28"])
        return dataclasses.replace(
            thing,
            deliver_x_m=None if spot is None else spot.x,
            deliver_y_m=None if spot is None else spot.y,
            sown=draw(days),
            second_sown=draw(days),
        )
    return thing


@st.composite
def things(draw: st.DrawFn, kind: type[Thing] | None = None, thing_id: str = "") -> Thing:
    """One valid thing of a kind (any unless given), with no references."""
    kind = kind or draw(st.sampled_from(KINDS))
    fields = draw(_filled(kind))
    shape: BaseGeometry = draw(_SHAPES[kind.geometry])
    made = kind(id=thing_id or f"{kind.kind}-1", shape=shape, locked=draw(st.booleans()), **fields)
    return _agreeing(draw, made)


def _hung(draw: st.DrawFn, thing: Thing, by_kind: dict[str, list[str]]) -> Thing:
    """The thing with references to things that are there, or to nothing."""
    fields: dict[str, Any] = {}
    for name, spec in specs(type(thing)).items():
        if spec.refers:
            there = [each for kind in kinds_of(spec.refers) for each in by_kind.get(kind, [])]
            fields[name] = draw(st.sampled_from(["", *there]))
    if isinstance(thing, Link) and fields["tank_a"] == fields["tank_b"]:
        fields["tank_b"] = ""
    return dataclasses.replace(thing, **fields)


@st.composite
def site_settings(draw: st.DrawFn) -> Settings:
    """Settings with every field within its range."""
    return Settings(**draw(_filled(Settings)), line=UsualLine(**draw(_filled(UsualLine))))


@st.composite
def surveys(draw: st.DrawFn, pegs: tuple[str, ...] = ()) -> Survey:
    """A survey of a few contours and rows of a level book, which may name the pegs."""
    level = st.floats(-400.0, 8000.0)
    reading = st.none() | st.floats(0.0, 5.0)
    contours = st.builds(Contour, lines(), level)
    sights = st.builds(
        Sight,
        spot=words,
        back_m=reading,
        between_m=reading,
        fore_m=reading,
        known_level_m=st.none() | level,
        peg=st.sampled_from(["", *pegs]),
    )
    return Survey(
        contours=tuple(draw(st.lists(contours, max_size=3))), level_book=tuple(draw(st.lists(sights, max_size=4)))
    )


def _twelve(least: float, most: float) -> st.SearchStrategy[list[float]]:
    return st.lists(st.floats(least, most), min_size=12, max_size=12)


@st.composite
def monthlies(draw: st.DrawFn) -> Monthly:
    """Twelve monthly figures that can be taken, with or without wet days; months without rain among them."""
    rain = [0.0 if draw(st.booleans()) else each for each in draw(_twelve(0.1, 600.0))]
    wet = draw(st.none() | _twelve(0.0, 1.0))
    low = draw(_twelve(-40.0, 30.0))
    return Monthly(
        rain_mm=rain,
        wet_days=None if wet is None else [share * days for share, days in zip(wet, MONTH_DAYS, strict=True)],
        t_min_c=low,
        t_max_c=[t + more for t, more in zip(low, draw(_twelve(0.0, 20.0)), strict=True)],
        source=draw(words),
    )


changes = st.builds(ChangedClimate, _twelve(0.0, 3.0), _twelve(-5.0, 9.0), words).filter(lambda c: not c.is_none)
"""Changed climates that change something."""


_WHEN = st.datetimes().map(lambda when: when.isoformat(timespec="seconds") + "+02:00")


@st.composite
def sites(draw: st.DrawFn, *, most_things: int = 12) -> Site:
    """A valid site: things of any kinds in any order, settings, survey, monthly figures and log.

    No ground, no underlay and no record of days.
    """
    kinds = draw(st.lists(st.sampled_from(KINDS), max_size=most_things))
    by_kind: dict[str, list[str]] = {}
    for kind in kinds:
        ids = by_kind.setdefault(kind.kind, [])
        ids.append(f"{kind.kind}-{len(ids) + 1}")
    waiting = {kind: list(ids) for kind, ids in by_kind.items()}
    placed = tuple(_hung(draw, draw(things(kind, waiting[kind.kind].pop(0))), by_kind) for kind in kinds)
    return Site(
        name=draw(words.filter(bool)),
        about=draw(words),
        crs=draw(st.sampled_from(["", "EPSG:2154", "EPSG:28355"])),
        settings=draw(site_settings()),
        things=placed,
        survey=draw(surveys(tuple(by_kind.get(LevelPeg.kind, ())))),
        monthly=draw(st.none() | monthlies()),
        change=draw(st.none() | changes),
        log=tuple(draw(st.lists(st.builds(LogEntry, _WHEN, words.filter(bool)), max_size=3))),
    )
