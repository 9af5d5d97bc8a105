"""A watering line: what it loses on the way, and what is wanted at its end."""

from __future__ import annotations

from dataclasses import dataclass
from numbers import Real

from gardenwater.errors import InputError

ROUGHEST = 0.05
"""Largest roughness as a share of the bore that the friction law was made for (Moody 1944, figure 1)."""


@dataclass(frozen=True, slots=True)
class Line:
    """A watering line of one bore.

    bore_mm: inside diameter. roughness_mm: of the wall; 0.0015 is new plastic (drawn tubing, handbooks, from memory).
    fittings_k: sum of the loss coefficients of the whole line, entrance and exit included; 2.5 is an entrance of 0.5,
    an exit of 1 and a valve or two. lift_m: how far above the ground the water is delivered. line_height_m: how far
    above the ground the line lies on its way. flow_l_min: the wanted flow, the least worth waiting for. least_head_m:
    head that the end device needs. water_c: temperature of the water; 15 as in checks of hose tables (no source).

    Raises InputError for a value out of its range, with the range.
    """

    bore_mm: float
    roughness_mm: float = 0.0015
    fittings_k: float = 2.5
    lift_m: float = 0.0
    line_height_m: float = 0.0
    flow_l_min: float = 1.0
    least_head_m: float = 0.0
    water_c: float = 15.0

    def __post_init__(self) -> None:
        self._take("bore_mm", 0.5, 2000.0, "mm")
        self._take("roughness_mm", 0.0, ROUGHEST * self.bore_mm, "mm, a twentieth of the bore")
        self._take("fittings_k", 0.0, 10_000.0, "")
        self._take("lift_m", 0.0, 1000.0, "m")
        self._take("line_height_m", 0.0, 1000.0, "m")
        self._take("flow_l_min", 1e-3, 1e6, "L/min")
        self._take("least_head_m", 0.0, 1000.0, "m")
        self._take("water_c", 0.0, 99.0, "°C")

    def _take(self, field: str, least: float, most: float, unit: str) -> None:
        """Hold a field as a float, so that one line of whole numbers and one of floats are the same to the kernels."""
        value = getattr(self, field)
        if not (isinstance(value, Real) and least <= float(value) <= most):
            raise InputError(
                f"{value!r} cannot be taken.",
                where=f"Line.{field}",
                mend=f"Give a number from {least:g} to {most:g} {unit}".rstrip() + ".",
            )
        object.__setattr__(self, field, float(value))

    @property
    def bore_m(self) -> float:
        """Inside diameter, m."""
        return self.bore_mm / 1000.0

    @property
    def exit_k(self) -> float:
        """The part of `fittings_k` that is lost where the water leaves the line: one velocity head, or all there is."""
        return min(self.fittings_k, 1.0)
