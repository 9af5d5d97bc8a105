"""What a plan needs that takes time to make: made from the answers off the window's thread, kept while they hold."""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from gardenwater.assess import Answers, BestReach, TankReach
from gardenwater.findings import Question
from gardenwater.report.ground_picture import GroundPicture, ground_picture
from gardenwater.report.mud_picture import MudPicture, mud_picture
from gardenwater.report.overflow_picture import OverflowPicture, overflow_picture
from gardenwater.report.reach_picture import ReachPicture, frame_picture, reach_picture
from gardenwater.report.stand_picture import StandPicture, stand_picture
from gardenwater.site.model import Site
from gardenwater.site.things import Boundary
from gardenwater.units import UnitSystem


@dataclass(frozen=True, slots=True, eq=False)
class Pictures:
    """The pictures of one set of answers for one question.

    of_ground, of_reach, of_overflow: what each was made of, so that the next set takes over what is still true. stand:
    where a tank could stand, when the answers say so; there is no picture of reach then.
    """

    ground: GroundPicture
    reach: ReachPicture | None
    overflow: OverflowPicture | None
    of_ground: tuple[object, UnitSystem]
    of_reach: object | None
    of_overflow: object | None
    stand: StandPicture | None = None
    mud: MudPicture | None = None


def pictures_of(
    answers: Answers,
    question: Question,
    *,
    focus_tank: str = "",
    units: UnitSystem = UnitSystem.METRIC,
    before: Pictures | None = None,
) -> Pictures:
    """The pictures of these answers. before: those made last, of which all that still holds is kept.

    Takes some ms for a coarse answer, up to some 100 ms for an exact one of a million cells: call it in the worker.
    """
    ground_key = (answers.ground.ground, units)
    same_ground = before is not None and before.of_ground[0] is ground_key[0] and before.of_ground[1] is units
    ground = before.ground if before is not None and same_ground else ground_picture(answers.ground, units)
    shown = _shown_reach(answers, question, focus_tank)
    reach = None
    if shown is not None and answers.reach is not None:
        last = None if before is None else before.reach
        if before is not None and before.of_reach is shown:
            reach = last
        elif answers.coarse or answers.own:
            reach = frame_picture(answers.reach.ground, shown, last)
        else:
            reach = reach_picture(answers.reach.ground, shown)
    spilled = answers.overflow
    overflow = None
    if spilled is not None:
        kept = before is not None and before.of_overflow is spilled
        overflow = (
            before.overflow if before is not None and kept else overflow_picture(spilled, _boundary(answers.site))
        )
    return Pictures(
        ground, reach, overflow, ground_key, shown, spilled, _stand(answers, question, before), _mud(answers, before)
    )


def _stand(answers: Answers, question: Question, before: Pictures | None) -> StandPicture | None:
    """Where a tank could stand; None where that was not asked."""
    if question is not Question.REACH or answers.stand is None:
        return None
    kept = None if before is None else before.stand
    return kept if kept is not None and kept.answer is answers.stand else stand_picture(answers.stand)


def _mud(answers: Answers, before: Pictures | None) -> MudPicture | None:
    """Ground underfoot; None where it was not worked out."""
    if answers.mud is None:
        return None
    kept = None if before is None else before.mud
    return kept if kept is not None and kept.answer is answers.mud else mud_picture(answers.mud)


def _boundary(site: Site) -> BaseGeometry | None:
    """The ground inside the boundaries that are drawn; None where none is."""
    edges = [edge.shape for edge in site.of(Boundary)]
    return shapely.unary_union(edges) if edges else None


def _shown_reach(answers: Answers, question: Question, focus_tank: str) -> TankReach | BestReach | None:
    """The reach that the plan shows: of one tank, or the best of all."""
    if question is not Question.REACH or answers.reach is None or answers.stand is not None:
        return None
    tank = answers.reach.tank(focus_tank) if focus_tank else None
    if tank is not None:
        return tank
    return answers.reach.best if answers.reach.tanks else None
