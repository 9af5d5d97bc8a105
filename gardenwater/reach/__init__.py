"""Where a tank can deliver by gravity, how fast, and how high it must stand for a bed."""

from __future__ import annotations

from gardenwater.hydraulics import Line, flow_l_min, head_loss_m
from gardenwater.reach.best import best_of
from gardenwater.reach.error import LevelError
from gardenwater.reach.feeding import FeederWays, FeedPoint, feeder_ways
from gardenwater.reach.map import ReachMap, Spot
from gardenwater.reach.needed import Needed, delivery_spot, needed, needed_level
from gardenwater.reach.prepared import Prepared, coarse, prepare
from gardenwater.reach.reaching import water_reach
from gardenwater.reach.reason import Reason
from gardenwater.reach.several import side_by_side
from gardenwater.reach.spots import RankedSpots, ranked_spots
from gardenwater.reach.stand_model import (
    BedChance,
    BedNeed,
    FeedAt,
    FeederField,
    StandLimits,
    StandMap,
    StandSpot,
    TankMeasure,
    WhyNot,
)
from gardenwater.reach.standing import base_fall, stand_map
from gardenwater.reach.way import LEAST_RISE_M, PipeProfile, WayPoint, WayProfile, pipe_profile, way_profile

__all__ = [
    "LEAST_RISE_M",
    "BedChance",
    "BedNeed",
    "FeedAt",
    "FeedPoint",
    "FeederField",
    "FeederWays",
    "LevelError",
    "Line",
    "Needed",
    "PipeProfile",
    "Prepared",
    "RankedSpots",
    "ReachMap",
    "Reason",
    "Spot",
    "StandLimits",
    "StandMap",
    "StandSpot",
    "TankMeasure",
    "WayPoint",
    "WayProfile",
    "WhyNot",
    "base_fall",
    "best_of",
    "coarse",
    "delivery_spot",
    "feeder_ways",
    "flow_l_min",
    "head_loss_m",
    "needed",
    "needed_level",
    "pipe_profile",
    "prepare",
    "ranked_spots",
    "side_by_side",
    "stand_map",
    "water_reach",
    "way_profile",
]
