"""How the plan is looked at: what is selected, in which units, with which sheets; nothing of it changes an answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from gardenwater.findings import Finding
from gardenwater.report.drawing import Measure
from gardenwater.report.overflow_look import PLAIN, OverflowLook
from gardenwater.report.typeface import measure as paper_measure
from gardenwater.units import UnitSystem

if TYPE_CHECKING:
    from gardenwater.report.year.day import DayState


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanLook:
    """How the plan is looked at.

    day: in Lasting, the day that is shown: what tanks hold and what beds want.
    selection: ids of the selected things; a single one has handles. hover: id of the thing pointed at. keyboard: the
    selection is ringed once more, because the keyboard is on the plan. finding: the selected one, whose trouble is
    ringed. dragged: ids of things that are being dragged: they are drawn in the overlay, so that all else stays as it
    is. only: ids drawn in full while the rest is drawn at 30 %; empty: all in full. focus_tank: whose reach is shown;
    empty: the best of all. spot: rank of the proposed spot that is looked at; 0: none. overflow: how Overflow is looked
    at. measure: width and height of words, px. text_factor: the user's text size. settled: False while the view is
    moved or something is dragged: labels are carried along and not placed anew. sheets: key, scale bar and north are
    laid over the plan. frame: margins, neat line and ticks are drawn. in_print: the plan is for paper.
    """

    selection: tuple[str, ...] = ()
    hover: str = ""
    keyboard: bool = False
    finding: Finding | None = None
    dragged: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()
    focus_tank: str = ""
    spot: int = 0
    overflow: OverflowLook = PLAIN
    units: UnitSystem = UnitSystem.METRIC
    measure: Measure = paper_measure
    text_factor: float = 1.0
    settled: bool = True
    sheets: bool = True
    frame: bool = True
    contours: bool = True
    findings: bool = True
    numbered: tuple[Finding, ...] = ()
    day: DayState | None = None
    in_print: bool = False
