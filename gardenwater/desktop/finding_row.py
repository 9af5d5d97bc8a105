"""One finding in the list: its sign and sentence; the chosen one opens."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import SEVERITY_ROLES, icon_pixmap, severity_icon
from gardenwater.desktop.look import Look
from gardenwater.findings import Finding
from gardenwater.findings.catalogue.overflow import MENDABLE
from gardenwater.findings.wording import SEVERITY_WORDS, Sentence

_SIDE_PX, _SIGN_PX, _WORDS_LEFT_PX = 20, 16, 46
_ROW_PX = 28
_SHOW, _MENDS = "Show on the plan", "Show mends"
_WRAP = int(Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)


class FindingRow(QAbstractButton):
    """One finding: sign and sentence; the chosen one opens to its figures, mend and source."""

    asked_source = Signal(object)
    asked_mends = Signal(object)

    def __init__(self, finding: Finding, words: Sentence, subject: str, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self.finding, self._words, self._subject, self._look = finding, words, subject, look
        self._source_shown = False
        self.setCheckable(True)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
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

    @property
    def mendable(self) -> bool:
        """Whether mends can be looked for."""
        return self.finding.code in MENDABLE

    def _mends_box(self) -> QRectF:
        """Where the words for its mends stand, after those that show it on the plan."""
        show, font = self._links()[0], self._look.font(13, semibold=True)
        left = show.left()
        if self._shows_on_plan():
            left += QFontMetricsF(font).horizontalAdvance(_SHOW) + 18
        return QRectF(left, show.top(), QFontMetricsF(font).horizontalAdvance(_MENDS) + 2, show.height())

    def _shows_on_plan(self) -> bool:
        return self.finding.at is not None or bool(self._subject)

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
        font = look.font(13, semibold=True)
        font.setUnderline(True)
        painter.setFont(font)
        painter.setPen(look.color("mark"))
        if self._shows_on_plan():
            painter.drawText(show, int(Qt.AlignmentFlag.AlignVCenter), _SHOW)
        if self.mendable:
            painter.drawText(self._mends_box(), int(Qt.AlignmentFlag.AlignVCenter), _MENDS)
        font = look.font(12)
        font.setUnderline(True)
        painter.setFont(font)
        painter.setPen(look.color("ink_soft"))
        painter.drawText(source, int(Qt.AlignmentFlag.AlignVCenter), "Source")

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """The word Source opens the source, Show mends the mends; all else chooses the finding."""
        if self.isChecked() and self._links()[1].adjusted(-6, -4, 6, 4).contains(event.position()):
            self.setDown(False)
            self.asked_source.emit(self.finding)
            return
        if self.isChecked() and self.mendable and self._mends_box().adjusted(-6, -4, 6, 4).contains(event.position()):
            self.setDown(False)
            self.asked_mends.emit(self.finding)
            return
        super().mouseReleaseEvent(event)
