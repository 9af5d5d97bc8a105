"""How a pipe lies between its two ends."""

from __future__ import annotations

from enum import StrEnum


class PipeWay(StrEnum):
    """How a feeder or a link lies.

    STRAIGHT: evenly from end to end, hung or dug in. GROUND: laid on the ground between its ends.
    """

    STRAIGHT = "straight"
    GROUND = "on the ground"
