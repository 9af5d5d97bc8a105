"""Against plain Python that looks at every pair of cells: equal but for 0.5 % of the loss and 5 mm."""

from __future__ import annotations

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from gardenwater.hydraulics import Line, friction_slope
from gardenwater.reach import Reason, water_reach
from gardenwater.reach.passes import law_of
from tests.reach.grounds import ground_of
from tests.reach.oracle import ways

BAND_M = 0.005
BAND_SHARE = 0.005
LEVEL_M = 1.0


@st.composite
def grounds(draw: st.DrawFn) -> NDArray[np.float64]:
    """Walls, hummocks, or ridges with gaps, up to 10 x 10 cells, some without data; one cell is low for the tank."""
    rows, cols = draw(st.integers(2, 10)), draw(st.integers(2, 10))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    kind = draw(st.sampled_from(["walls", "hummocks", "ridges"]))
    if kind == "walls":
        levels = np.where(rng.random((rows, cols)) < 0.25, 9.0, 0.0)
    elif kind == "hummocks":
        levels = rng.normal(0.2, 0.5, (rows, cols))
    else:
        levels = np.where(rng.random((rows, cols)) < 0.3, rng.uniform(0.5, 1.2, (rows, cols)), 0.1)
    levels[rng.random((rows, cols)) < draw(st.sampled_from([0.0, 0.1]))] = np.nan
    return levels.astype(np.float32).astype(np.float64)


@settings(max_examples=60)
@given(
    grounds(),
    st.floats(0, 1),
    st.tuples(st.floats(-0.45, 0.45), st.floats(-0.45, 0.45)),
    st.tuples(st.floats(0.5, 2.0), st.floats(0.5, 2.0)),
    st.sampled_from([0.5, 2.0, 5.0]),
)
def test_reach_lies_between_two_oracles(
    levels: NDArray[np.float64], where: float, off: tuple[float, float], cell_m: tuple[float, float], flow: float
) -> None:
    line = Line(19, flow_l_min=flow)
    slope = float(friction_slope(flow, line))
    assert slope < 0.01
    flat = min(int(where * levels.size), levels.size - 1)
    tank = (flat // levels.shape[1], flat % levels.shape[1])
    levels[tank] = 0.1
    off_m = (off[0] * cell_m[0], off[1] * cell_m[1])
    ground = ground_of(levels, *cell_m)
    x, y = ground.centre_of(*tank)
    answer = water_reach(ground, at=(x + off_m[0], y - off_m[1]), water_level_m=LEVEL_M, line=line)
    a_way = law_of(line, LEVEL_M).a_way
    less = ways(levels, tank, off_m=off_m, cell_m=cell_m, a_way=a_way - BAND_M, slope=slope * (1 + BAND_SHARE))
    more = ways(levels, tank, off_m=off_m, cell_m=cell_m, a_way=a_way + BAND_M, slope=slope * (1 - BAND_SHARE))
    passed = np.isfinite(answer.flow_l_min) & (answer.reason == Reason.IN_REACH)
    for cell in np.ndindex(*levels.shape):
        if cell == tank:
            continue
        mine = float(answer.distance_m[cell])
        # the exit's velocity head is asked for at the end only: a cell may be passed and yet not be in reach
        delivers = law_of(line, LEVEL_M).a_end - BAND_M - slope * (1 + BAND_SHARE) * less.get(cell, math.inf)
        if delivers >= levels[cell]:
            assert passed[cell], cell
            assert slope * mine <= slope * less[cell] * (1 + BAND_SHARE) + BAND_M
        if passed[cell]:
            assert cell in more
            assert slope * mine >= slope * more[cell] * (1 - BAND_SHARE) - BAND_M


@settings(max_examples=40)
@given(grounds(), st.floats(0, 1), st.tuples(st.floats(0.5, 2.0), st.floats(0.5, 2.0)))
def test_standing_water_reaches_all_that_hangs_together(
    levels: NDArray[np.float64], where: float, cell_m: tuple[float, float]
) -> None:
    """In reach and slow together are the stretch of ground below the water that the tank stands on, cell by cell."""
    flat = min(int(where * levels.size), levels.size - 1)
    tank = (flat // levels.shape[1], flat % levels.shape[1])
    levels[tank] = 0.1
    line = Line(19, flow_l_min=20.0)
    ground = ground_of(levels, *cell_m)
    answer = water_reach(ground, at=ground.centre_of(*tank), water_level_m=LEVEL_M, line=line)
    reached, edge = {tank}, [tank]
    while edge:
        row, col = edge.pop()
        for ahead in ((row + 1, col), (row - 1, col), (row, col + 1), (row, col - 1)):
            inside = 0 <= ahead[0] < levels.shape[0] and 0 <= ahead[1] < levels.shape[1]
            if inside and ahead not in reached and levels[ahead] <= LEVEL_M:
                reached.add(ahead)
                edge.append(ahead)
    arrives = {cell for cell in np.ndindex(*levels.shape) if answer.reason[cell] in (Reason.IN_REACH, Reason.SLOW)}
    assert arrives == {cell for cell in reached if levels[cell] < LEVEL_M}
