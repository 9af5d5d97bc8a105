"""What the window looks at in Overflow: the hand on the rain, which water is followed, which mends are weighed.

None of it changes the site. The hand's rain is what the worker is asked for, as long as the hand is not at the rain's
end; mends are looked for in a thread of their own, the newest wish first.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from gardenwater.desktop.errands import Errand, ErrandWorker
from gardenwater.desktop.worker import Bench, Phase, WorkState
from gardenwater.errors import GardenwaterError
from gardenwater.findings import Finding
from gardenwater.site.model import Site

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.assess.following import Step
    from gardenwater.assess.mends import Mend, Mends
    from gardenwater.assess.rising import Beginning
    from gardenwater.report.overflow_look import OverflowLook


_HEADS_PX = 612.0
"""How far arrow heads go while the hand goes from one end to the other; a whole number of the 34 px between them."""


class OverflowView(StrEnum):
    """What the plan shows in Overflow."""

    WATER = "Water"
    UNDERFOOT = "Ground underfoot"


class Shared:
    """A bench made once, for several threads."""

    def __init__(self, make: Callable[[], Bench]) -> None:
        self._make = make
        self._lock = threading.Lock()
        self._made: Bench | None = None

    def __call__(self) -> Bench:
        """The bench; made by whoever asks first."""
        with self._lock:
            if self._made is None:
                self._made = self._make()
            return self._made


class Spilling(QObject):
    """The part of the desk that Overflow's card and plan share."""

    rainMoved = Signal()  # the hand: other answers are wanted
    changed = Signal()  # what is shown, followed or weighed
    problem = Signal(object)  # GardenwaterError: mends could not be looked for

    def __init__(self, bench: Shared, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._share = 1.0
        self._moving = False
        self._rained: tuple[Site, float, Site] | None = None
        self._view = OverflowView.WATER
        self._owner, self._at = "", 0
        self._steps: tuple[Step, ...] = ()
        self._wish: object | None = None
        self._looking = False
        self._trouble: Finding | None = None
        self._mends: Mends | None = None
        self._mends_of: Site | None = None
        self._chosen = 0
        self._beginnings: tuple[Site, tuple[Beginning, ...]] | None = None
        self._worker = ErrandWorker(self)

    # the hand on the rain

    @property
    def rain_share(self) -> float:
        """How much of the chosen rain has fallen, 0 to 1."""
        return self._share

    @property
    def moving(self) -> bool:
        """Whether the hand is being moved."""
        return self._moving

    def move_rain(self, share: float, *, moving: bool) -> None:
        """Put the hand on a share of the rain; moving: it is still in the hand."""
        share = min(max(share, 0.0), 1.0)
        if (share, moving) != (self._share, self._moving):
            self._share, self._moving = share, moving
            self.rainMoved.emit()
            self.changed.emit()

    def rained(self, site: Site) -> Site:
        """The site as the hand has it: with so much of its rain."""
        from gardenwater.assess.rising import with_rain

        if self._share == 1.0:
            return site
        if self._rained is None or self._rained[0] is not site or self._rained[1] != self._share:
            self._rained = site, self._share, with_rain(site, self._share)
        return self._rained[2]

    # what the plan shows

    @property
    def look(self) -> OverflowLook:
        """How the plan looks at Overflow. The arrow heads of routes go with the hand, and rest where it rests."""
        from gardenwater.report.overflow_look import OverflowLook

        return OverflowLook(
            underfoot=self._view is OverflowView.UNDERFOOT,
            steps=self._steps,
            at_step=self._at,
            mend=self.chosen,
            heads_px=(self._share - 1.0) * _HEADS_PX,
        )

    @property
    def view(self) -> OverflowView:
        """Water, or ground underfoot."""
        return self._view

    def show(self, view: OverflowView) -> None:
        """Show the other."""
        if view is not self._view:
            self._view = view
            self.changed.emit()

    # following water

    @property
    def owner(self) -> str:
        """Id of the tank, downpipe or roof whose water is followed; empty for none."""
        return self._owner

    @property
    def steps(self) -> tuple[Step, ...]:
        """The steps of the water that is followed."""
        return self._steps

    @property
    def at_step(self) -> int:
        """Which step is chosen."""
        return self._at

    def follow(self, owner: str, answers: Answers | None, step: int = 0) -> None:
        """Follow the water of an owner; empty: of nobody."""
        self._owner, self._at = owner, step
        self._steps = self._found(answers)
        self.changed.emit()

    def choose_step(self, number: int) -> None:
        """Choose a step; it is shown on the plan."""
        if 0 <= number < len(self._steps) and number != self._at:
            self._at = number
            self.changed.emit()

    def take_answers(self, answers: Answers | None) -> None:
        """Follow the same water in other answers; weigh no mends of a trouble that is gone."""
        if self._owner:
            self._steps = self._found(answers)
            self._at = min(self._at, max(len(self._steps) - 1, 0))
            self.changed.emit()
        if answers is None:
            self.forget_mends()
        elif self._trouble is not None and not answers.coarse and self._share == 1.0:
            if self._trouble not in answers.findings:
                self.forget_mends()
            elif self._mends_of is not answers.site:
                self.look_for_mends(answers.site, self._trouble)

    def _found(self, answers: Answers | None) -> tuple[Step, ...]:
        overflow = answers.overflow if answers is not None else None
        if answers is None or overflow is None or not self._owner:
            return ()
        from gardenwater.assess.following import follow

        number = next((n for n, source in enumerate(overflow.sources) if source.owner == self._owner), None)
        return () if number is None else follow(answers.site, overflow, number)

    # mends

    @property
    def trouble(self) -> Finding | None:
        """The finding that mends are weighed for."""
        return self._trouble

    @property
    def looking(self) -> bool:
        """Whether mends are being looked for."""
        return self._looking

    @property
    def mends(self) -> Mends | None:
        """The mends of the trouble, once they are found."""
        return self._mends

    @property
    def chosen(self) -> Mend | None:
        """The mend that is drawn on the plan."""
        if self._mends is None or not self._mends.mends:
            return None
        return self._mends.mends[min(self._chosen, len(self._mends.mends) - 1)]

    def choose_mend(self, number: int) -> None:
        """Draw another mend."""
        if self._mends is not None and 0 <= number < len(self._mends.mends) and number != self._chosen:
            self._chosen = number
            self.changed.emit()

    def look_for_mends(self, site: Site, trouble: Finding) -> None:
        """Look for mends of a trouble of a site; what was looked for before is given up."""
        self._trouble, self._mends, self._mends_of, self._chosen, self._looking = trouble, None, site, 0, True
        self._do("Looking for mends", lambda bench, cancel: bench.mends(site, trouble, cancel=cancel), self._take_mends)
        self.changed.emit()

    def forget_mends(self) -> None:
        """Weigh none."""
        if self._trouble is not None:
            self._trouble, self._mends, self._looking, self._wish = None, None, False, None
            self.changed.emit()

    def _take_mends(self, found: Mends) -> None:
        self._mends, self._looking = found, False
        self.changed.emit()

    # where something begins

    def beginnings(self, site: Site) -> tuple[Beginning, ...]:
        """What begins at which share of a site's rain; empty until it was worked out (`look_for_beginnings`)."""
        known = self._beginnings
        return known[1] if known is not None and known[0] is site else ()

    def look_for_beginnings(self, site: Site) -> None:
        """Work out what begins where, unless mends are being looked for or it is known."""
        if self._looking or (self._beginnings is not None and self._beginnings[0] is site):
            return

        def take(found: tuple[Beginning, ...]) -> None:
            self._beginnings = site, found
            self.changed.emit()

        self._do("Looking where it begins", lambda bench, cancel: bench.beginnings(site, cancel=cancel), take)

    # work

    def _do(self, words: str, job: Callable[[Any, Callable[[], bool]], Any], done: Callable[[Any], None]) -> None:
        wish = self._wish = object()

        def run(cancel: Callable[[], bool], _: object) -> Any:
            return job(self._bench(), lambda: cancel() or self._wish is not wish)

        def taken(result: Any) -> None:
            if self._wish is wish:
                done(result)

        def failed(error: GardenwaterError) -> None:
            if self._wish is wish:
                self._looking = False
                self.problem.emit(error)
                self.changed.emit()

        self._worker.run(Errand(words, run, taken, failed))

    @property
    def work(self) -> WorkState:
        """What is being looked for, in words."""
        return WorkState(Phase.WORKING, 0.0, "Trying mends") if self._looking else WorkState()

    def close(self) -> None:
        """Give up what is looked for and end the thread."""
        self._wish = None
        self._worker.close()


def water_at(answers: Answers | None, at: tuple[float, float], reach_m: float) -> str:
    """The owner of the water that runs within reach of a spot: of the nearest way; empty where none does."""
    overflow = answers.overflow if answers is not None else None
    if overflow is None:
        return ""
    from shapely import Point

    from gardenwater.assess.following import source_of_route

    spot = Point(at)
    near = [(route.line.distance(spot), number) for number, route in enumerate(overflow.spill.routes)]
    distance_m, route = min(near, default=(reach_m + 1.0, -1))
    return overflow.sources[source_of_route(overflow, route)].owner if distance_m <= reach_m else ""
