"""Runs the engines on a site and keeps what was worked out for as long as its inputs are the same.

    Workbench().answers(site, question=...) -> Answers     for a window: kept stages, coarse while dragging
    assess(site) -> Assessment                                          the whole job once

The package is also that function: `gw.assess(site)` and `gardenwater.assess.Workbench` are one name, because the import
system puts every package that is loaded into its parent under its own name, and would put it over a function there.
The engines are loaded when one of the two is first asked for; the types of the answers cost nothing.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

from gardenwater.assess.answers import (
    Answers,
    BedReach,
    BestReach,
    CatchAnswer,
    Feed,
    OverflowAnswer,
    ReachAnswer,
    SourceEnd,
    Status,
    Sureness,
    TankChain,
    TankReach,
    WaterAccount,
)
from gardenwater.assess.lasting import LastingAnswer, StoreCurve, StoreSizes, TankLoss, YearAnswer
from gardenwater.assess.stand_answer import BedMinutes, ProposedTank, StandAnswer, StandAsk, StandSafety
from gardenwater.findings.short import ShortAnswer

if TYPE_CHECKING:
    from gardenwater.assess.run import Assessment, assess
    from gardenwater.assess.workbench import Workbench

__all__ = [
    "Answers",
    "Assessment",
    "BedMinutes",
    "BedReach",
    "BestReach",
    "CatchAnswer",
    "Feed",
    "LastingAnswer",
    "OverflowAnswer",
    "ProposedTank",
    "ReachAnswer",
    "ShortAnswer",
    "SourceEnd",
    "StandAnswer",
    "StandAsk",
    "StandSafety",
    "Status",
    "StoreCurve",
    "StoreSizes",
    "Sureness",
    "TankChain",
    "TankLoss",
    "TankReach",
    "WaterAccount",
    "Workbench",
    "YearAnswer",
    "assess",
]

_LATER = {
    "Assessment": "gardenwater.assess.run",
    "Workbench": "gardenwater.assess.workbench",
    "assess": "gardenwater.assess.run",
}


def __getattr__(name: str) -> Any:
    if name not in _LATER:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_LATER[name]), name)


class _CalledModule(ModuleType):
    """A package that is a function too."""

    def __call__(self, *given: Any, **named: Any) -> Assessment:
        """Work out everything that can be answered about a site; see `assess`."""
        from gardenwater.assess.run import assess

        return assess(*given, **named)


sys.modules[__name__].__class__ = _CalledModule
