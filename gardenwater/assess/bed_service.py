"""What the tanks of a site do for each bed, in one row: which reach it, how much of it, how soon; how far to carry."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from gardenwater.assess.answers import Answers, BedReach

CARRY_CODE = "cans.carry"


@dataclass(frozen=True, slots=True, kw_only=True)
class BedService:
    """A bed, served or not.

    reached_by: ids of the tanks that bring the wanted flow to it, in the site's order, of so many in `tanks`. best:
    what the tank does that serves it best, or that comes nearest to it; its `share_in_reach` is the share of the bed's
    area, its `minutes_per_can` the time for a can. carry_m, carry_from: where none reaches it, the shortest way to
    carry cans to it, m, and from which tank or tap; NaN and empty where it is reached, or where no way is known.
    """

    bed: str
    reached_by: tuple[str, ...]
    tanks: int
    best: BedReach
    carry_m: float = math.nan
    carry_from: str = ""


def services_of(answers: Answers) -> tuple[BedService, ...]:
    """One row for each bed, in the site's order; empty before Reach is answered."""
    reach = answers.reach
    if reach is None:
        return ()
    carries = _carries(answers)
    rows = []
    for best in reach.beds:
        told = (row for tank in reach.tanks if (row := tank.bed(best.bed)) is not None)
        reached_by = tuple(row.tank for row in told if row.reached)
        carry_m, carry_from = (math.nan, "") if reached_by else carries.get(best.bed, (math.nan, ""))
        rows.append(
            BedService(
                bed=best.bed,
                reached_by=reached_by,
                tanks=len(reach.tanks),
                best=best,
                carry_m=carry_m,
                carry_from=carry_from,
            )
        )
    return tuple(rows)


def _carries(answers: Answers) -> Mapping[str, tuple[float, str]]:
    """How far cans are carried to a bed and from where, as the findings tell it."""
    return {
        finding.subject: (finding.number("distance_m"), finding.others[0])
        for finding in answers.findings
        if finding.code == CARRY_CODE
    }
