"""Several ends at once: flows and heads in a small network of pipes.

The global gradient method (Todini and Pilati 1988, as in EPANET): Newton's rounds on the flows of all pipes and the
heads of all junctions together. What flows in meets what flows out at each junction, and along each pipe the head falls
by the loss of its flow. An open end is a place of fixed head with a valve that lets nothing back.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError
from gardenwater.hydraulics.friction import friction_slope
from gardenwater.hydraulics.line import Line
from gardenwater.hydraulics.losses import charge_m, exit_head_m, flow_l_min

Floats = NDArray[np.float64]

_ROUNDS = 200
_CLOSE_L_MIN = 1e-9
_LEAST_L_MIN = 1e-6
_NUDGE = 1e-6
_WORDS = "the network of pipes"


@dataclass(frozen=True, slots=True)
class Pipe:
    """A pipe from one place to another.

    line: bore, wall and fittings, and of an outlet what ends it. outlet: water leaves it at `end`, through its exit and
    emitters, and none comes back in; the fittings of any other pipe have no exit among them.
    """

    start: str
    end: str
    length_m: float
    line: Line
    outlet: bool = False


@dataclass(frozen=True, slots=True)
class Flows:
    """How the water runs.

    flow_l_min: by pipe, L/min, negative against its direction. head_m: by place, m above the datum.
    """

    flow_l_min: tuple[float, ...]
    head_m: Mapping[str, float]

    def out_l_min(self, pipes: Sequence[Pipe]) -> float:
        """What all outlets give together, L/min."""
        return sum(flow for flow, pipe in zip(self.flow_l_min, pipes, strict=True) if pipe.outlet)


def run_network(pipes: Sequence[Pipe], *, fixed_head_m: Mapping[str, float]) -> Flows:
    """The flows and heads of a network in which all outlets run at once.

    fixed_head_m: m above the datum, of the tanks (their water level) and of each outlet's end (the level that it
    delivers at, lift and least head included; see `outlet_head_m`). All other places are junctions. A pipe whose end
    stands higher than the head before it gives nothing. Raises InputError for a network without a fixed head, a pipe
    without loss, or a junction that no fixed head is connected to.
    """
    if not pipes:
        return Flows((), dict(fixed_head_m))
    _check(pipes, fixed_head_m)
    shut: set[int] = set()
    while True:
        flow, head = _solve(pipes, fixed_head_m, shut)
        backwards = {number for number, pipe in enumerate(pipes) if pipe.outlet and flow[number] < 0.0} - shut
        if not backwards:
            return Flows(tuple(map(float, flow)), head)
        shut |= backwards


def outlet_head_m(level_m: float, line: Line) -> float:
    """Head that stands at an outlet over ground at a level, m above the datum."""
    return level_m + line.held_back_m


def _check(pipes: Sequence[Pipe], fixed: Mapping[str, float]) -> None:
    reached = set(fixed)
    left = list(pipes)
    while True:
        joined = [pipe for pipe in left if pipe.start in reached or pipe.end in reached]
        if not joined:
            break
        reached |= {place for pipe in joined for place in (pipe.start, pipe.end)}
        left = [pipe for pipe in left if pipe not in joined]
    if left:
        raise InputError(f"Nothing feeds {left[0].start}.", where=_WORDS, mend="Lead each pipe from a tank.")
    for pipe in pipes:
        if not _loss(pipe, np.array([1.0]))[0] > 0.0:
            raise InputError(
                f"Nothing holds the water back from {pipe.start} to {pipe.end}.",
                where=_WORDS,
                mend="Give each pipe a length, or fittings with a loss.",
            )


def _loss(pipe: Pipe, flow: Floats) -> Floats:
    """Head lost by flows along a pipe, m; against it where they are negative."""
    size = np.maximum(np.abs(flow), _LEAST_L_MIN)
    lost = charge_m(size, pipe.line) + friction_slope(size, pipe.line) * pipe.length_m
    lost = lost + exit_head_m(size, pipe.line if pipe.outlet else replace(pipe.line, emitter_l_min=0.0))
    result: Floats = np.sign(flow) * lost * np.minimum(np.abs(flow) / _LEAST_L_MIN, 1.0)
    return result


def _steepness(pipe: Pipe, flow: float) -> float:
    """How the loss of a pipe rises with its flow, m for each L/min; never nothing."""
    at = max(abs(flow), _LEAST_L_MIN)
    both = _loss(pipe, np.array([at * (1.0 - _NUDGE), at * (1.0 + _NUDGE)]))
    return float(max((both[1] - both[0]) / (2.0 * _NUDGE * at), 1e-12))


def _solve(pipes: Sequence[Pipe], fixed: Mapping[str, float], shut: set[int]) -> tuple[Floats, dict[str, float]]:
    """Newton's rounds; flows by pipe (0 where shut) and heads by place."""
    open_pipes = [number for number in range(len(pipes)) if number not in shut]
    junctions = sorted({place for pipe in pipes for place in (pipe.start, pipe.end)} - set(fixed))
    row = {place: number for number, place in enumerate(junctions)}
    steps = np.zeros((len(open_pipes), len(junctions)))
    given = np.zeros(len(open_pipes))
    for at, number in enumerate(open_pipes):
        for place, sign in ((pipes[number].start, 1.0), (pipes[number].end, -1.0)):
            if place in row:
                steps[at, row[place]] = sign
            else:
                given[at] += sign * fixed[place]
    flow = np.array([_first_guess(pipes[number], fixed) for number in open_pipes])
    head = np.full(len(junctions), max(fixed.values()))
    for _ in range(_ROUNDS):
        loss = np.array([_loss(pipes[number], flow[at : at + 1])[0] for at, number in enumerate(open_pipes)])
        ease = 1.0 / np.array([_steepness(pipes[number], flow[at]) for at, number in enumerate(open_pipes)])
        # heads such that the flows that they drive, straightened out at the last ones, meet at each junction
        meets = steps.T @ (flow + ease * (given - loss))
        if junctions:
            # a junction between shut pipes has no flow to fix its head: it takes the least move
            head = np.linalg.lstsq(steps.T @ (ease[:, None] * steps), -meets, rcond=None)[0]
        moved = flow + ease * (steps @ head + given - loss) - flow
        flow = flow + moved
        if np.max(np.abs(moved), initial=0.0) <= _CLOSE_L_MIN * max(1.0, float(np.max(np.abs(flow), initial=0.0))):
            break
    whole = np.zeros(len(pipes))
    whole[open_pipes] = flow
    return whole, {**fixed, **{place: float(head[number]) for place, number in row.items()}}


def _first_guess(pipe: Pipe, fixed: Mapping[str, float]) -> float:
    """The flow under a metre of head, or under what there is between two fixed heads."""
    between = pipe.start in fixed and pipe.end in fixed
    head = abs(fixed[pipe.start] - fixed[pipe.end]) if between else 1.0
    line = pipe.line if pipe.outlet else replace(pipe.line, emitter_l_min=0.0)
    return float(flow_l_min(max(head, 1e-3), pipe.length_m, line))
