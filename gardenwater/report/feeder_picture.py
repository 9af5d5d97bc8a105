"""Which downpipe feeds which place for a tank, as a picture: what parts their ground, how far each one's comes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import shapely
from affine import Affine
from numpy.typing import NDArray

from gardenwater.ground import Ground
from gardenwater.report.drawing import Mark, Pen, Points, Rect, Shape, Subpath
from gardenwater.report.fields import Curve, Curves, Field, equal_lines
from gardenwater.report.labels import Label, Line, LineWords
from gardenwater.report.signs.context import Drafting
from gardenwater.report.styles import ANSWER_ITALIC
from gardenwater.report.view import View
from gardenwater.site.names import name_of
from gardenwater.units import Quantity, UnitSystem, text

if TYPE_CHECKING:
    from gardenwater.reach import StandMap

PARTED = Pen("roof_line", 1.2, dash=(2.0, 3.0))
_LEAST_RUN_M = 4.0
_LEAST_CELLS = 60
_ROOM_PX = (80.0, 14.0)


class Zone(NamedTuple):
    """Where a downpipe feeds: its id, and the middle of the widest stretch, m."""

    pipe: str
    x: float
    y: float


class Limit(NamedTuple):
    """A part of the feed limit: whose longest feeder ends there, and its line, m."""

    pipe: str
    points: Points


@dataclass(frozen=True, slots=True, eq=False)
class FeederPicture:
    """parted: lines between the ground of one downpipe and of another. zones: where each feeds. limits: by downpipe."""

    parted: Curves
    zones: tuple[Zone, ...]
    limits: tuple[Limit, ...]


def feeder_picture(made: StandMap, limit: list[Curve]) -> FeederPicture:
    """What is drawn of the feeders of a stand map. limit: how far the longest of any downpipe come."""
    feed, ground = _window(made)
    used = [int(number) for number in np.unique(feed) if number >= 0]
    curves: list[Curve] = []
    for number in used[:-1]:
        own, after = feed == number, feed > number
        parted = np.where(own | after, _mean(own) - _mean(after), np.float32(np.nan))
        curves += equal_lines(parted, ground, (0.0,), least_cells=6.0)
    zones = tuple(zone for number in used if (zone := _zone(feed == number, ground, made.feeds[number].key)))
    limits = tuple(part for curve in limit for part in _by_pipe(curve.points, made))
    return FeederPicture(Curves(curves), zones, limits)


def _window(made: StandMap) -> tuple[NDArray[np.int16], Ground]:
    """Which feed point serves each cell, on the part of the grid that feeders come to."""
    if not made.feeders:
        return made.feed, made.ground
    rows = slice(min(each.window[0].start for each in made.feeders), max(each.window[0].stop for each in made.feeders))
    cols = slice(min(each.window[1].start for each in made.feeders), max(each.window[1].stop for each in made.feeders))
    a, _, west, _, e, north = tuple(made.ground.transform)[:6]
    moved = Affine(a, 0.0, west + cols.start * a, 0.0, e, north + rows.start * e)
    return made.feed[rows, cols], Ground(made.ground.level_m[rows, cols], moved)


def _mean(yes: NDArray[np.bool_]) -> Field:
    """The share of yes among a cell and its eight neighbours."""
    padded = np.pad(yes.astype(np.float32), 1, mode="edge")
    across = padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:]
    mean: Field = (across[:-2] + across[1:-1] + across[2:]) / np.float32(9.0)
    return mean


def _zone(mask: NDArray[np.bool_], ground: Ground, pipe: str) -> Zone | None:
    """The middle of the widest stretch; None for a few cells."""
    from scipy.ndimage import distance_transform_edt

    if np.count_nonzero(mask) < _LEAST_CELLS:
        return None
    room = distance_transform_edt(np.pad(mask, 1))[1:-1, 1:-1]
    row, col = divmod(int(np.argmax(room)), mask.shape[1])
    return Zone(pipe, *ground.centre_of(row, col))


def _by_pipe(points: Points, made: StandMap) -> list[Limit]:
    """The runs of a line along which one downpipe's feeder is the nearest to come there."""
    owners = np.array([_nearest(made, float(x), float(y)) for x, y in points])
    edges = np.flatnonzero(np.diff(owners)) + 1
    found = []
    for first, last in zip((0, *edges), (*edges, len(points)), strict=True):
        run = points[first : last + 1]
        if owners[first] >= 0 and len(run) > 1 and shapely.LineString(run).length >= _LEAST_RUN_M:
            found.append(Limit(made.feeds[owners[first]].key, run))
    return found


def _nearest(made: StandMap, x: float, y: float) -> int:
    """The feed point whose feeder comes nearest to a place at the rim; -1 without one within a cell."""
    ground = made.ground
    col, row = int((x - ground.transform.c) / ground.cell_x_m), int((ground.transform.f - y) / ground.cell_y_m)
    best, number = np.inf, -1
    for each in made.feeders:
        top, left = row - each.window[0].start, col - each.window[1].start
        near = each.feeder_m[max(top - 1, 0) : max(top + 2, 0), max(left - 1, 0) : max(left + 2, 0)]
        least = float(np.fmin.reduce(near, axis=None, initial=np.inf))
        if least < best:
            best, number = least, each.feed
    return number


def parting_marks(picture: FeederPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """The lines between what one downpipe feeds and what another does."""
    lines = tuple(Subpath(curve.points) for curve in picture.parted.in_sight(view))
    pen = Pen(PARTED.role, PARTED.width_px, PARTED.dash, strength=strength)
    return [Shape(lines, pen=pen, casing=Pen("paper", 3.0))] if lines else []


def limit_words(
    picture: FeederPicture, most_m: float, on: Drafting, units: UnitSystem, factor: float
) -> list[LineWords]:
    """Words along the limit: how long a feeder from which downpipe ends there."""
    most, style = text(most_m, Quantity.LENGTH_M, units), ANSWER_ITALIC.scaled(factor)
    return [
        LineWords(
            on.view.all_to_px(part.points),
            f"{most} of feeder from {name_of(on.site, part.pipe)}",
            style,
            "roof_line",
            casing=True,
        )
        for part in picture.limits
    ]


def zone_labels(picture: FeederPicture, on: Drafting, factor: float) -> list[Label]:
    """Which downpipe feeds the ground round a place; nothing where there is but one."""
    labels = []
    style = ANSWER_ITALIC.scaled(factor)
    for zone in picture.zones if len(picture.zones) > 1 else ():
        x, y = on.view.to_px(zone.x, zone.y)
        if not on.view.sheet.holds(x, y):
            continue
        wide, high = _ROOM_PX
        room = (Rect(x - wide, y - high, 2 * wide, 2 * high).outline().points,)
        line = Line(f"fed from {name_of(on.site, zone.pipe)}", style, "roof_line")
        labels.append(Label(f"fed {zone.pipe}", 3, (line,), Rect(x - 1, y - 1, 2, 2), areas=room, pole=(x, y)))
    return labels
