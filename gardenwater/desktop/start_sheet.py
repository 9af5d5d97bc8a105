"""The first sheet: four ways to begin, what was opened before, units; laid over the window while there is no site."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPixmap
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from gardenwater.desktop.dialogs.parts import Button, Rule, Segments, Weight, Words
from gardenwater.desktop.dialogs.sheet import SCRIM_STRENGTH, paint_paper
from gardenwater.desktop.look import Look
from gardenwater.desktop.preferences import Preferences
from gardenwater.desktop.start_parts import WAY_PX, WORDS_LEFT_PX, Picture, RecentRow, Way, WayRow
from gardenwater.units import UnitSystem

_WIDE_PX, _HIGH_PX, _LEAST_MARGIN_PX = 1040, 704, 24
_SHADOW_PX = 10
_ANY_PX = 16_777_215  # what Qt takes as no limit
_OUT_PX = 14  # how far the first way stands out to the left of the words
_UNITS = (UnitSystem.METRIC, UnitSystem.US)
_MOST_LISTED = 4
TITLE = "Water the garden from its own roofs, without a pump"
LEAD = (
    "Draw the place, or open the sample. The plan then answers seven questions, from the lie of the ground to today’s"
    " watering round."
)
CAPTION = "The sample: how long a can takes to fill, and where the shed tank’s overflow goes."
NOTHING_YET = "Nothing yet. Sites that you save are listed here."
STAYS = "Everything stays on this computer."


WAYS = (
    Way(
        "sample",
        "q-reach",
        "Open the sample garden",
        "Quillet Bank: a slope, two roofs, four tanks, seven beds. A reach map at once.",
    ),
    Way(
        "raster",
        "q-ground",
        "Start from a raster of levels",
        "GeoTIFF or ASCII grid, in metres or feet. Best when you have one.",
    ),
    Way(
        "picture",
        "path",
        "Start from a picture",
        "A scan, photograph or map; set it to scale by two points. Add level pegs.",
    ),
    Way(
        "empty",
        "level-peg",
        "Start from an empty sheet",
        "Measure as you go: pegs, tape and a water level are enough.",
    ),
)


def _indented(by_px: int, widget: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.setContentsMargins(by_px, 0, 0, 0)
    row.addWidget(widget, 1000)  # as wide as it may be; the rest stays free
    row.addStretch(0 if widget.maximumWidth() == _ANY_PX else 1)
    return row


class StartSheet(QWidget):
    """Covers what it is a child of; the menu above stays in use."""

    wanted = Signal(str)  # key of a way
    opened = Signal(object)  # Path of a site opened before
    open_wanted = Signal()

    def __init__(self, look: Look, preferences: Preferences, parent: QWidget) -> None:
        super().__init__(parent)
        self._look, self._preferences = look, preferences
        self.setAccessibleName("Start")
        self._paper = QWidget(self)
        self.ways: dict[str, WayRow] = {}
        self.recent: list[RecentRow] = []
        self.picture: Picture | None = None
        self._fill()
        parent.installEventFilter(self)
        look.changed.connect(self._refill)
        self._place()

    # contents

    def _refill(self) -> None:
        self._paper.hide()
        self._paper.deleteLater()
        self._paper = QWidget(self)
        shown = QPixmap() if self.picture is None else self.picture.picture
        self._fill()
        if self.picture is not None and not shown.isNull():
            self.picture.show_picture(shown)
        self._paper.show()
        self._place()

    def _fill(self) -> None:
        look, paper = self._look, self._paper
        column = QVBoxLayout(paper)
        side = look.px(44)
        out = look.px(_OUT_PX)
        column.setContentsMargins(side - out, look.px(40), side, look.px(18))
        column.setSpacing(0)
        title = Words(TITLE, look, paper, size=26, semibold=True)
        lead = Words(LEAD, look, paper, size=14, role="ink_soft")
        lead.setMaximumWidth(look.px(640))
        column.addLayout(_indented(out, title))
        column.addSpacing(look.px(6))
        column.addLayout(_indented(out, lead))
        column.addSpacing(look.px(20))
        middle = QHBoxLayout()
        middle.setSpacing(look.px(36))
        middle.addLayout(self._left(), 1)
        middle.addLayout(self._right(), 0)
        column.addLayout(middle, 1)
        column.addLayout(_indented(out, Rule(paper)))
        column.addSpacing(look.px(12))
        column.addLayout(self._foot())

    def _left(self) -> QVBoxLayout:
        look, paper = self._look, self._paper
        column = QVBoxLayout()
        column.setSpacing(0)
        for place, way in enumerate(WAYS):
            row = WayRow(way, look, paper, first=place == 0)
            row.clicked.connect(lambda _=False, key=way.key: self.wanted.emit(key))
            self.ways[way.key] = row
            column.addWidget(row, WAY_PX)
            column.addStretch(3)
            if 0 < place < len(WAYS) - 1:
                ruled = QHBoxLayout()
                ruled.setContentsMargins(look.px(WORDS_LEFT_PX), 0, 0, 0)
                ruled.addWidget(Rule(paper))
                column.addLayout(ruled)
            column.addStretch(3)
        column.addStretch(12)
        head = QHBoxLayout()
        head.setContentsMargins(look.px(_OUT_PX), 0, 0, 0)
        head.setSpacing(look.px(18))
        name = Words("Opened before", look, paper, size=12.5, semibold=True, role="ink_soft")
        name.setWordWrap(False)
        head.addWidget(name)
        head.addWidget(Rule(paper), 1)
        column.addLayout(head)
        column.addSpacing(4)
        column.addLayout(self._recent())
        column.addStretch(56)
        return column

    def _recent(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(self._look.px(12))
        row.setContentsMargins(self._look.px(_OUT_PX), 0, 0, 0)
        self.recent = []
        for path in self._preferences.recent[:_MOST_LISTED]:
            button = RecentRow(path, self._look, self._paper)
            button.clicked.connect(lambda _=False, chosen=path: self.opened.emit(chosen))
            self.recent.append(button)
            row.addWidget(button)
        if not self.recent:
            nothing = Words(NOTHING_YET, self._look, self._paper, role="ink_soft")
            nothing.setWordWrap(False)
            row.addWidget(nothing)
        row.addStretch(1)
        return row

    def _right(self) -> QVBoxLayout:
        look, paper = self._look, self._paper
        column = QVBoxLayout()
        column.setSpacing(0)
        self.picture = Picture(look, paper)
        caption = Words(CAPTION, look, paper, size=12.5, role="ink_soft", italic=True)
        caption.setMaximumWidth(look.px(320))
        caption.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        column.addWidget(self.picture)
        column.addSpacing(look.px(8))
        column.addWidget(caption, 1)
        return column

    def _foot(self) -> QHBoxLayout:
        look, paper = self._look, self._paper
        row = QHBoxLayout()
        row.setSpacing(look.px(14))
        row.setContentsMargins(look.px(_OUT_PX), 0, 0, 0)
        units = Words("Units", look, paper, size=12.5, role="ink_soft")
        units.setWordWrap(False)
        row.addWidget(units)
        self.units = Segments("Units", ("metres, litres", "feet, US gallons"), look, paper)
        self.units.pick(_UNITS.index(self._preferences.units))
        self.units.chosen.connect(self._take_units)
        row.addWidget(self.units)
        stays = Words(STAYS, look, paper, size=12.5, role="ink_soft")
        stays.setWordWrap(False)
        row.addWidget(stays)
        row.addStretch(1)
        saved = Button("Open a saved site ...", look, paper, Weight.LINK)
        saved.clicked.connect(self.open_wanted)
        row.addWidget(saved)
        return row

    def _take_units(self, place: int) -> None:
        self._preferences.units = _UNITS[place]

    def list_recent(self) -> None:
        """Look again at what was opened before."""
        self._refill()

    def focus_first(self) -> None:
        """Give the keyboard to the first way."""
        self.ways[WAYS[0].key].setFocus(Qt.FocusReason.OtherFocusReason)

    # place

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Stay as large as what is covered."""
        if event.type() is QEvent.Type.Resize and watched is self.parentWidget():
            self._place()
        return False

    def _place(self) -> None:
        parent = self.parentWidget()
        if parent is None:
            return
        self.setGeometry(parent.rect())
        margin = _LEAST_MARGIN_PX
        width = min(self._look.px(_WIDE_PX), self.width() - 2 * margin)
        height = min(self._look.px(_HIGH_PX), self.height() - 2 * margin)
        if self.picture is not None:
            self.picture.setVisible(width >= self._look.px(880))
        self._paper.setGeometry((self.width() - width) // 2, (self.height() - height) // 2, width, height)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """The window dimmed, and the paper with its shadow."""
        look, painter = self._look, QPainter(self)
        painter.fillRect(self.rect(), look.color("sheet", SCRIM_STRENGTH))
        paper = QRectF(self._paper.geometry())
        for spread in range(_SHADOW_PX, 0, -1):
            painter.fillRect(paper.adjusted(-spread, 1 - spread, spread, spread + 3), look.color("ink", 0.01))
        paint_paper(painter, paper, look)
