"""The findings: what the program noticed, ordered by how much it matters; choosing one shows it on the plan."""

from __future__ import annotations

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QScrollArea, QToolButton, QVBoxLayout, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.finding_row import FindingRow
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.findings import Finding
from gardenwater.findings.wording import counts_words, sentence
from gardenwater.site.names import name_of

_SIDE_PX = 20
_ANY_PX = 16_777_215  # what Qt takes as no limit


class FindingsPanel(QWidget):
    """The list under the card: those of the present question and of the selected thing, or all."""

    show_wanted = Signal(object)  # Finding that the plan should bring into sight
    fold_wanted = Signal()  # the list should be folded to one line, or opened

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._all = False
        self._rows: list[FindingRow] = []
        self._listed: tuple[Finding, ...] | None = None
        self._title, self._counts = QLabel("Findings", self), QLabel(self)
        self._all_button = QToolButton(self)
        self._fold_button = QToolButton(self)
        self._nothing = QLabel(self)
        self._list = QWidget(self)
        self._lay_out()
        desk.answersChanged.connect(self._follow_answers)
        for signal in (desk.questionChanged, desk.selectionChanged):
            signal.connect(self._refresh)
        desk.findingChosen.connect(self._follow_choice)
        self._restyle()
        self._refresh()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(_SIDE_PX, 12, _SIDE_PX, 8)
        head.setSpacing(8)
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(self._counts)
        head.addWidget(self._all_button)
        head.addWidget(self._fold_button)
        self._fold_button.setAutoRaise(True)
        self._fold_button.clicked.connect(self.fold_wanted)
        self._head = head
        self._all_button.setCheckable(True)
        self._all_button.setAutoRaise(True)
        self._all_button.toggled.connect(self._show_all)
        rows = QVBoxLayout(self._list)
        rows.setContentsMargins(0, 0, 0, 8)
        rows.setSpacing(0)
        rows.addWidget(self._nothing)
        rows.addStretch(1)
        self._nothing.setWordWrap(True)
        self._nothing.setContentsMargins(_SIDE_PX, 4, _SIDE_PX, 4)
        area = QScrollArea(self)
        area.setWidget(self._list)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self._area = area
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addLayout(head)
        column.addWidget(area, 1)
        self.fold(one_line=False)
        self.setAutoFillBackground(True)
        self.setAccessibleName("Findings")

    def fold(self, *, one_line: bool) -> None:
        """Fold the list to its head with the counts, or open it."""
        self._area.setVisible(not one_line)
        self._fold_button.setArrowType(Qt.ArrowType.RightArrow if one_line else Qt.ArrowType.DownArrow)
        words = "Open the findings" if one_line else "Fold the findings to one line"
        self._fold_button.setToolTip(words)
        self._fold_button.setAccessibleName(words)
        if one_line:
            self.setFixedHeight(self._look.px(44))
        else:
            self.setMinimumHeight(self._look.px(132))
            self.setMaximumHeight(_ANY_PX)

    def shown(self) -> tuple[Finding, ...]:
        """The findings that are listed, in their order."""
        answers = self._desk.answers
        if answers is None:
            return ()
        if self._all:
            return answers.findings
        chosen = self._desk.selection
        return tuple(
            each
            for each in answers.findings
            if each.question is self._desk.question or each.subject in chosen or any(o in chosen for o in each.others)
        )

    def step(self, by: int) -> None:
        """Choose the next or last finding and show it on the plan."""
        shown = self.shown()
        if not shown:
            return
        at = shown.index(self._desk.finding) if self._desk.finding in shown else (-1 if by > 0 else 0)
        self._choose(shown[(at + by) % len(shown)])

    def focus_current(self) -> None:
        """Give the keyboard to the chosen finding, or to the first."""
        row = next((row for row in self._rows if row.isChecked()), self._rows[0] if self._rows else self._fold_button)
        row.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _show_all(self, all_of_them: bool) -> None:
        self._all = all_of_them
        self._refresh()

    def _show_mends(self, finding: Finding) -> None:
        self._desk.show_mends(finding)
        self.show_wanted.emit(finding)

    def _choose(self, finding: Finding) -> None:
        self._desk.choose(finding)
        self.show_wanted.emit(finding)

    def _follow_answers(self) -> None:
        """Frames of a drag carry the findings of the last exact answers: there is nothing to lay out anew."""
        answers = self._desk.answers
        if answers is None or not answers.findings or answers.findings is not self._listed:
            self._refresh()

    def _refresh(self) -> None:
        answers = self._desk.answers
        self._listed = None if answers is None else answers.findings
        shown = self.shown()
        if tuple(row.finding for row in self._rows) != shown:
            self._rebuild(shown)
        total = len(answers.findings) if answers is not None else 0
        self._counts.setText(counts_words(shown).replace(", ", "  "))
        self._all_button.setText(f"All {total}")
        self._all_button.setVisible(total > len(shown) or self._all)
        self._nothing.setVisible(not shown)
        self._nothing.setText(self._why_nothing())
        self._follow_choice(self._desk.finding)

    def _why_nothing(self) -> str:
        answers = self._desk.answers
        if answers is None:
            return "No answers yet."
        return "Nothing to mend here." if self._desk.settled or answers.findings else "Working out the findings."

    def _rebuild(self, shown: tuple[Finding, ...]) -> None:
        site, units = self._desk.site, self._desk.units
        focused = next((row.finding for row in self._rows if row.hasFocus()), None)
        layout = self._list.layout()
        assert isinstance(layout, QVBoxLayout)
        for row in self._rows:
            layout.removeWidget(row)
            row.hide()
            row.deleteLater()
        self._rows = []
        for place, finding in enumerate(shown):
            words = sentence(finding, lambda thing_id: name_of(site, thing_id), units)
            subject = name_of(site, finding.subject) if finding.subject else ""
            row = FindingRow(finding, words, subject, self._look, self._list)
            row.clicked.connect(lambda _=False, chosen=finding: self._choose(chosen))
            row.asked_mends.connect(self._show_mends)
            row.asked_source.connect(lambda _, opened=row: opened.show_source(not opened.source_shown))
            layout.insertWidget(place, row)
            self._rows.append(row)
            if finding == focused:
                row.setFocus()

    def _follow_choice(self, finding: Finding | None) -> None:
        for row in self._rows:
            row.setChecked(row.finding == finding)
            row.updateGeometry()
            if row.isChecked():
                self._area.ensureWidgetVisible(row, 0, 8)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down choose, Enter shows it on the plan, M its mends, S says the source."""
        key = event.key()
        chosen = next((row for row in self._rows if row.isChecked()), None)
        if key in {Qt.Key.Key_Up, Qt.Key.Key_Down}:
            self.step(-1 if key == Qt.Key.Key_Up else 1)
            self.focus_current()
        elif chosen is not None and key == Qt.Key.Key_M and chosen.mendable:
            self._show_mends(chosen.finding)
        elif chosen is not None and key in {Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_M}:
            self.show_wanted.emit(chosen.finding)
        elif chosen is not None and key == Qt.Key.Key_S:
            chosen.show_source(not chosen.source_shown)
        else:
            super().keyPressEvent(event)

    def _restyle(self) -> None:
        look = self._look
        palette = self.palette()
        palette.setColor(self.backgroundRole(), look.color("slip"))
        self.setPalette(palette)
        self._list.setPalette(palette)
        self._area.setPalette(palette)
        self._title.setFont(look.font(15, semibold=True))
        self._counts.setFont(look.font(12.5))
        self._all_button.setFont(look.font(12.5))

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if event.type() in {QEvent.Type.FontChange, QEvent.Type.StyleChange} or (
            is_look_event(event) and self.palette().color(self.backgroundRole()) != self._look.color("slip")
        ):
            self._restyle()
        super().changeEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Sentences wrap anew."""
        for row in self._rows:
            row.updateGeometry()
        super().resizeEvent(event)
