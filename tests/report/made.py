"""Invented sites and answers that the report's tests draw."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from types import SimpleNamespace

import numpy as np
import shapely
from affine import Affine
from shapely import LineString, Point, Polygon, box

from gardenwater.assess.answers import Answers, BedReach, BestReach, ReachAnswer, Status, Sureness
from gardenwater.findings import Finding, Question
from gardenwater.ground import Ground, GroundAnswer, GroundOrigin
from gardenwater.reach.reason import Reason
from gardenwater.report.drawing import Dots, Drawing, Group, Mark, Picture, Points, Shape, Strokes, Text
from gardenwater.report.palette import Scheme, palette
from gardenwater.site import things as t
from gardenwater.site.model import Site


def one_of_each() -> tuple[t.Thing, ...]:
    """One thing of each of the 25 kinds, apart from one another, on 60 m by 40 m."""
    return (
        t.Boundary(id="boundary", shape=box(1, 1, 59, 39)),
        t.Building(id="building", name="House", shape=box(4.3, 26.3, 13.7, 33.7)),
        t.Roof(id="roof", name="House", shape=box(4, 26, 14, 34)),
        t.Gutter(id="gutter", shape=LineString([(4, 26), (14, 26)]), roof="roof", downpipe="downpipe"),
        t.Downpipe(id="downpipe", name="South pipe", shape=Point(14, 26), roof="roof"),
        t.Diverter(id="diverter", name="Diverter", shape=Point(14.4, 25.9), downpipe="downpipe", tank="tank"),
        t.FirstFlush(id="first_flush", shape=Point(14, 25.2), downpipe="downpipe"),
        t.Tank(id="tank", name="Shed tank", shape=Point(17, 25)),
        t.Tank(id="tank_2", name="Butt", shape=Point(21, 25), form=t.TankForm.BOX, width_m=0.8, length_m=1.0),
        t.Tap(id="tap", shape=Point(18, 23), tank="tank"),
        t.Link(id="link", shape=LineString([(17, 25), (21, 25)]), tank_a="tank", tank_b="tank_2"),
        t.WateringLine(id="watering_line", shape=LineString([(17, 25), (20, 18), (30, 16)]), tank="tank"),
        t.Bed(id="bed", name="Beans", shape=box(26, 10, 38, 15)),
        t.Overflow(id="overflow", shape=LineString([(21, 25), (23, 23), (26, 22)]), tank="tank_2"),
        t.Pond(id="pond", name="Pond", shape=Point(45, 12).buffer(3)),
        t.Soakaway(id="soakaway", name="Soakaway", shape=box(28, 20, 32, 23)),
        t.RainGarden(id="rain_garden", name="Rain garden", shape=box(2, 33, 6, 36)),
        t.Earthwork(id="earthwork", name="Terrace", shape=box(50, 34, 56, 38)),
        t.Swale(id="swale", name="Swale", shape=LineString([(36, 20), (42, 21), (50, 20)])),
        t.Ditch(id="ditch", name="Ditch", shape=LineString([(36, 25), (42, 24), (50, 22)])),
        t.Bank(id="bank", shape=LineString([(36, 30), (50, 31)])),
        t.Door(id="door", shape=Point(9, 26.3)),
        t.Wall(id="wall", shape=LineString([(20, 30), (30, 30), (30, 36)])),
        t.Tree(id="tree", shape=Point(54, 33).buffer(2)),
        t.Path(id="path", shape=LineString([(16, 20), (16, 3), (40, 4)])),
        t.KeepDry(id="keep_dry", shape=box(2.5, 24.5, 15.5, 35.5), reason="house wall"),
        t.LevelPeg(id="level_peg", name="Peg 1", shape=Point(5, 10), level_m=98.2),
        t.SlopeArrow(id="slope_arrow", shape=LineString([(5, 18), (9, 13)]), one_in=14),
    )


def garden() -> Site:
    """A site with one thing of each kind."""
    return Site(name="Trial garden", things=one_of_each())


@cache
def slope(*, cell_m: float = 0.5, fall: float = 0.1) -> Ground:
    """A plane of 60 m by 40 m that falls to the south; level 100 m at its middle row."""
    rows, cols = int(40 / cell_m), int(60 / cell_m)
    y = 40 - (np.arange(rows) + 0.5) * cell_m
    levels = np.repeat((100 + fall * (y - 20))[:, None], cols, axis=1)
    return Ground(levels, Affine(cell_m, 0, 0, 0, -cell_m, 40))


def ground_answer(ground: Ground) -> GroundAnswer:
    """A ground as it comes from a raster."""
    return GroundAnswer(
        ground=ground,
        origin=GroundOrigin.RASTER,
        uncertainty_m=None,
        hull=None,
        notices=(),
        level_error_m=0.05,
    )


def best_reach(ground: Ground, *, water_level_m: float = 100.0, barrier: Polygon | None = None) -> BestReach:
    """What water at a level would reach if nothing were lost on the way; minutes grow from east (0.5) to west (16)."""
    rows, cols = ground.shape
    x = ground.transform.c + (np.arange(cols) + 0.5) * ground.cell_x_m
    y = ground.transform.f - (np.arange(rows) + 0.5) * ground.cell_y_m
    head = (water_level_m - ground.level_m).astype(np.float32)
    reason = np.where(head >= 0, Reason.IN_REACH, Reason.TOO_HIGH).astype(np.uint8)
    if barrier is not None:
        reason[shapely.contains_xy(barrier, *np.meshgrid(x, y))] = Reason.BARRIER
    within = reason == Reason.IN_REACH
    minutes = 0.5 * 2.0 ** (5 * (x[-1] - x) / (x[-1] - x[0]))
    west_to_east = np.broadcast_to(minutes.astype(np.float32), ground.shape)
    sure = np.where(head >= 0.2, Sureness.SURE, Sureness.MARGINAL)
    return BestReach(
        minutes_per_can=np.where(within, west_to_east, np.nan).astype(np.float32),
        residual_head_m=np.where(within, head, np.nan).astype(np.float32),
        distance_m=np.where(within, 10.0, np.nan).astype(np.float32),
        flow_l_min=np.where(within, 10 / west_to_east, np.nan).astype(np.float32),
        reason=reason,
        tank_index=np.where(within, 0, -1).astype(np.int16),
        sureness=np.where(within, sure, Sureness.OUT).astype(np.uint8),
    )


def bed_reach(status: Status = Status.SURE, **changes: float) -> BedReach:
    """What a tank does for the bed."""
    figures: dict[str, float] = {
        "minutes_per_can": 2.5,
        "spare_head_m": 0.5,
        "margin_m": 0.5,
        "error_m": 0.05,
        "needed_level_m": 99.0,
        "share_in_reach": 1.0,
        "usable_l": 300.0,
        "usable_full_l": 900.0,
        "too_high_m": 0.0,
        "distance_m": 20.0,
    }
    reason = Reason.TOO_HIGH if status is Status.OUT else Reason.IN_REACH
    return BedReach(bed="bed", tank="tank", status=status, at=(32.0, 12.0), reason=reason, **{**figures, **changes})


def reach_answers(site: Site, *, coarse: bool = False, findings: tuple[Finding, ...] = ()) -> Answers:
    """Answers with a ground and the best reach of all tanks."""
    ground = slope()
    tank = SimpleNamespace(tank="tank", bed=lambda _: bed_reach())  # no map of its own
    reach = ReachAnswer(ground=ground, tanks=(tank,), best=best_reach(ground), beds=(bed_reach(),), beds_reached=1)  # type: ignore[arg-type]
    return Answers(site=site, coarse=coarse, ground=ground_answer(ground), reach=reach, findings=findings)


def every_mark(marks: tuple[Mark, ...] | list[Mark]) -> Iterator[Mark]:
    """All marks, those in groups too."""
    for mark in marks:
        if isinstance(mark, Group):
            yield from every_mark(mark.marks)
        else:
            yield mark


def marks_in(drawing: Drawing) -> list[Mark]:
    """All marks of a drawing."""
    return [mark for layer in drawing for mark in every_mark(layer.marks)]


def roles_of(mark: Mark) -> set[str]:
    """The roles that a mark asks for."""
    match mark:
        case Shape():
            return {part.role for part in (mark.fill, mark.pen, mark.casing) if part is not None}
        case Strokes():
            return {pen.role for pen in (mark.pen, mark.casing) if pen is not None}
        case Dots():
            return {mark.role}
        case Text():
            return {mark.role} | ({mark.casing.role} if mark.casing is not None else set())
        case Picture():
            return {fill.role for fill in mark.table or () if fill is not None}
    return set()


def unknown_roles(marks: list[Mark]) -> set[str]:
    """Roles that one of the palettes does not have."""
    asked = set().union(*(roles_of(mark) for mark in marks)) if marks else set()
    return {role for scheme in Scheme for role in asked if role not in palette(scheme).roles}


def points_in(mark: Mark) -> Points:
    """All points of a mark, px."""
    match mark:
        case Shape():
            return np.concatenate([part.points for part in mark.path])
        case Strokes():
            return mark.ends.reshape(-1, 2)
        case Dots():
            return mark.points
        case Text():
            return np.array(((mark.x, mark.y),))
    return np.empty((0, 2))


ANSWERED = (Question.GROUND, Question.CATCH, Question.REACH, Question.OVERFLOW)
