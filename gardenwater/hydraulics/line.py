"""A watering line: what it loses on the way, and what is wanted at its end."""

from __future__ import annotations

from dataclasses import dataclass, replace
from numbers import Real

from gardenwater.errors import InputError

ROUGHEST = 0.05
"""Largest roughness as a share of the bore that the friction law was made for (Moody 1944, figure 1)."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of pipe of one bore and a known length. fittings_k: of the fittings in it, in its own velocity heads.

    Raises InputError for a value out of its range, with the range.
    """

    bore_mm: float
    length_m: float
    roughness_mm: float = 0.0015
    fittings_k: float = 0.0

    def __post_init__(self) -> None:
        take_in(self, "bore_mm", 0.5, 2000.0, "mm")
        take_in(self, "length_m", 0.0, 100_000.0, "m")
        take_in(self, "roughness_mm", 0.0, ROUGHEST * self.bore_mm, "mm, a twentieth of the bore")
        take_in(self, "fittings_k", 0.0, 10_000.0, "")


@dataclass(frozen=True, slots=True)
class Line:
    """A watering line: of one bore, or with pieces of other bores and known lengths before it.

    bore_mm: inside diameter. roughness_mm: of the wall; 0.0015 is new plastic (drawn tubing, handbooks, from memory).
    fittings_k: sum of the loss coefficients of the whole line, entrance and exit included; 2.5 is an entrance of 0.5,
    an exit of 1 and a valve or two. lift_m: how far above the ground the water is delivered. line_height_m: how far
    above the ground the line lies on its way. flow_l_min: the wanted flow, the least worth waiting for. least_head_m:
    head that the end device needs. water_c: temperature of the water; 15 as in checks of hose tables (no source).
    lead: the pieces between the tank and this one, first to last; the lengths that functions take are of what comes
    after them. emitter_l_min: what all emitters at the end give together at 1 m head, 0 for an end that is open;
    emitter_exponent: how that goes with the head, a half for a plain hole or a long crooked way.

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
    lead: tuple[Piece, ...] = ()
    emitter_l_min: float = 0.0
    emitter_exponent: float = 0.5

    def __post_init__(self) -> None:
        take_in(self, "bore_mm", 0.5, 2000.0, "mm")
        take_in(self, "roughness_mm", 0.0, ROUGHEST * self.bore_mm, "mm, a twentieth of the bore")
        take_in(self, "fittings_k", 0.0, 10_000.0, "")
        take_in(self, "lift_m", 0.0, 1000.0, "m")
        take_in(self, "line_height_m", 0.0, 1000.0, "m")
        take_in(self, "flow_l_min", 1e-3, 1e6, "L/min")
        take_in(self, "least_head_m", 0.0, 1000.0, "m")
        take_in(self, "water_c", 0.0, 99.0, "°C")
        take_in(self, "emitter_l_min", 0.0, 1e6, "L/min")
        take_in(self, "emitter_exponent", 0.1, 1.0, "")
        if not all(isinstance(piece, Piece) for piece in self.lead):
            raise InputError("It holds what is no piece.", where="Line.lead", mend="Give a tuple of Piece.")

    @property
    def bore_m(self) -> float:
        """Inside diameter, m."""
        return self.bore_mm / 1000.0

    @property
    def exit_k(self) -> float:
        """The part of `fittings_k` that is lost where the water leaves the line: one velocity head, or all there is."""
        return min(self.fittings_k, 1.0)

    @property
    def held_back_m(self) -> float:
        """Head that stands at the end whatever flows, m: lift and least head; emitters flow at less than theirs."""
        return self.lift_m + (0.0 if self.emitter_l_min else self.least_head_m)

    @property
    def over_ground_m(self) -> float:
        """How far standing water must come up over the ground of a spot for any to be delivered, m."""
        return max(self.line_height_m, self.held_back_m)

    def along(self, piece: Piece) -> Line:
        """The line as if it were of this piece's bore, wall and fittings alone."""
        return replace(
            self,
            bore_mm=piece.bore_mm,
            roughness_mm=piece.roughness_mm,
            fittings_k=piece.fittings_k,
            lead=(),
            emitter_l_min=0.0,
        )


def take_in(record: Line | Piece, field: str, least: float, most: float, unit: str) -> None:
    """Hold a field as a float, so that one line of whole numbers and one of floats are the same to the kernels.

    Raises InputError for what is no number from `least` to `most`.
    """
    value = getattr(record, field)
    if not (isinstance(value, Real) and least <= float(value) <= most):
        raise InputError(
            f"{value!r} cannot be taken.",
            where=f"{type(record).__name__}.{field}",
            mend=f"Give a number from {least:g} to {most:g} {unit}".rstrip() + ".",
        )
    object.__setattr__(record, field, float(value))
