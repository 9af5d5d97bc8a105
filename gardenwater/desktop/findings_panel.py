"""The findings: what the program noticed, ordered by how much it matters; choosing one shows it on the plan."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QFrame,
    QHBoxLayout,
    QLabel,
    QScrollArea,
    QSizePolicy,
    QToolButton,
    QVBoxLayout,
    QWidget,
)

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import SEVERITY_ROLES, icon_pixmap, severity_icon
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.findings import Finding
from gardenwater.findings.wording import SEVERITY_WORDS, Sentence, counts_words, sentence
from gardenwater.site.names import name_of

_SIDE_PX, _SIGN_PX, _WORDS_LEFT_PX = 20, 16, 46
_ROW_PX = 28
_ANY_PX = 16_777_215  # what Qt takes as no limit
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)


class FindingRow(QAbstractButton):
    """One finding: sign and sentence; the chosen one opens to its figures, mend and source."""

    asked_source = Signal(object)

    def __init__(self, finding: Finding, words: Sentence, subject: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.finding, self._words, self._subject, self._look = finding, words, subject, look
        self._source_shown = False
        self.setCheckable(True)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(f"{SEVERITY_WORDS[finding.severity]}: {words.head}")
        self.setAccessibleDescription(f"{words.figures} {words.mend} Source: {words.source}".strip())

    def show_source(self, shown: bool) -> None:
        """Open or close the line that says where it comes from."""
        self._source_shown = shown
        self.updateGeometry()
        self.update()

    @property
    def source_shown(self) -> bool:
        """Whether the source is said."""
        return self._source_shown

    def _parts(self) -> list[tuple[str, float, bool, str]]:
        """Words, size, weight and role of each paragraph."""
        if not self.isChecked():
            return [(self._words.head, 13.0, False, "ink")]
        parts = [(self._words.head, 13.0, True, "ink")]
        parts += [(words, 13.0, False, "ink") for words in (self._words.figures, self._words.mend) if words]
        if self._source_shown:
            parts.append((f"Source: {self._words.source}", 12.0, False, "ink_soft"))
        return parts

    def _height(self, width: int) -> float:
        room = width - self._look.px(_WORDS_LEFT_PX) - _SIDE_PX
        height = 0.0
        for words, size, semibold, _ in self._parts():
            metrics = QFontMetricsF(self._look.font(size, semibold=semibold))
            height += metrics.boundingRect(QRectF(0, 0, room, 10_000), _WRAP, words).height()
        if self.isChecked():
            return height + 2 * self._look.px(20) + 12
        return max(height + 9, float(self._look.px(_ROW_PX)))

    def hasHeightForWidth(self) -> bool:
        """Sentences wrap."""
        return True

    def heightForWidth(self, width: int) -> int:
        """As many lines as the sentence needs."""
        return round(self._height(width))

    def sizeHint(self) -> QSize:
        """Of the width that it has."""
        return QSize(280, self.heightForWidth(max(self.width(), 280)))

    def _links(self) -> tuple[QRectF, QRectF]:
        """Where the two words to press stand, at the foot of the open row."""
        line = self._look.px(20)
        top = self.height() - line - 4
        source = QFontMetricsF(self._look.font(12)).horizontalAdvance("Source")
        left = self._look.px(_WORDS_LEFT_PX)
        return QRectF(left, top, 140, line), QRectF(self.width() - _SIDE_PX - source, top, source, line)

    def paintEvent(self, event: QPaintEvent) -> None:
        """The row."""
        look, painter, chosen = self._look, QPainter(self), self.isChecked()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        ground = "slip_picked" if chosen else "slip_rest" if self.underMouse() else "slip"
        painter.fillRect(self.rect(), look.color(ground))
        if chosen:
            painter.fillRect(QRectF(0, 0, 3, self.height()), look.color("mark"))
        role = SEVERITY_ROLES[self.finding.severity]
        size = look.px(_SIGN_PX)
        picture = icon_pixmap(
            severity_icon(self.finding.severity), look.color(role), look.color(ground), size, self.devicePixelRatioF()
        )
        painter.drawPixmap(_SIDE_PX, 7, picture)
        top = self._paint_head(painter, role) if chosen else 5.0
        room = self.width() - look.px(_WORDS_LEFT_PX) - _SIDE_PX
        for words, px, semibold, text_role in self._parts():
            painter.setFont(look.font(px, semibold=semibold))
            painter.setPen(look.color(text_role))
            box = QRectF(look.px(_WORDS_LEFT_PX), top, room, 10_000)
            top = painter.boundingRect(box, _WRAP, words).bottom()
            painter.drawText(box, _WRAP, words)
        if chosen:
            self._paint_links(painter)
        if self.hasFocus():
            draw_focus_ring(painter, QRectF(self.rect()).adjusted(4, 2, -4, -2), look.color("mark"))

    def _paint_head(self, painter: QPainter, role: str) -> float:
        look, left = self._look, self._look.px(_WORDS_LEFT_PX)
        line = look.px(20)
        painter.setFont(look.font(12.5, semibold=True))
        painter.setPen(look.color(role))
        word = SEVERITY_WORDS[self.finding.severity]
        painter.drawText(QRectF(left, 4, 200, line), int(Qt.AlignmentFlag.AlignVCenter), word)
        left += round(QFontMetricsF(painter.font()).horizontalAdvance(word)) + 18
        painter.setFont(look.font(12.5))
        painter.setPen(look.color("ink_soft"))
        about = self.finding.question.value + (f", {self._subject}" if self._subject else "")
        shown = QFontMetricsF(painter.font()).elidedText(
            about, Qt.TextElideMode.ElideRight, self.width() - left - _SIDE_PX
        )
        painter.drawText(QRectF(left, 4, self.width(), line), int(Qt.AlignmentFlag.AlignVCenter), shown)
        return 4.0 + line

    def _paint_links(self, painter: QPainter) -> None:
        look = self._look
        show, source = self._links()
        if self.finding.at is not None or self._subject:
            font = look.font(13, semibold=True)
            font.setUnderline(True)
            painter.setFont(font)
            painter.setPen(look.color("mark"))
            painter.drawText(show, int(Qt.AlignmentFlag.AlignVCenter), "Show on the plan")
        font = look.font(12)
        font.setUnderline(True)
        painter.setFont(font)
        painter.setPen(look.color("ink_soft"))
        painter.drawText(source, int(Qt.AlignmentFlag.AlignVCenter), "Source")

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The word Source opens the source; all else chooses the finding."""
        if self.isChecked() and self._links()[1].adjusted(-6, -4, 6, 4).contains(event.position()):
            self.setDown(False)
            self.asked_source.emit(self.finding)
            return
        super().mouseReleaseEvent(event)


class FindingsPanel(QWidget):
    """The list under the card: those of the present question and of the selected thing, or all."""

    show_wanted = Signal(object)  # Finding that the plan should bring into sight
    fold_wanted = Signal()  # the list should be folded to one line, or opened

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._all = False
        self._rows: list[FindingRow] = []
        self._title, self._counts = QLabel("Findings", self), QLabel(self)
        self._all_button = QToolButton(self)
        self._fold_button = QToolButton(self)
        self._nothing = QLabel(self)
        self._list = QWidget(self)
        self._lay_out()
        for signal in (desk.answersChanged, desk.questionChanged, desk.selectionChanged):
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

    def _choose(self, finding: Finding) -> None:
        self._desk.choose(finding)
        self.show_wanted.emit(finding)

    def _refresh(self) -> None:
        shown = self.shown()
        if tuple(row.finding for row in self._rows) != shown:
            self._rebuild(shown)
        answers = self._desk.answers
        total = len(answers.findings) if answers is not None else 0
        self._counts.setText(counts_words(shown).replace(", ", "  "))
        self._all_button.setText(f"All {total}")
        self._all_button.setVisible(total > len(shown) or self._all)
        self._nothing.setVisible(not shown)
        self._nothing.setText("Nothing to mend here." if answers is not None else "No answers yet.")
        self._follow_choice(self._desk.finding)

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
        """Up and Down choose, Enter and M show it on the plan, S says the source."""
        key = event.key()
        chosen = next((row for row in self._rows if row.isChecked()), None)
        if key in {Qt.Key.Key_Up, Qt.Key.Key_Down}:
            self.step(-1 if key == Qt.Key.Key_Up else 1)
            self.focus_current()
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
