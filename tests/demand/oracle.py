"""The day of a bed's soil once more, in plain Python and in the words of FAO-56 (chapters 7 and 8); no kernel is used.

Written from the paper's equations, bucket by bucket, to hold the compiled day against.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass
class Soil:
    """One bed's soil. de, dr, db: depletion of the surface, the root zone and the soil below, mm; fw: share wetted."""

    tew: float
    rew: float
    by_hand: float
    de: float
    dr: float
    db: float
    fw: float = 1.0

    def asks(self, day: Mapping[str, float], fixed: float) -> float:
        """What is asked for at the day's start."""
        dr = self.dr + self._roots(day)
        match int(day["asks"]):
            case 0:
                return 0.0
            case 1:
                return dr if dr >= day["readily_mm"] else 0.0
            case 2:
                return dr
            case _:
                return fixed

    def _roots(self, day: Mapping[str, float]) -> float:
        share = day["roots_take"]
        return share * self.db if share > 0 else share * self.dr

    def advance(self, day: Mapping[str, float], irrigation: float) -> tuple[float, float, float]:
        """One day; evaporation, transpiration and percolation."""
        come = self._roots(day)
        self.dr, self.db = self.dr + come, self.db - come
        rain, taw, raw = day["water_mm"], day["available_mm"], day["readily_mm"]
        if rain >= 3.0:
            self.fw = 1.0
        elif irrigation > 0.0:
            self.fw = self.by_hand
        few = max(min(day["bare"], self.fw), 0.01)  # equation 75
        kr = 1.0 if self.de <= self.rew else (self.tew - self.de) / (self.tew - self.rew)  # equation 74
        ks = 1.0 if self.dr <= raw else (taw - self.dr) / (taw - raw)  # equation 84
        evaporation = min(max(kr, 0.0) * day["drying_mm"], few * day["drying_bare_mm"])  # equation 71
        transpiration = max(ks, 0.0) * day["transpiration_mm"]  # equation 80
        wet_surface = max(self.de - rain - irrigation / self.by_hand, 0.0)  # equations 77 and 79
        root = self.dr - rain - irrigation
        transpiration = min(transpiration, max(taw - root, 0.0))
        evaporation = max(min(evaporation, few * (self.tew - wet_surface), max(taw - root, 0.0) - transpiration), 0.0)
        self.de = wet_surface + evaporation / few
        root += evaporation + transpiration  # equation 85
        over = max(-root, 0.0)  # equation 88
        self.dr = max(root, 0.0)
        lost = max(over - self.db, 0.0)
        self.db -= over - lost
        return evaporation, transpiration, lost


def run(days: Sequence[Mapping[str, float]], soil: Soil, fixed: float) -> list[tuple[float, ...]]:
    """All days: need, evaporation, transpiration, percolation, depletion and that of the soil below."""
    past = []
    for day in days:
        need = soil.asks(day, fixed)
        past.append((need, *soil.advance(day, need), soil.dr, soil.db))
    return past
