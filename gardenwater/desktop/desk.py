"""The desk: the one way in. A gesture makes an edit, the edit a site, the site a signal, and the signal is drawn.

It holds the history of the site, what is selected, asked, drawn and pointed at, and the answers. It knows no widget.
All methods are called on the window's thread, and all signals come on it.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, Signal

from gardenwater.desktop import changes, clipping
from gardenwater.desktop.answering import Answering
from gardenwater.desktop.attention import Attention, MapOf
from gardenwater.desktop.day_kept import DayKept
from gardenwater.desktop.errands import Errand, ErrandWorker
from gardenwater.desktop.spilling import Shared, Spilling
from gardenwater.desktop.standing import Standing, answer_in, put_label, putting
from gardenwater.desktop.worker import Bench, Depict, Request, Warm, WorkState
from gardenwater.errors import GardenwaterError
from gardenwater.findings import Finding, Question
from gardenwater.site import clipboard, edits
from gardenwater.site.history import History
from gardenwater.site.model import Site
from gardenwater.site.things import Thing
from gardenwater.units import UnitSystem
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.report.year.day import DayState

_PAUSE_S = 2.0  # key presses further apart than this are steps of their own for undo
_ASIDE_M = (1.0, -1.0)  # where a duplicate is put, east and north of its model


class Desk(Attention):
    """What the window is about, and every way of changing it."""

    opened = Signal()  # another site, with a history of its own
    siteChanged = Signal(object)  # Site that is shown: the tentative one while something is dragged
    historyChanged = Signal()  # undo, redo, saved state, path or name
    answersChanged = Signal(object)  # Answers, or None when there are none yet
    workChanged = Signal(object)  # WorkState of the answers
    errandChanged = Signal(object)  # WorkState of files read and written
    noticed = Signal(str)  # a sentence for the read-out
    problem = Signal(object)  # GardenwaterError

    def __init__(
        self,
        make_bench: Callable[[], Bench],
        *,
        warm: Sequence[Warm] = (),
        depict: Depict | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._history = History(Site())
        self._tentative: Site | None = None
        self._path: Path | None = None
        self._day_kept = DayKept()
        self._run_of_keys = ""
        self._run_time = 0.0
        self._runs = 0
        bench = Shared(make_bench)
        self._answering = Answering(bench, warm, depict, self)
        self.spilling = Spilling(bench, self)
        self.spilling.rainMoved.connect(self._ask)
        self.answersChanged.connect(self.spilling.take_answers)
        self.spilling.problem.connect(self.problem)
        self.standing = Standing(self)
        self.standing.askChanged.connect(self._ask_elsewhere)
        self.mapOfChanged.connect(self._ask_elsewhere)
        self._answering.answersChanged.connect(self.answersChanged)
        self._answering.workChanged.connect(self.workChanged)
        self._answering.problem.connect(self.problem)
        self._errands = ErrandWorker(self)
        self._errands.workChanged.connect(self.errandChanged)

    # the site

    @property
    def site(self) -> Site:
        """The site that is shown: the tentative one while something is dragged, the present one else."""
        return self._history.present if self._tentative is None else self._tentative

    @property
    def present(self) -> Site:
        """The site as the last edit left it."""
        return self._history.present

    @property
    def history(self) -> History:
        """Past sites, for labels and the saved point; edits go through `edit`."""
        return self._history

    @property
    def path(self) -> Path | None:
        """The file of the site, or None when it was never saved."""
        return self._path

    @property
    def live(self) -> bool:
        """Whether a gesture is under way: the site that is shown is tentative."""
        return self._tentative is not None

    @property
    def in_hand(self) -> bool:
        """Whether something is being moved that changes the answers: a thing, a level, the rain hand."""
        return self.live or self.spilling.moving

    @property
    def units(self) -> UnitSystem:
        """The units that are read and typed; they belong to the site."""
        return self.site.settings.units

    def open(self, site: Site, path: Path | None = None) -> None:
        """Show another site, with a history of its own."""
        self._history = History(site)
        self._path = path
        self._tentative = None
        self.draw("")
        self.hover("")
        self._set_selection(())
        self._set_finding(None)
        self.lay_profile(None)
        self.standing.forget()
        self.show_map_of(MapOf.TANK)
        self.choose_year("")
        self.show_days(None, None)
        self.siteChanged.emit(site)
        self.opened.emit()
        self.historyChanged.emit()
        self._answering.clear()
        self._ask()

    def mark_saved(self, path: Path, site: Site) -> None:
        """Tell that `site` was written to `path`; changes made since it was handed over stay unsaved."""
        self._path = path
        if site is self._history.present:
            self._history.mark_saved()
        self.historyChanged.emit()

    def edit(self, label: str, change: Callable[[Site], Site], gesture: str = "") -> bool:
        """Make one edit. A failing one tells its `problem`, changes nothing and gives False; so does one in a gesture.

        label: what undo says, as in "Move Shed tank". gesture: edits with the same words in a row become one step.
        """
        if self.live:
            return False
        before = self._history.present
        try:
            self._history.do(label, change, gesture)
        except GardenwaterError as error:
            self.problem.emit(error)
            return False
        if self._history.present is not before:
            self._after_edit()
        return True

    def tentative(self, site: Site | None) -> None:
        """Show a site that is not an edit yet (while dragging); None gives it up and shows the present one."""
        if site is self._tentative:
            return
        self._tentative = site
        if site is None:
            self._answering.new_epoch()
        self.siteChanged.emit(self.site)
        self._ask()

    def commit(self, label: str, gesture: str = "") -> bool:
        """Make the tentative site an edit; False when there is none, or when it is not taken (it is given up then)."""
        site, self._tentative = self._tentative, None
        if site is None:
            return False
        before = self._history.present
        taken = self.edit(label, lambda _: site, gesture)
        if self._history.present is before:
            self._after_edit()
        return taken

    def undo(self) -> None:
        """Go back one edit; nothing while a gesture is under way."""
        if not self.live and self._history.can_undo:
            self._history.undo()
            self._after_edit()

    def redo(self) -> None:
        """Go on one edit; nothing while a gesture is under way."""
        if not self.live and self._history.can_redo:
            self._history.redo()
            self._after_edit()

    def _after_edit(self) -> None:
        site = self._history.present
        self._answering.new_epoch()
        self._set_selection(tuple(thing_id for thing_id in self._selection if thing_id in site))
        if self._hover not in site:
            self.hover("")
        self.siteChanged.emit(site)
        self.historyChanged.emit()
        self._ask()

    # answers and other work

    @property
    def answers(self) -> Answers | None:
        """The newest answers, or None when there are none yet."""
        return self._answering.answers

    @property
    def pictures(self) -> Any:
        """What the plan draws of the answers (what `depict` made of them), or None."""
        return self._answering.pictures

    @property
    def answered(self) -> Request | None:
        """What the answers are to (site, question, focus), or None when there are none."""
        return self._answering.answered

    @property
    def coarse(self) -> bool:
        """Whether the answers are a coarse picture, the exact one being on its way."""
        return self._answering.coarse

    @property
    def settled(self) -> bool:
        """Whether the answers are the exact ones to what is shown and asked."""
        return self._answering.settled

    @property
    def day_state(self) -> DayState | None:
        """What tanks hold and beds want on the day under the hand; None while Lasting is not answered."""
        return self._day_kept.state(self.answers, self._year, self._day)

    @property
    def work(self) -> WorkState:
        """What the worker is at."""
        return self._answering.work

    @property
    def focus(self) -> str:
        """Id of the tank that the answers are about: the one selected thing when it is a tank; empty for all tanks."""
        chosen = self.selected
        alone = len(chosen) == 1 and chosen[0].kind == "tank" and self._map_of is MapOf.TANK
        return chosen[0].id if alone else ""

    def start(self) -> None:
        """Start the worker; it prepares the engines, then answers."""
        self._answering.start()
        self._ask()

    def close(self) -> None:
        """Stop all work and end the threads; a save that was asked for is finished."""
        self.spilling.close()
        self._answering.close()
        self._errands.close()

    def errand(
        self, words: str, job: Callable[[Cancel, Progress], Any], done: Callable[[Any], None] = lambda _: None
    ) -> None:
        """Run a job (reading or writing a file) off the window's thread, and hand its result to `done` on it.

        words: what it does, as in "Reading levels". What fails is told as a `problem`.
        """
        self._errands.run(Errand(words, job, done, self.problem.emit))

    def stop_errand(self) -> None:
        """Stop the errand that runs."""
        self._errands.stop()

    def _ask(self) -> None:
        spilling = self.spilling
        site = spilling.rained(self.site) if self._question is Question.OVERFLOW else self.site
        wanted = self.standing.wanted(self._question)
        self._answering.ask(site, self._question, self.focus, live=self.in_hand, stand=wanted)

    def _ask_elsewhere(self) -> None:
        self._answering.new_epoch()
        self._ask()

    # a place for a tank

    def ask_place(self) -> None:
        """Ask where a tank could stand: the selected one, or a new one for the selected beds, or for all."""
        self.ask(Question.REACH)
        self.standing.begin(self.selected)

    def put_on_spot(self, rank: int) -> bool:
        """Put the tank that was asked for on a spot, with its stand and its feeder; one edit. It is selected then."""
        stand = answer_in(self.answers)
        found = [each for each in stand.proposals if each.rank == rank] if stand is not None and self.settled else []
        if not found or not self.edit(put_label(found[0], self.present), putting(found[0])):
            return False
        self.standing.end()
        self.select((found[0].tank.id,))
        return True

    # attention

    @property
    def selected(self) -> tuple[Thing, ...]:
        """The selected things as they are shown."""
        return tuple(thing for thing_id in self._selection if (thing := self.site.get(thing_id)) is not None)

    def select(self, ids: Iterable[str]) -> None:
        """Select these things and no others; the chosen finding is let go when it is about another thing."""
        known = tuple(dict.fromkeys(thing_id for thing_id in ids if thing_id in self.site))
        if self._finding is not None and known and self._finding.subject not in known:
            self._set_finding(None)
        self._set_selection(known)
        self._ask()

    def ask(self, question: Question) -> None:
        """Ask another question: the plan is shaded anew, nothing else moves."""
        if self._set_question(question):
            self._answering.new_epoch()
            self._ask()

    def choose(self, finding: Finding | None) -> None:
        """Choose a finding; its subject is selected when that is a thing."""
        if finding is not None and finding.subject in self.site:
            self._set_selection((finding.subject,))
        self._set_finding(finding)
        self._ask()

    # what hands and keys do with the selection

    def delete_selected(self) -> bool:
        """Take the selected things away."""
        ids = self._selection
        return bool(ids) and self.edit(f"Delete {self._called()}", lambda site: edits.remove(site, ids))

    def show_mends(self, finding: Finding) -> None:
        """Open the mends of a finding of Overflow on the question's own card."""
        self.ask(Question.OVERFLOW)
        self._set_selection(())
        self._set_finding(finding)
        self._ask()
        self.spilling.move_rain(1.0, moving=False)
        self.spilling.look_for_mends(self.present, finding)

    def keep_mend(self) -> bool:
        """Make the mend that is drawn on the plan one edit."""
        from gardenwater.report.overflow_words import kept_words

        mend = self.spilling.chosen
        if mend is None or not self.edit(f"Keep the {mend.kind.value}", mend.on):
            return False
        self.spilling.forget_mends()
        self._set_finding(None)
        self.noticed.emit(kept_words(mend, self.present))
        return True

    def copy(self) -> bool:
        """Keep copies of the selected things for `paste`."""
        if self._selection:
            clipping.keep(clipboard.copy(self.site, self._selection))
        return bool(self._selection)

    def cut(self) -> bool:
        """Copy the selected things and take them away."""
        return self.copy() and self.delete_selected()

    @property
    def can_paste(self) -> bool:
        """Whether there are copied things."""
        return clipping.has_kept()

    def paste(self, at: tuple[float, float] | None = None) -> bool:
        """Put what was copied with its middle at `at`, and select it.

        None: at the pointer, or beside where it was copied while the pointer is elsewhere.
        """
        clip = clipping.kept()
        if clip is None:
            return False
        aside = clip.middle[0] + _ASIDE_M[0], clip.middle[1] + _ASIDE_M[1]
        where = at or self._pointer or aside
        return self.put("Paste", lambda site: clipboard.paste(site, clip, where))

    def duplicate(self) -> bool:
        """Put copies of the selected things beside them, and select those."""
        ids = self._selection
        return bool(ids) and self.put(f"Duplicate {self._called()}", lambda site: changes.doubled(site, ids, *_ASIDE_M))

    def nudge(self, dx_m: float, dy_m: float) -> bool:
        """Move the selected things a little; presses in a row are one step for undo."""
        ids, label = self._selection, f"Nudge {self._called()}"
        return bool(ids) and self.edit(label, lambda site: edits.move(site, ids, dx_m, dy_m), self._run("nudge"))

    def raise_selected(self, by_m: float) -> bool:
        """Raise or lower the selected things' stands, levels or heights; presses in a row are one step for undo."""
        ids, label = self._selection, f"{'Raise' if by_m > 0 else 'Lower'} {self._called()}"
        return bool(ids) and self.edit(label, lambda site: edits.raise_(site, ids, by_m), self._run("raise"))

    def put(self, label: str, change: Callable[[Site], Site]) -> bool:
        """Make an edit and select the things that it added."""
        before = self._history.present
        if not self.edit(label, change):
            return False
        self.select(changes.new_ids(before, self._history.present))
        return True

    def _called(self) -> str:
        things = self.selected
        return (things[0].name or things[0].word) if len(things) == 1 else f"{len(things)} things"

    def _run(self, what: str) -> str:
        """A gesture's words, the same while presses follow each other and concern the same things."""
        name, now = f"{what} {' '.join(self._selection)}", time.monotonic()
        if name != self._run_of_keys or now - self._run_time > _PAUSE_S:
            self._runs += 1
        self._run_of_keys, self._run_time = name, now
        return f"{name} {self._runs}"
