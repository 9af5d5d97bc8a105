"""What a watering line loses and gives: losses along it, and the flow that a head drives through it."""

from __future__ import annotations

from gardenwater.hydraulics.calibrating import BucketTest, Calibrated, Told, calibrate
from gardenwater.hydraulics.driving import Drive, drive_along
from gardenwater.hydraulics.friction import (
    GRAVITY_M_S2,
    friction_factor,
    friction_slope,
    kinematic_viscosity_m2_s,
    velocity_head_m,
)
from gardenwater.hydraulics.giving import Given, Regime, given_by
from gardenwater.hydraulics.line import Line, Piece
from gardenwater.hydraulics.losses import Answer, charge_m, exit_head_m, flow_l_min, head_loss_m, wanted_head_m
from gardenwater.hydraulics.network import Flows, Pipe, outlet_head_m, run_network

__all__ = [
    "GRAVITY_M_S2",
    "Answer",
    "BucketTest",
    "Calibrated",
    "Drive",
    "Flows",
    "Given",
    "Line",
    "Piece",
    "Pipe",
    "Regime",
    "Told",
    "calibrate",
    "charge_m",
    "drive_along",
    "exit_head_m",
    "flow_l_min",
    "friction_factor",
    "friction_slope",
    "given_by",
    "head_loss_m",
    "kinematic_viscosity_m2_s",
    "outlet_head_m",
    "run_network",
    "velocity_head_m",
    "wanted_head_m",
]
