"""What one line gives, without a map: this head, this hose, these fittings."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from gardenwater.errors import InputError
from gardenwater.hydraulics.friction import LAMINAR_BELOW, TURBULENT_ABOVE, friction_slope, reynolds_per_l_min
from gardenwater.hydraulics.line import Line
from gardenwater.hydraulics.losses import charge_m, exit_head_m, flow_l_min


class Regime(StrEnum):
    """How the water runs in the last piece of a line."""

    STILL = "still"
    LAMINAR = "laminar"
    TRANSITION = "between laminar and turbulent"
    TURBULENT = "turbulent"


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """What a line gives under a head. All heads in m; they add up to `driving_head_m`.

    driving_head_m: head less lift and least head; 0 or less drives nothing. flow_l_min: with the line full open.
    can_min: minutes for one can, infinite where nothing flows. before_m: lost in the pieces before the last and in all
    fittings but the exit; along_m: along the last piece; end_m: taken by the exit and the emitters. end_pressure_m:
    head over the line's end just before its device. speed_m_s: in the last piece.
    """

    driving_head_m: float
    flow_l_min: float
    can_min: float
    before_m: float
    along_m: float
    end_m: float
    end_pressure_m: float
    speed_m_s: float
    regime: Regime


def given_by(line: Line, *, head_m: float, length_m: float, can_l: float = 10.0) -> Given:
    """What a line gives: this head, this length, these fittings.

    head_m: from the water level down to the ground at the end (a lift is taken off). length_m: of the last piece.
    can_l: litres of a can. Raises InputError for a negative length, a can of no size, a head that is no number, and for
    a line in which nothing holds the water back.
    """
    if not (math.isfinite(head_m) and math.isfinite(length_m) and can_l > 0):
        raise InputError("Head, length and can are numbers.", where="head_m, length_m, can_l", mend="Give each.")
    driving_m = head_m - line.held_back_m
    flow = float(flow_l_min(driving_m, length_m, line))
    if math.isinf(flow):
        raise InputError(
            "Nothing holds the water back.", where="line", mend="Give the line a length, or fittings with a loss."
        )
    area_m2 = math.pi / 4.0 * line.bore_m**2
    end_m = float(exit_head_m(flow, line))
    return Given(
        driving_head_m=driving_m,
        flow_l_min=flow,
        can_min=can_l / flow if flow > 0 else math.inf,
        before_m=float(charge_m(flow, line)),
        along_m=float(friction_slope(flow, line)) * length_m,
        end_m=end_m,
        end_pressure_m=max(line.held_back_m - line.lift_m, 0.0) + end_m if flow > 0 else 0.0,
        speed_m_s=flow / 60_000.0 / area_m2,
        regime=_regime(flow * reynolds_per_l_min(line)),
    )


def _regime(reynolds: float) -> Regime:
    if reynolds <= 0:
        return Regime.STILL
    if reynolds <= LAMINAR_BELOW:
        return Regime.LAMINAR
    return Regime.TRANSITION if reynolds < TURBULENT_ABOVE else Regime.TURBULENT
