"""What Overflow's card has besides figures and tables: the rain hand, the account's bars, mends, waters to follow."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gardenwater.desktop.card.account_bars import AccountBars
from gardenwater.desktop.card.of_overflow import hand_words, mend_rows, mends_head, step_rows, water_rows
from gardenwater.desktop.card.pick_rows import PickRow, PickRows
from gardenwater.desktop.card.rain_fields import RainFields
from gardenwater.desktop.card.rain_hand import RainHand
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Segments, Words
from gardenwater.desktop.look import Look
from gardenwater.desktop.spilling import OverflowView
from gardenwater.findings import Question
from gardenwater.site.names import name_of
from gardenwater.site.things import Roof

_VIEWS = tuple(OverflowView)
_GAP_PX = 10


def _column(holder: QWidget) -> QVBoxLayout:
    column = QVBoxLayout(holder)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(_GAP_PX)
    return column


class OverflowPart(QWidget):
    """In sight while Overflow is asked and nothing is selected. below: its second half, under the card's tables."""

    opened = Signal(object)  # a part that was asked for and should be in sight

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._owners: tuple[str, ...] = ()
        self._rows: tuple[PickRow, ...] = ()
        self._listed: object | None = None
        self._view = Segments("What the plan shows", [each.value for each in _VIEWS], look, self)
        self._hand, self._bars = RainHand(look, self), AccountBars(look, self)
        self._looking = Words("", look, self, role="ink_soft")
        self._mends = PickRows("Mends", look, self, word="Keep it")
        self.below = QWidget(parent)
        self._waters = PickRows("Waters", look, self.below)
        self._steps = PickRows("Steps of the water", look, self.below, ringed=False)
        column, lower = _column(self), _column(self.below)
        column.addWidget(self._view, 0, Qt.AlignmentFlag.AlignLeft)
        self._rain = RainFields(desk, look, self)
        for part in (self._rain, self._hand, self._bars, self._looking, self._mends):
            column.addWidget(part)
        for below in (self._steps, self._waters):
            lower.addWidget(below)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.refresh)
        self._wire()

    def _wire(self) -> None:
        desk, spilling = self._desk, self._desk.spilling
        self._view.chosen.connect(lambda number: spilling.show(_VIEWS[number]))
        self._hand.moved.connect(lambda share, moving: spilling.move_rain(share, moving=moving))
        self._mends.picked.connect(spilling.choose_mend)
        self._mends.pressed_word.connect(self._keep)
        self._waters.picked.connect(self._follow)
        self._steps.picked.connect(spilling.choose_step)
        spilling.changed.connect(self._soon.start)
        for signal in (desk.siteChanged, desk.answersChanged, desk.selectionChanged, desk.questionChanged):
            signal.connect(self._soon.start)

    @property
    def mends(self) -> PickRows:
        """The rows of mends."""
        return self._mends

    @property
    def hand(self) -> RainHand:
        """The rain hand."""
        return self._hand

    @property
    def waters(self) -> PickRows:
        """The waters that can be followed."""
        return self._waters

    @property
    def steps(self) -> PickRows:
        """The steps of the water that is followed."""
        return self._steps

    def _keep(self) -> None:
        """Make the chosen mend an edit; the keyboard goes on to the hand, since the rows are about to go."""
        self._hand.setFocus()
        self._desk.keep_mend()

    def _follow(self, number: int) -> None:
        """Follow a water; pressed again, no more."""
        spilling, owner = self._desk.spilling, self._owners[number]
        spilling.follow("" if owner == spilling.owner else owner, self._desk.answers)

    def refresh(self) -> None:
        """Show what is so now."""
        desk = self._desk
        shown = desk.question is Question.OVERFLOW and not desk.selection and bool(desk.site.of(Roof))
        self.setVisible(shown)
        self.below.setVisible(shown)
        if not shown:
            return
        answers, spilling, site = desk.answers, desk.spilling, desk.site
        self._view.pick(_VIEWS.index(spilling.view))
        self._rain.show_settings()
        beginnings = spilling.beginnings(desk.present)
        self._hand.show_rain(spilling.rain_share, hand_words(site, spilling.rain_share, beginnings))
        overflow = answers.overflow if answers is not None else None
        self._bars.show_account(None if overflow is None else overflow.account)
        self._show_mends()
        if answers is None or overflow is None:
            return
        if self._listed is not answers:
            self._listed, (self._owners, self._rows) = answers, water_rows(answers)
        at = self._owners.index(spilling.owner) if spilling.owner in self._owners else -1
        self._waters.show_rows("Follow the water", "litres", self._rows, at)
        fresh = bool(spilling.owner) and not self._steps.isVisible()
        head = f"{name_of(site, spilling.owner)}, step by step" if spilling.owner else ""
        self._steps.show_rows(head, "", step_rows(spilling.steps, answers.site), spilling.at_step)
        if fresh:
            self.opened.emit(self._steps)
        if desk.settled and not spilling.moving:
            spilling.look_for_beginnings(desk.present)

    def _show_mends(self) -> None:
        spilling, site = self._desk.spilling, self._desk.present
        found, trouble = spilling.mends, spilling.trouble
        words = "Trying mends on the ground ..." if spilling.looking else ""
        if found is not None and not found.mends:
            words = "Of what was tried, nothing lessens it without harm elsewhere."
        self._looking.setText(words)
        self._looking.setVisible(bool(words))
        if found is None or trouble is None or not found.mends:
            self._mends.show_rows("", "", (), -1)
            return
        fresh = not self._mends.isVisible()
        head, note = mends_head(trouble, found, site)
        chosen = found.mends.index(spilling.chosen) if spilling.chosen is not None else -1
        self._mends.show_rows(head, note, mend_rows(found, site), chosen)
        if fresh:
            self.opened.emit(self._mends)
