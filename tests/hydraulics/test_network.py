"""Several ends at once, against EPANET through wntr, and against the single line where there is one."""

from __future__ import annotations

import math
import tempfile
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.hydraulics import Line, flow_l_min
from gardenwater.hydraulics.friction import reynolds_per_l_min
from gardenwater.hydraulics.network import Pipe, outlet_head_m, run_network

EPANET_C = 19.2
"""Its water has a viscosity of 1.0219e-6 m2/s, that of 19.2 °C, see tests/reference/gravity_lines/README.md."""

_M3_S = 1.0 / 60_000.0


def test_a_single_line_gives_what_the_line_gives() -> None:
    line = Line(19.05, lift_m=0.2, least_head_m=0.1)
    flows = run_network(
        [Pipe("tank", "end", 20.0, line, outlet=True)],
        fixed_head_m={"tank": 101.5, "end": outlet_head_m(100.0, line)},
    )
    assert flows.flow_l_min[0] == pytest.approx(float(flow_l_min(1.2, 20.0, line)), rel=1e-9)


def test_equal_branches_share_and_each_gives_less_than_alone() -> None:
    trunk, branch = Line(25, fittings_k=0.6), Line(19.05, fittings_k=2.0)
    pipes = [
        Pipe("tank", "fork", 15.0, trunk),
        Pipe("fork", "a", 10.0, branch, outlet=True),
        Pipe("fork", "b", 10.0, branch, outlet=True),
    ]
    heads = {"tank": 101.0, "a": 100.0, "b": 100.0}
    both = run_network(pipes, fixed_head_m=heads)
    alone = run_network(pipes[:2], fixed_head_m={"tank": 101.0, "a": 100.0})
    assert both.flow_l_min[1] == pytest.approx(both.flow_l_min[2], rel=1e-9)
    assert both.flow_l_min[0] == pytest.approx(both.out_l_min(pipes), rel=1e-9)
    assert both.flow_l_min[1] < alone.flow_l_min[1] < both.out_l_min(pipes)


def test_an_end_above_the_head_before_it_takes_nothing_back() -> None:
    line = Line(19.05)
    pipes = [
        Pipe("tank", "fork", 15.0, Line(25, fittings_k=0.6)),
        Pipe("fork", "low", 10.0, line, outlet=True),
        Pipe("fork", "high", 10.0, line, outlet=True),
    ]
    flows = run_network(pipes, fixed_head_m={"tank": 101.0, "low": 100.0, "high": 100.9})
    assert flows.flow_l_min[2] == 0.0
    assert flows.flow_l_min[1] > 0.0
    assert flows.head_m["fork"] < 100.9


def test_a_ring_is_fed_from_both_sides() -> None:
    pipe = Line(25, fittings_k=0.0)
    ring = [
        Pipe("tank", "west", 5.0, pipe),
        Pipe("west", "south", 20.0, pipe),
        Pipe("west", "north", 20.0, pipe),
        Pipe("south", "east", 20.0, pipe),
        Pipe("north", "east", 20.0, pipe),
        Pipe("east", "end", 5.0, Line(25, fittings_k=2.0), outlet=True),
    ]
    flows = run_network(ring, fixed_head_m={"tank": 101.0, "end": 100.0}).flow_l_min
    np.testing.assert_allclose(np.array(flows[1:5]) * 2.0, flows[0], rtol=1e-7)


def test_what_cannot_be_solved_is_said() -> None:
    line = Line(19.05)
    with pytest.raises(InputError, match="Nothing feeds far"):
        run_network([Pipe("far", "off", 1.0, line)], fixed_head_m={"tank": 1.0})
    with pytest.raises(InputError, match="Nothing holds the water back"):
        run_network([Pipe("tank", "a", 0.0, Line(19, fittings_k=0.0))], fixed_head_m={"tank": 1.0, "a": 0.0})
    assert run_network([], fixed_head_m={"tank": 1.0}).flow_l_min == ()


def epanet(pipes: list[Pipe], heads: dict[str, float]) -> list[float]:
    """Flows by EPANET, Darcy-Weisbach, L/min; each outlet is a reservoir behind its exit's loss."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import wntr

        network = wntr.network.WaterNetworkModel()
        network.options.hydraulic.headloss = "D-W"
        network.options.hydraulic.accuracy = 1e-6
        network.options.hydraulic.trials = 400
        network.options.time.duration = 0
        for place in sorted({place for pipe in pipes for place in (pipe.start, pipe.end)}):
            if place in heads:
                network.add_reservoir(place, base_head=heads[place])
            else:
                network.add_junction(place, base_demand=0.0, elevation=0.0)
        for number, pipe in enumerate(pipes):
            line = pipe.line
            bore_m, rough_m, k = line.bore_m, line.roughness_mm / 1000.0, line.fittings_k
            network.add_pipe(
                f"p{number}", pipe.start, pipe.end, pipe.length_m, bore_m, rough_m, k, check_valve=pipe.outlet
            )
        with tempfile.TemporaryDirectory() as folder:
            results = wntr.sim.EpanetSimulator(network).run_sim(file_prefix=str(Path(folder) / "network"))
    return [float(results.link["flowrate"].iloc[0][f"p{number}"]) / _M3_S for number in range(len(pipes))]


@st.composite
def trees(draw: st.DrawFn) -> tuple[list[Pipe], dict[str, float]]:
    """A trunk of one to three pieces, each with a branch that ends open."""
    pipes, heads, before = [], {"tank": 101.0 + draw(st.floats(0.0, 2.0))}, "tank"
    bores = st.sampled_from([16.0, 19.05, 25.4, 32.6, 40.8])
    for number in range(draw(st.integers(1, 3))):
        trunk = Line(draw(bores), fittings_k=draw(st.floats(0, 3)), water_c=EPANET_C)
        pipes.append(Pipe(before, f"fork{number}", draw(st.floats(2, 30)), trunk))
        branch = Line(
            draw(bores), draw(st.sampled_from([0.0015, 0.03])), fittings_k=draw(st.floats(1.5, 9)), water_c=EPANET_C
        )
        pipes.append(Pipe(f"fork{number}", f"end{number}", draw(st.floats(2, 30)), branch, outlet=True))
        heads[f"end{number}"] = 99.5 + draw(st.floats(0.0, 1.0))
        before = f"fork{number}"
    return pipes, heads


@settings(max_examples=25)
@given(trees())
def test_branched_networks_agree_with_epanet(tree: tuple[list[Pipe], dict[str, float]]) -> None:
    pipes, heads = tree
    flows = run_network(pipes, fixed_head_m=heads).flow_l_min
    reynolds = [abs(flow) * reynolds_per_l_min(pipe.line) for flow, pipe in zip(flows, pipes, strict=True)]
    # a branch about to shut has no head to speak of, and EPANET stops at its own accuracy
    assume(all(number > 1000.0 for number in reynolds))
    through = any(2000.0 < number < 4400.0 for number in reynolds)
    expected = epanet(pipes, heads)
    assert all(math.isfinite(flow) for flow in expected)
    np.testing.assert_allclose(flows, expected, rtol=0.04 if through else 0.01)
