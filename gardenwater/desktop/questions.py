"""The row of questions, which is also the row of answers."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPoint, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QLabel, QRadioButton, QSizePolicy, QVBoxLayout, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import SEVERITY_ROLES, icon_pixmap, question_icon
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.desktop.worker import Phase
from gardenwater.findings import Question
from gardenwater.findings.short import ShortAnswer
from gardenwater.findings.wording import short_words
from gardenwater.site.names import name_of

NO_ANSWER = "no answer yet"
NO_SITE = "No site yet"
_ICON_PX = 24
_WORD_PX, _ANSWER_PX = 14.5, 13.0
_MARK_PX = 3
_PAD_PX = 14
_WIDEST_PX = 260


class QuestionButton(QRadioButton):
    """One question with its shortest answer below; the chosen one stands on paper under a plum line."""

    def __init__(self, question: Question, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.question = question
        self._look = look
        self._answer = NO_ANSWER
        self._role = "ink_soft"
        self._stale = False
        self._with_icon = True
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMaximumWidth(look.px(_WIDEST_PX))
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def set_answer(self, answer: str, role: str, *, stale: bool) -> None:
        """Show an answer in the colour of a role; a stale one (working out) at half strength."""
        self._answer, self._role, self._stale = answer, role, stale
        place = list(Question).index(self.question) + 1
        self.setAccessibleName(f"{self.question.value}, {answer}, {place} of {len(Question)}")
        self.setToolTip("" if self._fits() else f"{self.question.value}: {answer}")
        self.updateGeometry()
        self.update()

    def show_icon(self, shown: bool) -> None:
        """Whether the icon stands before the words (it folds away in a narrow window)."""
        self._with_icon = shown
        self.update()

    def sizeHint(self) -> QSize:
        """Wide enough for both words, never wider than a block may be."""
        words = max(self._width(self.question.value, _WORD_PX, True), self._width(self._answer, _ANSWER_PX, False))
        return QSize(
            min(round(words + self._left() + self._look.px(_PAD_PX)), self._look.px(_WIDEST_PX)), self._look.px(58)
        )

    def minimumSizeHint(self) -> QSize:
        """The question's own word is never cut."""
        width = self._left() + self._width(self.question.value, _WORD_PX, True) + self._look.px(6)
        return QSize(round(width), self._look.px(44))

    def hitButton(self, pos: QPoint) -> bool:
        """All of the block takes clicks, not only a round button."""
        return self.rect().contains(pos)

    def _left(self) -> float:
        icon = self._look.px(_ICON_PX) + self._look.px(10) if self._with_icon else 0
        return self._look.px(_PAD_PX) + icon

    def _width(self, words: str, size: float, semibold: bool) -> float:
        return QFontMetricsF(self._look.font(size, semibold=semibold)).horizontalAdvance(words)

    def _fits(self) -> bool:
        return self._width(self._answer, _ANSWER_PX, False) <= self.width() - self._left() - 4

    def paintEvent(self, event: QPaintEvent) -> None:
        """Icon, word and answer."""
        look, chosen = self._look, self.isChecked() and self.isEnabled()
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        rect = QRectF(self.rect())
        ground = "slip" if chosen else "slip_rest" if self.underMouse() else "sheet"
        if ground != "sheet":
            painter.fillRect(rect, look.color(ground))
        else:
            upright = QRectF(rect.width() - 1, rect.height() * 0.22, 1, rect.height() * 0.56)
            painter.fillRect(upright, look.color("hairline"))
        if chosen:
            painter.fillRect(QRectF(0, 0, rect.width(), _MARK_PX), look.color("mark"))
        word_role = "mark" if chosen else "ink"
        if self._with_icon:
            size = look.px(_ICON_PX)
            picture = icon_pixmap(
                question_icon(self.question), look.color(word_role), look.color(ground), size, self.devicePixelRatioF()
            )
            painter.drawPixmap(look.px(_PAD_PX), round((rect.height() - size) / 2) + 1, picture)
        self._paint_words(painter, rect, word_role)
        if self.hasFocus():
            draw_focus_ring(painter, rect.adjusted(3, 5, -3, -3), look.color("mark"))

    def _paint_words(self, painter: QPainter, rect: QRectF, word_role: str) -> None:
        look, left = self._look, self._left()
        line = look.px(19)
        top = (rect.height() - 2 * line) / 2 + 1
        room = rect.width() - left - 4
        painter.setFont(look.font(_WORD_PX, semibold=True))
        painter.setPen(look.color(word_role))
        painter.drawText(QRectF(left, top, room, line), Qt.AlignmentFlag.AlignVCenter, self.question.value)
        font = look.font(_ANSWER_PX)
        painter.setFont(font)
        painter.setPen(look.color(self._role, 0.5 if self._stale else 1.0))
        shown = QFontMetricsF(font).elidedText(self._answer, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QRectF(left, top + line, room, line), Qt.AlignmentFlag.AlignVCenter, shown)


class QuestionRow(QWidget):
    """The site's name, and the seven questions with their answers."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self.setAccessibleName("Questions")
        self._title = QLabel(self)
        self._about = QLabel(self)
        self._heading = QWidget(self)
        self._no_site = False
        self._heading_shown = True
        self._buttons = {question: QuestionButton(question, look, self) for question in Question}
        self._lay_out()
        for question, button in self._buttons.items():
            button.clicked.connect(lambda _=False, asked=question: desk.ask(asked))
        desk.questionChanged.connect(self._show_question)
        desk.answersChanged.connect(self._show_answers)
        desk.workChanged.connect(self._show_answers)
        desk.siteChanged.connect(self._show_name)
        self._restyle()
        self._show_question(desk.question)
        self._show_answers()
        self._show_name()

    def _lay_out(self) -> None:
        heading = QVBoxLayout(self._heading)
        heading.setContentsMargins(16, 8, 8, 8)
        heading.setSpacing(0)
        heading.addWidget(self._title)
        heading.addWidget(self._about)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(1)
        row.addWidget(self._heading)
        for button in self._buttons.values():
            row.addWidget(button)
        row.addStretch(0)

    def fold(self, *, heading: bool, icons: bool, heading_px: int, side_px: int) -> None:
        """Show or fold the site's name and the icons, as the window has room.

        heading_px: width of the name's column; side_px: what is left free there when the name is folded.
        """
        self._title.setVisible(heading)
        self._about.setVisible(heading and bool(self._about.text()))
        self._heading_shown = heading
        self._heading.setFixedWidth(max(heading_px, self._look.px(184)) if heading else side_px)
        for button in self._buttons.values():
            button.show_icon(icons)

    def show_no_site(self, none: bool) -> None:
        """Whether there is no site yet: the heading says so instead of a name."""
        self._no_site = none
        self._show_name()
        self._show_answers()

    @property
    def shown_name(self) -> str:
        """The site's name as it is shown, cut where there is no room."""
        return self._title.text()

    @property
    def heading_tip(self) -> str:
        """The whole name, and what is said about the site."""
        return self._heading.toolTip()

    def button(self, question: Question) -> QuestionButton:
        """The button of a question, for focus and tests."""
        return self._buttons[question]

    def focus_current(self) -> None:
        """Give the keyboard to the question that is asked."""
        self._buttons[self._desk.question].setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _show_question(self, question: Question) -> None:
        self._buttons[question].setChecked(True)

    def _show_name(self) -> None:
        site = self._desk.site
        name, about = (NO_SITE, "") if self._no_site else (site.name, site.about)
        metrics = QFontMetricsF(self._title.font())
        room = self._heading.width() - 26
        self._title.setText(metrics.elidedText(name, Qt.TextElideMode.ElideRight, room))
        self._title.setAccessibleName(name)
        shown = QFontMetricsF(self._about.font()).elidedText(about, Qt.TextElideMode.ElideRight, room)
        self._about.setText(shown)
        self._about.setVisible(bool(about) and self._heading_shown)
        self._heading.setToolTip(f"{name}, {about}" if about else name)

    def _show_answers(self) -> None:
        answers = None if self._no_site else self._desk.answers
        stale = self._desk.work.phase is Phase.WORKING and not self._desk.settled
        for question, button in self._buttons.items():
            short = answers.words.get(question) if answers is not None else None
            button.set_answer(self._words(short), _role(short), stale=stale and short is not None and not short.needs)

    def _words(self, short: ShortAnswer | None) -> str:
        site = self._desk.site
        return (
            NO_ANSWER
            if short is None
            else short_words(short, lambda thing_id: name_of(site, thing_id), self._desk.units)
        )

    def _restyle(self) -> None:
        look = self._look
        self._title.setFont(look.font(19, semibold=True))
        self._about.setFont(look.font(12.5, italic=True))
        palette = self._about.palette()
        palette.setColor(self._about.foregroundRole(), look.color("ink_soft"))
        self._about.setPalette(palette)

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self._restyle()
        super().changeEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """A long name is cut with dots at the heading's width; its whole is the tool tip."""
        self._show_name()
        super().resizeEvent(event)


def _role(short: ShortAnswer | None) -> str:
    if short is None or short.needs:
        return "ink_quiet"
    return "ink_soft" if short.severity is None else SEVERITY_ROLES[short.severity]
