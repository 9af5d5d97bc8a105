"""The water reach map as a picture: minutes per can in classes, their edges, what is marginal, what is slow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess import BestReach, Sureness, TankReach
from gardenwater.ground import Ground
from gardenwater.report.drawing import Cap, Dots, Fill, Mark, Pen, Picture, Points, Shape, Strokes, Subpath
from gardenwater.report.fields import (
    MOST_CELLS,
    Affine6,
    Curve,
    Curves,
    Field,
    corners,
    equal_lines,
    finer,
    rings_above,
    times_finer,
    to_view,
)
from gardenwater.report.ground_picture import lattice
from gardenwater.report.paths import hatch
from gardenwater.report.reach_frame import ReachFrame, reach_frame
from gardenwater.report.view import View

EDGES_MIN = (1.0, 2.0, 4.0, 8.0)
"""Edges of the classes, minutes per can: fixed, so that maps of different tanks and days compare."""

MARGINAL, SLOW = 6, 7
TABLE = (None, *(Fill(f"reach_{number}") for number in range(1, 6)), Fill("reach_marginal"), None)
"""Classes: 0 out, 1 to 5 by minutes, 6 marginal, 7 slow (dots only)."""

EDGE = Pen("water_line", 0.9)
LIMIT = Pen("water_line", 2.0)
_HATCH = Pen("water_line", 0.9)
_HATCH_EACH_PX = 6.0 * np.sqrt(0.5)
_SLOW_EACH_PX, _SLOW_PX = 5.0, 1.2
_NO_CLASSES = np.zeros((1, 1), dtype=np.uint8)


@dataclass(frozen=True, slots=True, eq=False)
class ReachPicture:
    """What is drawn of a reach map, on the map. Made once for each answer, off the window's thread.

    classes: uint8 (rows, cols), see `TABLE`. edges: by minutes per can. limit: where reach ends. reached, sure: rings
    round what is in reach and what is surely so, m. slow: whether some ground is slow. frame: for one frame of a drag
    all of it, and then there are no classes and no lines.
    """

    classes: NDArray[np.uint8]
    transform: Affine6
    edges: Curves
    limit: Curves
    reached: tuple[Points, ...]
    sure: tuple[Points, ...]
    slow: bool
    frame: ReachFrame | None = None


@dataclass(frozen=True, slots=True)
class _Fields:
    """Minutes, the head left and how sure it is, gone on under buildings so that no edge is drawn round them."""

    minutes: Field
    head_m: Field
    sure: Field
    slow: NDArray[np.bool_]


def frame_picture(ground: Ground, reach: TankReach | BestReach, before: ReachPicture | None = None) -> ReachPicture:
    """The same for one frame of a drag, in a few milliseconds. before: the picture of the frame before."""
    frame = reach_frame(ground, reach, None if before is None else before.frame)
    none = Curves([])
    return ReachPicture(_NO_CLASSES, corners(ground), none, none, (), (), slow=bool(frame.slow.any()), frame=frame)


def reach_picture(ground: Ground, reach: TankReach | BestReach) -> ReachPicture:
    """What is drawn of the reach of one tank or of the best of all."""
    source = reach.map if isinstance(reach, TankReach) else reach
    fields = _fields(ground, source.minutes_per_can, source.residual_head_m, source.reason, reach)
    times = times_finer(ground, MOST_CELLS)
    a, b, c, d, e, f = corners(ground)
    surely = np.where(fields.sure >= 0, fields.minutes, np.float32(np.nan))
    edges = equal_lines(np.log2(surely), ground, tuple(float(np.log2(edge)) for edge in EDGES_MIN))
    return ReachPicture(
        classes=_classes(fields, times),
        transform=(a / times, b / times, c, d / times, e / times, f),
        edges=Curves([Curve(curve.points, float(2.0**curve.value)) for curve in edges]),
        limit=Curves(equal_lines(_known(fields.head_m, ground), ground, (0.0,), least_cells=4.0)),
        reached=tuple(rings_above(_bounded(fields.head_m), ground, 0.0)),
        sure=tuple(rings_above(fields.sure, ground, 0.0)),
        slow=bool(fields.slow.any()),
    )


def _bounded(head_m: Field) -> Field:
    """Head with bare paper well below nothing, so that the edge runs close to the last cell in reach."""
    return np.where(np.isnan(head_m), np.float32(-1.0), head_m)


def _known(head_m: Field, ground: Ground) -> Field:
    """The same with nothing where the ground has no level: its end is not where reach ends."""
    return np.where(np.isnan(ground.level_m), np.float32(np.nan), _bounded(head_m))


def _fields(
    ground: Ground, minutes: Field, head_m: Field, reason: NDArray[np.uint8], reach: TankReach | BestReach
) -> _Fields:
    from gardenwater.reach import Reason

    in_reach = reason == Reason.IN_REACH
    minutes = np.where(in_reach, minutes, np.float32(np.nan))
    head_m = np.where(in_reach, np.maximum(head_m, np.float32(1e-4)), np.float32(np.nan))
    sure = _sure(reach)
    head_m = _gone_on(head_m, ground.level_m)
    barrier = reason == Reason.BARRIER
    slow = reason == Reason.SLOW
    if barrier.any() and not barrier.all():
        from scipy.ndimage import distance_transform_edt

        row, col = distance_transform_edt(barrier, return_distances=False, return_indices=True)
        minutes, head_m, sure, slow = minutes[row, col], head_m[row, col], sure[row, col], slow[row, col]
    return _Fields(minutes, head_m, sure, slow)


def _sure(reach: TankReach | BestReach) -> Field:
    """A field that is above nothing where reach is sure: the margin less the error, or yes and no made smooth."""
    yes_or_no = np.where(reach.sureness == Sureness.SURE, np.float32(0.5), np.float32(-0.5))
    if isinstance(reach, BestReach):
        return _softened(yes_or_no)
    beyond = np.clip(reach.map.sure_m, np.float32(-0.5), np.float32(0.5))
    return np.where(np.isnan(beyond), yes_or_no, beyond)


def _softened(sure: Field) -> Field:
    """Yes and no as a field whose edge between cells is smooth: the mean of each cell and its eight neighbours."""
    padded = np.pad(sure, 1, mode="edge")
    across = padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:]
    mean: Field = (across[:-2] + across[1:-1] + across[2:]) / np.float32(9.0)
    return mean


def _gone_on(head_m: Field, level_m: Field) -> Field:
    """Head one cell beyond the reach, from the rise of the ground there: it says where between two cells reach ends."""
    beyond = np.full_like(head_m, np.nan)
    rows, cols = head_m.shape
    for down, across in ((0, 1), (0, -1), (1, 0), (-1, 0), (1, 1), (1, -1), (-1, 1), (-1, -1)):
        here = (slice(max(down, 0), rows + min(down, 0)), slice(max(across, 0), cols + min(across, 0)))
        there = (slice(max(-down, 0), rows + min(-down, 0)), slice(max(-across, 0), cols + min(-across, 0)))
        guess = head_m[there] + level_m[there] - level_m[here]
        beyond[here] = np.fmax(beyond[here], guess)
    return np.where(np.isnan(head_m), np.minimum(beyond, np.float32(-1e-4)), head_m)


def _classes(fields: _Fields, times: int) -> NDArray[np.uint8]:
    """Classes on cells `times` as fine."""
    minutes, head_m = finer(_spread(fields.minutes), times), finer(_bounded(fields.head_m), times)
    sure = finer(fields.sure, times)
    with np.errstate(invalid="ignore"):
        classes = (np.digitize(minutes, EDGES_MIN) + 1).astype(np.uint8)
        classes[sure < 0] = MARGINAL
        classes[~(head_m >= 0) | np.isnan(minutes)] = 0
    slow = np.repeat(np.repeat(fields.slow, times, axis=0), times, axis=1)
    classes[slow & (classes == 0)] = SLOW
    classes.flags.writeable = False
    return classes


def _spread(minutes: Field) -> Field:
    """Minutes one cell beyond the reach, so that the wash runs up to its limit."""
    padded = np.pad(minutes, 1, constant_values=np.nan)
    rows, cols = minutes.shape
    around = [padded[1 + r : 1 + r + rows, 1 + c : 1 + c + cols] for r in (-1, 0, 1) for c in (-1, 0, 1)]
    spread: Field = np.where(np.isnan(minutes), np.fmax.reduce(around), minutes)
    return spread


def wash(picture: ReachPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """The classes, and dots where water arrives but slowly."""
    if picture.frame is not None:
        return picture.frame.marks(view, strength)
    marks: list[Mark] = [
        Picture(picture.classes, TABLE, to_view(picture.transform, view), smooth=True, strength=strength)
    ]
    if picture.slow:
        points = lattice(picture.classes, SLOW, picture.transform, view, _SLOW_EACH_PX)
        marks.append(Dots(points, _SLOW_PX, "reach_5", strength))
    return marks


def marginal_hatch(picture: ReachPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Slanted lines over what is marginal: between the edge of what is reached and the edge of what surely is."""
    if not picture.reached:
        return []
    rings = [view.all_to_px(ring) for ring in (*picture.reached, *picture.sure)]
    strokes = hatch(rings, float(_HATCH_EACH_PX), -45.0, within=view.sheet)
    strokes = strokes[np.hypot(*(strokes[:, 1] - strokes[:, 0]).T) > 1.0]
    return [Strokes(strokes, Pen(_HATCH.role, _HATCH.width_px, strength=strength))] if len(strokes) else []


def limit_marks(picture: ReachPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Edges of the classes, and the limit of reach."""
    edges = tuple(Subpath(curve.points) for curve in picture.edges.in_sight(view))
    limit = tuple(Subpath(curve.points) for curve in picture.limit.in_sight(view))
    marks: list[Mark] = []
    if edges:
        marks.append(Shape(edges, pen=Pen(EDGE.role, EDGE.width_px, strength=0.8 * strength)))
    if limit:
        marks.append(Shape(limit, pen=Pen(LIMIT.role, LIMIT.width_px, cap=Cap.ROUND, strength=strength)))
    return marks
