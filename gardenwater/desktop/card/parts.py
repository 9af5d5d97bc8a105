"""The painted parts of the card: name line, figures, table."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.card.contents import Contents, Figure, Table
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.icons import icon_pixmap
from gardenwater.desktop.look import Look, measure, plan_font
from gardenwater.report.drawing import TextStyle

_LEFT = int(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
_RIGHT = int(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
_ICON_PX, _ROW_PX, _WIDTH_PX = 24, 21, 200
_GAP_PX, _CLOSE_PX, _MANY_COLUMNS = 12.0, 8.0, 5
_ABREAST = 2


def _gap(columns: int) -> float:
    """Room between so many columns."""
    return _GAP_PX if columns < _MANY_COLUMNS else _CLOSE_PX


class _Painted(QWidget):
    """A widget that is as high as its words and as wide as the card."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._look = look
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)

    def _write(
        self,
        painter: QPainter,
        box: QRectF,
        words: str,
        size: float,
        role: str,
        *,
        semibold: bool = False,
        flags: int = _LEFT,
    ) -> None:
        font = plan_font(self._style(size, semibold=semibold))
        painter.setFont(font)
        painter.setPen(self._look.color(role))
        if self._width(words, size, semibold=semibold) > box.width():
            words = QFontMetricsF(font).elidedText(words, Qt.TextElideMode.ElideRight, box.width())
        painter.drawText(box, flags, words)

    def _width(self, words: str, size: float, *, semibold: bool = False) -> float:
        return measure(words, self._style(size, semibold=semibold))[0]

    def _style(self, size: float, *, semibold: bool) -> TextStyle:
        return TextStyle(size * self._look.factor, semibold)


class NameLine(_Painted):
    """Icon in the thing's colour, its name, and its place in its kind at the right."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self._contents = Contents()
        self._icon = ""

    def show_contents(self, contents: Contents, icon: str) -> None:
        """Show another name; `icon` names its drawing."""
        self._contents, self._icon = contents, icon
        self.setToolTip(contents.title)
        self.setAccessibleName(f"{contents.title}, {contents.place}".rstrip(", "))
        self.update()

    def sizeHint(self) -> QSize:
        """One line."""
        return QSize(_WIDTH_PX, self._look.px(30))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The line."""
        painter, look, made = QPainter(self), self._look, self._contents
        left = 0.0
        if self._icon:
            size = look.px(_ICON_PX)
            colors = look.color(made.icon_role), look.color("slip")
            picture = icon_pixmap(self._icon, *colors, size, self.devicePixelRatioF())
            painter.drawPixmap(0, (self.height() - size) // 2, picture)
            left = size + 10.0
        place = self._width(made.place, 12.5)
        room = self.width() - left - place - (12 if made.place else 0)
        need = self._width(made.title, 19, semibold=True) + 1.0
        type_px = 19.0 if need <= room else max(15.0, 19.0 * room / need)
        self._write(painter, QRectF(left, 0, room, self.height()), made.title, type_px, "ink", semibold=True)
        self._write(
            painter,
            QRectF(self.width() - place - 1, 2, place + 1, self.height()),
            made.place,
            12.5,
            "ink_soft",
            flags=_RIGHT,
        )


class FigureRow(_Painted):
    """Three figures side by side, each as wide as it needs; on a card too narrow for that the last stands below."""

    _GAP_PX = 16
    _HIGH_PX = 46

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self._figures: tuple[Figure, ...] = ()
        self._lines = 1

    def show_figures(self, figures: tuple[Figure, ...]) -> None:
        """Show others."""
        self._figures = figures
        self.setVisible(bool(figures))
        self.setAccessibleName("; ".join(f"{figure.value} {figure.caption}" for figure in figures))
        self._fold()
        self.update()

    def sizeHint(self) -> QSize:
        """A figure and what it is of, in each line."""
        return QSize(_WIDTH_PX, self._look.px(self._HIGH_PX) * len(self._in_lines()))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """As many lines as the figures need in this width."""
        super().resizeEvent(event)
        self._fold()

    def _fold(self) -> None:
        lines = len(self._in_lines())
        if lines != self._lines:
            self._lines = lines
            self.updateGeometry()

    def _need(self, figure: Figure) -> float:
        return max(self._width(figure.value, 21, semibold=True), self._width(figure.caption, 12.5)) + 1.0

    def _in_lines(self) -> list[tuple[Figure, ...]]:
        """The figures of each line."""
        needs = sum(map(self._need, self._figures)) + self._GAP_PX * (len(self._figures) - 1)
        if needs <= self.width() or len(self._figures) <= _ABREAST:
            return [self._figures]
        return [self._figures[:_ABREAST], self._figures[_ABREAST:]]

    def _sizes(self, figures: tuple[Figure, ...]) -> list[float]:
        """Room for each: what it needs, plus its share of what is over; a smaller type where it does not fit."""
        needs = [self._need(figure) for figure in figures]
        room = self.width() - self._GAP_PX * (len(needs) - 1)
        over = (room - sum(needs)) / max(len(needs), 1)
        return [need + over for need in needs] if over >= 0 else [need * room / sum(needs) for need in needs]

    def paintEvent(self, event: QPaintEvent) -> None:
        """The figures."""
        painter, look = QPainter(self), self._look
        for line, figures in enumerate(self._in_lines()):
            at, top = 0.0, line * float(look.px(self._HIGH_PX))
            for figure, width in zip(figures, self._sizes(figures), strict=True):
                need = self._width(figure.value, 21, semibold=True)
                size = 21.0 if need <= width else max(15.0, 21.0 * width / need)
                box = QRectF(at, top, width, look.px(26))
                self._write(painter, box, figure.value, size, figure.role, semibold=True)
                below = QRectF(at, top + look.px(26), width, look.px(18))
                self._write(painter, below, figure.caption, 12.5, "ink_soft")
                at += width + self._GAP_PX


class TableList(_Painted):
    """A table whose rows can be pressed, or walked with the keyboard, to select what they are about."""

    picked = Signal(str)  # id of a thing

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__(look, parent)
        self._table = Table((), ())
        self._over, self._at = -1, 0
        self.setMouseTracking(True)

    def show_table(self, table: Table) -> None:
        """Show other rows."""
        self._table = table
        self._at = min(self._at, max(len(table.rows) - 1, 0))
        pressable = any(row.thing for row in table.rows)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus if pressable else Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(f"Table: {', '.join(table.heads)}")
        self._tell()
        self.updateGeometry()
        self.update()

    def _tell(self) -> None:
        rows = self._table.rows
        self.setAccessibleDescription(", ".join(rows[self._at].cells) if rows else "")

    def sizeHint(self) -> QSize:
        """As high as its rows."""
        return QSize(_WIDTH_PX, self._look.px(_ROW_PX) * (len(self._table.rows) + 1) + 8)

    def _needs(self) -> list[float]:
        """How wide the words of each column are."""
        needs = [0.0] * len(self._table.heads)
        for cells in (self._table.heads, *(row.cells for row in self._table.rows)):
            for place, words in enumerate(cells):
                head = cells is self._table.heads
                needs[place] = max(needs[place], self._width(words, 12 if head else 13, semibold=head))
        return needs

    def _shown(self, needs: list[float]) -> list[int]:
        """The columns that there is room for."""
        shown = list(range(len(needs)))
        for place in self._table.gives_way:
            if sum(needs[each] for each in shown) + _gap(len(shown)) * (len(shown) - 1) <= self.width():
                break
            shown.remove(place)
        return shown

    def _columns(self) -> dict[int, tuple[float, float]]:
        """Left edge and width of each column that is shown: numbers as wide as they need, names the rest."""
        needs = self._needs()
        shown = self._shown(needs)
        others, gap = len(shown) - 1, _gap(len(shown))
        if not shown:
            return {}
        names = max(self.width() - sum(needs[place] for place in shown[1:]) - gap * others, min(needs[0], 60.0))
        spare = max(names - needs[0], 0.0) / others if others else 0.0
        edges, at = {}, 0.0
        for place in shown:
            width = min(names, needs[0]) if place == 0 else needs[place] + spare
            edges[place] = (at, width)
            at += width + gap
        return edges

    def paintEvent(self, event: QPaintEvent) -> None:
        """Head, rule, rows."""
        painter, look, line = QPainter(self), self._look, float(self._look.px(_ROW_PX))
        columns = self._columns()
        for place, (left, width) in columns.items():
            box = QRectF(left, 0, width, line)
            self._write(
                painter, box, self._table.heads[place], 12, "ink_soft", semibold=True, flags=_RIGHT if place else _LEFT
            )
        painter.setPen(look.color("rule"))
        painter.drawLine(QPointF(0, line + 1), QPointF(self.width(), line + 1))
        for number in self._in_sight(event):
            row, top = self._table.rows[number], line * (number + 1) + 4
            if number == self._over and row.thing:
                painter.fillRect(QRectF(-4, top, self.width() + 8, line), look.color("slip_rest"))
            for place, words in enumerate(row.cells):
                if place in columns:
                    left, width = columns[place]
                    flags = _RIGHT if place else _LEFT
                    self._write(painter, QRectF(left, top, width, line), words, 13, row.role, flags=flags)
        if self.hasFocus() and self._table.rows:
            ring = QRectF(0, line * (self._at + 1) + 4, self.width(), line)
            draw_focus_ring(painter, ring, look.color("mark"))

    def _in_sight(self, event: QPaintEvent) -> range:
        """The rows that a paint touches: of a long table most are scrolled away."""
        line, seen = self._look.px(_ROW_PX), event.rect()
        first, end = int((seen.top() - 4) // line) - 1, int((seen.bottom() - 4) // line)
        return range(max(first, 0), min(max(end, 0), len(self._table.rows)))

    def _row_at(self, y: float) -> int:
        number = int((y - 4) // self._look.px(_ROW_PX)) - 1
        return number if 0 <= number < len(self._table.rows) else -1

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """The row under the pointer is lit."""
        self._over = self._row_at(event.position().y())
        pressable = self._over >= 0 and bool(self._table.rows[self._over].thing)
        self.setCursor(Qt.CursorShape.PointingHandCursor if pressable else Qt.CursorShape.ArrowCursor)
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        """No row stays lit."""
        self._over = -1
        self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        """Select what the row is about."""
        self._pick(self._row_at(event.position().y()))

    def _pick(self, number: int) -> None:
        if number >= 0 and self._table.rows[number].thing:
            self.picked.emit(self._table.rows[number].thing)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Up and Down go through the rows, Enter selects."""
        step = {Qt.Key.Key_Up: -1, Qt.Key.Key_Down: 1}.get(Qt.Key(event.key()), 0)
        if step and self._table.rows:
            self._at = (self._at + step) % len(self._table.rows)
            self._tell()
            self.update()
        elif event.key() in {Qt.Key.Key_Return, Qt.Key.Key_Enter}:
            self._pick(self._at)
        else:
            super().keyPressEvent(event)
