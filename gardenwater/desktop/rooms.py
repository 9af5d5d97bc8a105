"""The window below its menus: questions, tray, plan, read-out, year strip, card, findings, as the window has room."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent, QPalette, QResizeEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QSplitter, QSplitterHandle, QVBoxLayout, QWidget

from gardenwater.desktop.card import Card
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Rule
from gardenwater.desktop.empty_hint import EmptyHint
from gardenwater.desktop.findings_panel import FindingsPanel
from gardenwater.desktop.framing import Fold, Frame, StripWish, frame, size_class
from gardenwater.desktop.look import Look
from gardenwater.desktop.plan.slips import hover_lines
from gardenwater.desktop.plan.widget import PlanWidget
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.questions import QuestionRow
from gardenwater.desktop.readout import ReadOut
from gardenwater.desktop.tray import Tray
from gardenwater.desktop.year import YearFeed, YearStrip
from gardenwater.desktop.year.feed import lack_of
from gardenwater.findings import Finding, Question
from gardenwater.report.year import StripForm
from gardenwater.site.things import Thing

_CARD_SHARE, _FINDINGS_SHARE = 69, 31
_HANDLE_PX = 7


class _Divider(QSplitterHandle):
    """A rule to drag, wider for the hand than for the eye."""

    def paintEvent(self, event: QPaintEvent) -> None:
        """The rule at the middle."""
        painter, box = QPainter(self), self.rect()
        upright = self.orientation() is Qt.Orientation.Horizontal
        line = box.adjusted(box.width() // 2, 0, 0, 0) if upright else box.adjusted(0, box.height() // 2, 0, 0)
        line.setWidth(1) if upright else line.setHeight(1)
        painter.fillRect(line, self.palette().color(QPalette.ColorRole.Mid))


class Divided(QSplitter):
    """Card over findings, or beside them, with a rule between."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__(Qt.Orientation.Vertical, parent)
        self.setAutoFillBackground(True)

    def createHandle(self) -> QSplitterHandle:
        """The rule."""
        return _Divider(self.orientation(), self)


class Rooms(QWidget):
    """Lays the parts out; each does its own work."""

    def __init__(self, desk: Desk, look: Look, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look, self._preferences = desk, look, preferences
        self.questions = QuestionRow(desk, look, self)
        self.plan = PlanWidget(desk, look, self)
        self.hint = EmptyHint(desk, look, self.plan)
        self.tray = Tray(desk, look, self._describe, self)
        self.readout = ReadOut(look, self)
        self.strip = YearStrip(desk, look, self)
        self._year_feed = YearFeed(desk, self.strip)
        self.card = Card(desk, look, self)
        self.findings = FindingsPanel(desk, look, self)
        self.right = Divided(self)
        self.shown_frame: Frame | None = None
        self._lay_out()
        self.plan.installEventFilter(self)
        self.plan.cardWanted.connect(self.card.focus_current)
        self.plan.renameWanted.connect(lambda: self.card.open_field("name"))
        self.findings.show_wanted.connect(lambda finding: self._show_finding(desk, finding))
        self.findings.fold_wanted.connect(lambda: self.turn(Fold.FINDINGS))
        self.strip.foldWanted.connect(lambda: self.turn(Fold.YEAR_STRIP))
        self._wish = self._strip_wish()
        for signal in (desk.questionChanged, desk.siteChanged):
            signal.connect(self._follow_wish)
        look.changed.connect(self._restyle)
        self._restyle()

    def _lay_out(self) -> None:
        self.right.addWidget(self.card)
        self.right.addWidget(self.findings)
        self.right.setChildrenCollapsible(False)
        self.right.setHandleWidth(_HANDLE_PX)
        self.right.setStretchFactor(0, _CARD_SHARE)
        self.right.setStretchFactor(1, _FINDINGS_SHARE)
        middle = QVBoxLayout()
        middle.setSpacing(0)
        middle.addWidget(self.plan, 1)
        middle.addWidget(self.readout)
        middle.addWidget(self.strip)
        columns = QHBoxLayout()
        columns.setSpacing(0)
        columns.addWidget(self.tray)
        columns.addWidget(Rule(self, upright=True))
        columns.addLayout(middle, 1)
        columns.addWidget(Rule(self, upright=True))
        columns.addWidget(self.right)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.questions)
        rows.addWidget(Rule(self))
        rows.addLayout(columns, 1)

    def _describe(self, thing: Thing) -> str:
        return ", ".join(line.words for line in hover_lines(self.plan, thing)[1:])

    def show_site(self, there: bool) -> None:
        """Whether there is a site: without one nothing can be used, and the right column is empty."""
        self.setEnabled(there)
        self.card.setVisible(there)
        self.findings.setVisible(there)

    def _restyle(self) -> None:
        colors = self.right.palette()
        colors.setColor(colors.ColorRole.Window, self._look.color("slip"))
        self.right.setPalette(colors)
        self.arrange()

    # room and folds

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Fold and open as the window has room."""
        self.arrange()
        super().resizeEvent(event)

    def _size(self) -> tuple[int, int]:
        window = self.window()
        return window.width(), window.height()

    def arrange(self) -> None:
        """Lay out anew for the window's size and the text size."""
        hand = self._preferences.folds(self._class())
        made = frame(*self._size(), factor=self._look.factor, by_hand=hand, strip=self._wish)
        self.shown_frame = made
        self.questions.setFixedHeight(made.questions_px)
        self.questions.fold(heading=made.heading, icons=made.question_icons, heading_px=made.tray_px, side_px=72)
        self.tray.fold(icons=made.tray_icons, width_px=made.tray_px)
        self.readout.setFixedHeight(made.read_out_px)
        self.readout.set_narrow(not made.heading)
        self.strip.setFixedHeight(made.strip_px)
        self.strip.set_form(made.strip_form)
        self._arrange_right(made)

    def _arrange_right(self, made: Frame) -> None:
        beside = made.findings_px > 0
        turned = Qt.Orientation.Horizontal if beside else Qt.Orientation.Vertical
        if self.right.orientation() is not turned:
            self.right.setOrientation(turned)
        self.right.setFixedWidth(made.right_px + made.findings_px)
        self.findings.fold(one_line=made.findings_folded)
        if beside:
            self.right.setSizes([made.right_px, made.findings_px])

    def _class(self) -> str:
        return size_class(*self._size(), self._look.factor)

    def is_folded(self, fold: Fold) -> bool:
        """Whether a part is folded now."""
        made = self.shown_frame or frame(*self._size(), factor=self._look.factor, strip=self._wish)
        return {
            Fold.TRAY: made.tray_icons,
            Fold.QUESTION_ICONS: not made.question_icons,
            Fold.FINDINGS: made.findings_folded,
            Fold.YEAR_STRIP: made.strip_form is not StripForm.OPEN,
        }[fold]

    def turn(self, fold: Fold) -> None:
        """Fold or open a part by hand; it is kept for windows of this size."""
        folds = {**self._preferences.folds(self._class()), fold.value: not self.is_folded(fold)}
        self._preferences.keep_folds(self._class(), folds)
        self.arrange()

    def _strip_wish(self) -> StripWish:
        """What is wished of the year strip: open where the question is about days, words where it can show none."""
        if lack_of(self._desk.site) is not None:
            return StripWish.WORDS
        by_days = self._desk.question in {Question.LASTING, Question.ROUNDS}
        return StripWish.OPEN if by_days else StripWish.FOLDED

    def _follow_wish(self) -> None:
        wish = self._strip_wish()
        if wish is not self._wish:
            self._wish = wish
            self.arrange()

    def set_text_percent(self, percent: int) -> None:
        """Choose the text size."""
        self._preferences.text_percent = percent
        self._look.set_percent(percent)

    # the keyboard's way through the parts

    def _parts(self) -> list[tuple[QWidget, Callable[[], None]]]:
        def to(widget: QWidget) -> Callable[[], None]:
            return lambda: widget.setFocus(Qt.FocusReason.ShortcutFocusReason)

        return [
            (self.questions, self.questions.focus_current),
            (self.tray, self.tray.focus_current),
            (self.plan, to(self.plan)),
            (self.readout, to(self.readout)),
            (self.strip, self.strip.focus_current),
            (self.card, self._to_card),
            (self.findings, self.findings.focus_current),
        ]

    def _to_card(self) -> None:
        """The card's first field, or the card itself (arrows move it) when it has none."""
        self.card.focus_current()
        focused = QApplication.focusWidget()
        if focused is None or not self.card.isAncestorOf(focused):
            self.card.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def part_with_keyboard(self) -> int:
        """Which part has the keyboard, in the order of `_parts` from 0; -1 for none."""
        focused = QApplication.focusWidget()
        parts = self._parts()
        return next(
            (
                place
                for place, (part, _) in enumerate(parts)
                if focused is not None and (focused is part or part.isAncestorOf(focused))
            ),
            -1,
        )

    def go_on(self, by: int) -> None:
        """Give the keyboard to the next part, or the last."""
        parts = self._parts()
        at = self.part_with_keyboard()
        place = (at + by) % len(parts) if at >= 0 else (0 if by > 0 else len(parts) - 1)
        parts[place][1]()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Delete and Insert are the plan's own while it has the keyboard: its tools may mean a corner by them."""
        if event.type() is QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent):
            plain = event.modifiers() in {Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier}
            if plain and event.key() in {Qt.Key.Key_Delete, Qt.Key.Key_Insert}:
                event.accept()
                return True
        return super().eventFilter(watched, event)

    def _show_finding(self, desk: Desk, finding: Finding) -> None:
        at = finding.at
        thing = desk.site.get(finding.subject)
        if at is None and thing is not None:
            at = thing.shape.centroid.x, thing.shape.centroid.y
        if at is not None:
            self.plan.show_spot(at)
