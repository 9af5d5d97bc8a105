"""The words on a sheet on which nothing is drawn yet."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Words
from gardenwater.desktop.dialogs.sheet import paint_paper
from gardenwater.desktop.look import Look
from gardenwater.site.model import Site
from gardenwater.units import Quantity, text

FIRST = "Draw a roof, put a tank beside it, and ask Reach."
_WIDE_PX = 540


def hint_words(site: Site) -> tuple[str, ...]:
    """What an empty sheet says; nothing once something is drawn, or a picture waits to be set to scale."""
    if site.things:
        return ()
    if site.ground is not None or site.survey.contours:
        return (FIRST,)
    level = text(site.settings.flat_level_m, Quantity.LEVEL_M, site.settings.units)
    return FIRST, f"No levels yet: the ground is taken as flat at {level}. Add three level pegs or a raster."


class EmptyHint(QWidget):
    """Stands over the middle of the plan, and lets all hands through to it."""

    def __init__(self, desk: Desk, look: Look, plan: QWidget) -> None:
        super().__init__(plan)
        self._desk, self._look = desk, look
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self._first = Words("", look, self, size=15, semibold=True)
        self._second = Words("", look, self, role="ink_soft")
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 20, 24, 20)
        column.setSpacing(6)
        for label in (self._first, self._second):
            label.setAlignment(Qt.AlignmentFlag.AlignHCenter)
            column.addWidget(label)
        plan.installEventFilter(self)
        desk.siteChanged.connect(self.refresh)
        desk.toolChanged.connect(self.refresh)
        look.changed.connect(self._place)
        self.refresh()

    def paintEvent(self, event: QPaintEvent) -> None:
        """A sheet of its own, so that grid and washes do not run through the words."""
        paint_paper(QPainter(self), QRectF(self.rect()), self._look)

    def refresh(self) -> None:
        """Show the words that hold now; none while something is drawn."""
        words = hint_words(self._desk.site) if not self._desk.tool else ()
        self.setVisible(bool(words))
        if words:
            self._first.setText(words[0])
            self._second.setText(" ".join(words[1:]))
            self._second.setVisible(len(words) > 1)
            self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay at the middle of the plan."""
        if event.type() is QEvent.Type.Resize and watched is self.parentWidget():
            self._place()
        return False

    def _place(self) -> None:
        plan = self.parentWidget()
        if plan is not None:
            self.setFixedWidth(min(self._look.px(_WIDE_PX), plan.width() - 80))
            self.adjustSize()
            self.move((plan.width() - self.width()) // 2, (plan.height() - self.height()) // 2)
