"""What a watering line loses and gives; what weirs, full pipes, open channels and soakaways pass."""

from __future__ import annotations

from gardenwater.hydraulics.calibrating import BucketTest, Calibrated, Told, calibrate
from gardenwater.hydraulics.channels import (
    DITCH_N,
    GRASS_N,
    Section,
    channel_m3_s,
    grass_bears_m_s,
    manning_m_s,
    normal_depth_m,
)
from gardenwater.hydraulics.driving import Drive, drive_along, drive_before
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
from gardenwater.hydraulics.openings import full_pipe_m3_s, notch_m3_s, orifice_m3_s, weir_head_m, weir_m3_s
from gardenwater.hydraulics.soakaways import (
    HALF_EMPTY_H,
    LEAST_SOAK_M_S,
    SoakawaySheet,
    half_empty_h,
    soakaway_outflow_m3_s,
    soakaway_sheet,
    trial_pit_m_s,
)

__all__ = [
    "DITCH_N",
    "GRASS_N",
    "GRAVITY_M_S2",
    "HALF_EMPTY_H",
    "LEAST_SOAK_M_S",
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
    "Section",
    "SoakawaySheet",
    "Told",
    "calibrate",
    "channel_m3_s",
    "charge_m",
    "drive_along",
    "drive_before",
    "exit_head_m",
    "flow_l_min",
    "friction_factor",
    "friction_slope",
    "full_pipe_m3_s",
    "given_by",
    "grass_bears_m_s",
    "half_empty_h",
    "head_loss_m",
    "kinematic_viscosity_m2_s",
    "manning_m_s",
    "normal_depth_m",
    "notch_m3_s",
    "orifice_m3_s",
    "outlet_head_m",
    "run_network",
    "soakaway_outflow_m3_s",
    "soakaway_sheet",
    "trial_pit_m_s",
    "velocity_head_m",
    "wanted_head_m",
    "weir_head_m",
    "weir_m3_s",
]
