"""Findings of grounds with more cells than are worked through at once."""

from __future__ import annotations

from collections.abc import Iterator

from gardenwater.assess.answers import OverflowAnswer, ReachAnswer
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground


def thinning_findings(ground: Ground, reach: ReachAnswer | None, overflow: OverflowAnswer | None) -> Iterator[Finding]:
    """Which answers are on wider cells than the ground's own."""
    for code, answer in (("ground.thinned", reach), ("overflow.thinned", overflow)):
        if answer is not None and answer.ground.shape != ground.shape:
            numbers = {
                "cell_m": answer.ground.cell_x_m,
                "fine_m": ground.cell_x_m,
                "cells": float(ground.level_m.size),
            }
            yield made(code, numbers=numbers)
