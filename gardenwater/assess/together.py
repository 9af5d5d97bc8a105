"""What the lines that are drawn from a tank give with all their ends open at once.

A line that begins on another one branches off it there. Fittings are charged at the start of each line, the exit and
its device at its end. Humps on the way are looked at by the map and not here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from shapely import LineString, Point

from gardenwater.assess.answers import EndFlow
from gardenwater.assess.lines import hydraulic_line
from gardenwater.ground import Ground, level_at
from gardenwater.hydraulics import Line, Piece, Pipe, outlet_head_m, run_network
from gardenwater.site.things import Tank, WateringLine

BRANCH_M = 0.3
"""A line that begins so near another one branches off it (judgement, no source)."""
_TANK = "tank"
_SHORTEST_M = 0.02


@dataclass(frozen=True, slots=True)
class _Run:
    """A drawn line from where it begins. off: the run that it branches off (None: the tank), and how far along that."""

    id: str
    way: LineString
    line: Line
    end_level_m: float
    off: _Run | None = None
    off_at_m: float = 0.0

    @property
    def start(self) -> str:
        """The place where it begins."""
        return _TANK if self.off is None else self.off.place_at(self.off_at_m)

    @property
    def end(self) -> str:
        """The place where it ends."""
        return f"{self.id} end"

    def place_at(self, at_m: float) -> str:
        """The place so far along it."""
        if at_m <= _SHORTEST_M:
            return self.start
        return self.end if at_m >= self.way.length - _SHORTEST_M else f"{self.id} at {at_m:.3f}"


def flows_together(
    tank: Tank, lines: Sequence[WateringLine], ground: Ground, *, water_level_m: float
) -> tuple[EndFlow, ...]:
    """What each drawn line of a tank gives at its end, alone and with all others open, in the lines' order.

    Lines whose end has no level are left out; one that another goes on from at its end has no end of its own.
    """
    runs = _runs(tank, lines, ground)
    pipes = [pipe for run in runs for pipe in _pipes(run, runs)]
    open_ends = {pipe.end for pipe in pipes if pipe.outlet}
    ends = [run for run in runs if run.end in open_ends]
    heads = {run.end: outlet_head_m(run.end_level_m, run.line) for run in ends}
    together = _out(pipes, heads, water_level_m)
    found = []
    for run in ends:
        only = [replace(pipe, outlet=pipe.end == run.end) for pipe in pipes]
        alone = _out(only, {run.end: heads[run.end]}, water_level_m)
        x, y = run.way.coords[-1]
        found.append(EndFlow(run.id, (x, y), alone[run.end], together[run.end]))
    order = [line.id for line in lines]
    return tuple(sorted(found, key=lambda end: order.index(end.line)))


def _out(pipes: Sequence[Pipe], heads: dict[str, float], water_level_m: float) -> dict[str, float]:
    """What each outlet gives, L/min."""
    flows = run_network(pipes, fixed_head_m={_TANK: water_level_m, **heads})
    return {pipe.end: flow for pipe, flow in zip(pipes, flows.flow_l_min, strict=True) if pipe.outlet}


def _runs(tank: Tank, lines: Sequence[WateringLine], ground: Ground) -> list[_Run]:
    """The lines from the tank, then those that branch off them, and so on; what touches none is led from the tank."""
    waiting = [run for drawn in lines if (run := _run(tank, drawn, ground)) is not None]
    near_m = BRANCH_M + max(tank.width_m, tank.length_m)
    placed = [run for run in waiting if Point(run.way.coords[0]).distance(tank.shape) <= near_m]
    waiting = [run for run in waiting if run not in placed]
    while waiting:
        run = next((run for run in waiting if _trunk(run, placed) is not None), waiting[0])
        waiting.remove(run)
        trunk = _trunk(run, placed)
        begins = Point(run.way.coords[0])
        placed.append(run if trunk is None else replace(run, off=trunk, off_at_m=float(trunk.way.project(begins))))
    return placed


def _run(tank: Tank, drawn: WateringLine, ground: Ground) -> _Run | None:
    way = drawn.shape
    if Point(way.coords[-1]).distance(tank.shape) < Point(way.coords[0]).distance(tank.shape):
        way = way.reverse()
    level_m = level_at(ground, *way.coords[-1])
    return None if math.isnan(level_m) else _Run(drawn.id, way, hydraulic_line(drawn), level_m)


def _trunk(run: _Run, placed: Sequence[_Run]) -> _Run | None:
    """The nearest of those that it may branch off."""
    begins = Point(run.way.coords[0])
    near = [(other.way.distance(begins), number) for number, other in enumerate(placed)]
    return placed[min(near)[1]] if near and min(near)[0] <= BRANCH_M else None


def _pipes(run: _Run, runs: Sequence[_Run]) -> list[Pipe]:
    """A line cut where others branch off it."""
    length = run.way.length
    branches = {other.off_at_m for other in runs if other.off is not None and other.off.id == run.id}
    inner = sorted(at for at in branches if _SHORTEST_M < at < length - _SHORTEST_M)
    goes_on = any(at >= length - _SHORTEST_M for at in branches)
    pipes = []
    for low, high in pairwise([0.0, *inner, length]):
        last = high == length
        k = (run.line.fittings_k - run.line.exit_k if low == 0.0 else 0.0) + (run.line.exit_k if last else 0.0)
        before, bore = _pieces(run.line, low, high)
        line = replace(run.line, bore_mm=bore.bore_mm, fittings_k=k, lead=before)
        pipes.append(Pipe(run.place_at(low), run.place_at(high), bore.length_m, line, outlet=last and not goes_on))
    return pipes


def _pieces(line: Line, low: float, high: float) -> tuple[tuple[Piece, ...], Piece]:
    """The pieces of a line between two distances along it: those before the last there, and that."""
    found, at = [], 0.0
    for piece in (*line.lead, Piece(line.bore_mm, max(high, 0.0), line.roughness_mm)):
        within = min(high, at + piece.length_m) - max(low, at)
        if within > 0.0:
            found.append(replace(piece, length_m=within))
        at += piece.length_m
    return tuple(found[:-1]), found[-1]
