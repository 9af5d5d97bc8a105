"""What the window asks about a place for a tank: the ask, the spot that is looked at, and putting a tank there."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from gardenwater.assess.stand_answer import ProposedTank, StandAnswer, StandAsk
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.site.names import called
from gardenwater.site.things import Bed, Tank, Thing

if TYPE_CHECKING:
    from gardenwater.assess import Answers


LEAST_SPOT_PX, _SLACK_PX = 10.0, 3.0
"""Radius of the least sign of a spot; how far beyond a sign the pointer still finds it."""


class Standing(QObject):
    """The part of the desk that asks where a tank could stand. None of it changes the site but `put`.

    beds: with nothing chosen, all beds are asked for.
    """

    askChanged = Signal()  # other answers are wanted
    spotChanged = Signal()  # another spot is looked at

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._ask: StandAsk | None = None
        self._last = StandAsk()
        self._about: tuple[str, ...] = ()
        self._spot = 1

    @property
    def ask(self) -> StandAsk | None:
        """What is asked; None while it is not."""
        return self._ask

    @property
    def about(self) -> tuple[str, ...]:
        """Ids of the things that it was asked from: their cards give way to its own."""
        return self._about

    @property
    def spot(self) -> int:
        """Rank of the spot that is looked at first."""
        return self._spot

    def wanted(self, question: Question) -> StandAsk | None:
        """What the worker is to be asked."""
        return self._ask if question is Question.REACH else None

    def begin(self, things: tuple[Thing, ...]) -> None:
        """Ask for what is selected: that tank elsewhere, those beds; a new tank and all beds for anything else."""
        tanks = [thing.id for thing in things if isinstance(thing, Tank)]
        beds = tuple(thing.id for thing in things if isinstance(thing, Bed))
        tank = tanks[0] if len(things) == 1 and tanks else ""
        self._about = tuple(thing.id for thing in things)
        self.set_ask(dataclasses.replace(self._last, tank=tank, beds=beds))

    def set_ask(self, ask: StandAsk) -> None:
        """Ask otherwise: another size, share, feeder, other beds."""
        if ask != self._ask:
            self._ask = self._last = ask
            self._spot = 1
            self.askChanged.emit()

    def end(self) -> None:
        """Ask no more: the plan shows what the tanks reach."""
        if self._ask is not None:
            self._ask, self._about, self._spot = None, (), 1
            self.askChanged.emit()

    def look_at(self, rank: int) -> None:
        """Look at another spot."""
        if rank != self._spot:
            self._spot = rank
            self.spotChanged.emit()

    def forget(self) -> None:
        """Another site was opened."""
        self._last = StandAsk()
        self.end()


def answer_in(answers: Answers | None) -> StandAnswer | None:
    """Where a tank could stand, once it is worked out with its proposals."""
    stand = None if answers is None else answers.stand
    return None if stand is None or answers is None or answers.coarse else stand


def spot_at(answers: Answers | None, at: tuple[float, float], px_per_m: float) -> ProposedTank | None:
    """The spot whose sign lies under a place of the plan, or None."""
    stand = answer_in(answers)
    for each in () if stand is None else stand.proposals:
        reach_px = max(each.tank.width_m / 2 * px_per_m, LEAST_SPOT_PX) + _SLACK_PX
        if math.dist(each.spot.at, at) * px_per_m <= reach_px:
            return each
    return None


def put_label(proposed: ProposedTank, site: Site) -> str:
    """What undo says of putting a tank on a spot."""
    known = site.get(proposed.tank.id)
    word = "Put" if known is None else "Move"
    return f"{word} {called(known or proposed.tank)} on spot {proposed.rank}"


def putting(proposed: ProposedTank) -> Callable[[Site], Site]:
    """The edit that puts a tank on a spot."""

    def put(site: Site) -> Site:
        from gardenwater.assess.stand_edit import stood

        return stood(site, proposed)

    return put
