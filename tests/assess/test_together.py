"""Several lines of one tank at once, on flat ground."""

from __future__ import annotations

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point

from gardenwater.assess.together import flows_together
from gardenwater.ground import Ground
from gardenwater.hydraulics import Line, Piece, flow_l_min
from gardenwater.site.things import Tank, WateringLine

FLAT = Ground(np.full((80, 80), 100.0), Affine(0.5, 0, 0, 0, -0.5, 40))
TANK = Tank(id="tank-1", shape=Point(2, 20))


def line(number: int, *points: tuple[float, float], **fields: object) -> WateringLine:
    return WateringLine(id=f"watering_line-{number}", shape=LineString(points), tank="tank-1", **fields)  # type: ignore[arg-type]


def test_lines_of_their_own_do_not_mind_each_other() -> None:
    drawn = [line(1, (2, 20), (22, 20)), line(2, (2, 20), (2, 30), bore="hose-13")]
    first, second = flows_together(TANK, drawn, FLAT, water_level_m=101.0)
    assert first.line == "watering_line-1"
    assert first.at == (22, 20)
    assert first.together_l_min == pytest.approx(float(flow_l_min(1.0, 20.0, Line(19.05))), rel=1e-6)
    assert first.alone_l_min == pytest.approx(first.together_l_min, rel=1e-6)
    assert second.together_l_min == pytest.approx(float(flow_l_min(1.0, 10.0, Line(12.7))), rel=1e-6)


def test_a_branch_takes_from_the_line_it_leaves() -> None:
    drawn = [line(2, (12, 20.1), (12, 30)), line(1, (22, 20), (2, 20))]  # the trunk is drawn towards the tank
    branch, trunk = flows_together(TANK, drawn, FLAT, water_level_m=101.0)
    assert (branch.line, trunk.line) == ("watering_line-2", "watering_line-1")
    alone = float(flow_l_min(1.0, 20.0, Line(19.05)))
    assert trunk.alone_l_min == pytest.approx(alone, rel=1e-6)
    assert trunk.together_l_min < alone < trunk.together_l_min + branch.together_l_min
    # the branch alone: 10 m of trunk with its fittings less the exit, then its own 9.9 m with all of its own
    via = Line(19.05, fittings_k=2.5, lead=(Piece(19.05, 10.0, fittings_k=1.5),))
    assert branch.alone_l_min == pytest.approx(float(flow_l_min(1.0, 9.9, via)), rel=1e-6)


def test_a_line_that_goes_on_as_another_has_no_end_of_its_own() -> None:
    drawn = [line(1, (2, 20), (12, 20), bore="pe-32"), line(2, (12, 20), (22, 20))]
    (end,) = flows_together(TANK, drawn, FLAT, water_level_m=101.0)
    assert end.line == "watering_line-2"


def test_pieces_of_a_line_are_cut_where_a_branch_leaves() -> None:
    drawn = [line(1, (2, 20), (22, 20), pieces="pe-32 8"), line(2, (14, 20), (14, 30))]
    trunk, _ = flows_together(TANK, drawn, FLAT, water_level_m=101.0)
    whole = Line(19.05, lead=(Piece(26.0, 8.0),))
    assert trunk.alone_l_min == pytest.approx(float(flow_l_min(1.0, 12.0, whole)), rel=1e-6)


def test_off_the_ground_and_too_high() -> None:
    drawn = [line(1, (2, 20), (60, 20)), line(2, (2, 20), (22, 20))]
    (end,) = flows_together(TANK, drawn, FLAT, water_level_m=99.0)
    assert end.line == "watering_line-2"
    assert end.together_l_min == 0.0
    assert flows_together(TANK, [], FLAT, water_level_m=101.0) == ()
