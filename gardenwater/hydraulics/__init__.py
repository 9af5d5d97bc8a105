"""What a watering line loses and gives: losses along it, and the flow that a head drives through it."""

from __future__ import annotations

from gardenwater.hydraulics.friction import (
    GRAVITY_M_S2,
    friction_factor,
    friction_slope,
    kinematic_viscosity_m2_s,
    velocity_head_m,
)
from gardenwater.hydraulics.line import Line
from gardenwater.hydraulics.losses import Answer, flow_l_min, head_loss_m

__all__ = [
    "GRAVITY_M_S2",
    "Answer",
    "Line",
    "flow_l_min",
    "friction_factor",
    "friction_slope",
    "head_loss_m",
    "kinematic_viscosity_m2_s",
    "velocity_head_m",
]
