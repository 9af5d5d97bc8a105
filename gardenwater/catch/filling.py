"""Tanks that fill in a rain, one after the other becoming full."""

from __future__ import annotations

import math
from collections.abc import Mapping

from gardenwater.catch.leads import Wiring
from gardenwater.catch.running import Running, led_aside
from gardenwater.catch.vessels import Vessel
from gardenwater.site.model import Site
from gardenwater.site.things import Diverter, DiverterKind


class Filling:
    """The tanks as they fill: between two moments at which one becomes full, all flows are steady.

    vessels: the tanks, those that fill together as one. running: what runs in each downpipe. After `run`: taken_l and
    spilled_l by vessel; rest_l, what ran on down each pipe, and stopped_l, the part of it that went on because a
    diverter had stopped; all in L.
    """

    def __init__(
        self, site: Site, wires: Wiring, vessels: tuple[Vessel, ...], running: Mapping[str, Running], minutes: float
    ) -> None:
        self.wires = wires
        self.running = running
        self.vessels = vessels
        self.minutes = minutes
        self.diverters = {pipe: wires.diverters_on(site, pipe) for pipe in running}
        self.vessel_of = {tank: number for number, vessel in enumerate(vessels) for tank in vessel.rooms}
        self.tank_of = wires.tank_of
        self.room_l = [vessel.room_l for vessel in vessels]
        self.taken_l = [0.0] * len(vessels)
        self.spilled_l = [0.0] * len(vessels)
        self.rest_l: dict[str, float] = dict.fromkeys(running, 0.0)
        self.stopped_l: dict[str, float] = dict.fromkeys(running, 0.0)

    def run(self) -> None:
        """Fill from the beginning of the rain to its end."""
        left = self.minutes
        while left > 0:
            inflow = self._inflow()
            until = [self.room_l[n] / rate for n, rate in enumerate(inflow) if rate > 0 and self.room_l[n] > 0]
            step = min([left, *until])
            self._go_on(inflow, step)
            left -= step

    def _inflow(self) -> list[float]:
        """L/min into each vessel now."""
        inflow = [0.0] * len(self.vessels)
        for pipe in self.running:
            for diverter, rate in self._led(pipe).items():
                inflow[self.vessel_of[self.tank_of[diverter]]] += rate
        return inflow

    def _led(self, pipe: str) -> Mapping[str, float]:
        return led_aside(self.running[pipe].runs_l / self.minutes, self.diverters[pipe], self._is_open)

    def _is_open(self, diverter: Diverter) -> bool:
        tank = self.tank_of[diverter.id]
        number = self.vessel_of[tank]
        stops = diverter.form is DiverterKind.STOPS and tank in self.vessels[number].last
        return not (stops and self.room_l[number] <= 0)

    def _go_on(self, inflow: list[float], minutes: float) -> None:
        for pipe, water in self.running.items():
            flow = water.runs_l / self.minutes
            rest = flow - math.fsum(self._led(pipe).values())
            open_rest = flow - math.fsum(led_aside(flow, self.diverters[pipe]).values())
            self.rest_l[pipe] += rest * minutes
            self.stopped_l[pipe] += max(rest - open_rest, 0.0) * minutes
        for number, rate in enumerate(inflow):
            if rate <= 0:
                continue
            if self.room_l[number] <= 0:
                self.spilled_l[number] += rate * minutes
                continue
            taken = min(rate * minutes, self.room_l[number])
            full = self.room_l[number] / rate <= minutes
            self.taken_l[number] += self.room_l[number] if full else taken
            self.room_l[number] = 0.0 if full else self.room_l[number] - taken

    def taken_by_tank(self) -> dict[str, float]:
        """What each tank takes, L."""
        found: dict[str, float] = {}
        for vessel, taken in zip(self.vessels, self.taken_l, strict=True):
            room = vessel.room_l
            found.update({tank: taken * own / room if room > 0 else 0.0 for tank, own in vessel.rooms.items()})
        return found
