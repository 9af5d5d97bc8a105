"""What Lasting's card has besides figures and tables: the curve of the share met, its sentences, the way to weather."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QImage, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QVBoxLayout, QWidget

from gardenwater.assess.answers import StoreSizes
from gardenwater.desktop.card.of_lasting import lasting_sentences
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Button, Segments, Weight, Words
from gardenwater.desktop.look import Look, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.qtimages import blank_image
from gardenwater.desktop.year.feed import lack_of
from gardenwater.desktop.year.shown import Lack
from gardenwater.findings import Question
from gardenwater.report.year.curve import Against, curve_marks, now_of
from gardenwater.units import Quantity, text

_HIGH_PX = 168
_AGAINST = {Against.TANKS: "Tank", Against.ROOFS: "Roof", Against.BEDS: "Beds"}


class CurvePicture(QWidget):
    """The curve, painted."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._sizes: StoreSizes | None = None
        self._against = Against.TANKS
        self._kept: QImage | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self._forget)

    def _forget(self) -> None:
        self._kept = None
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Drawn anew."""
        self._forget()
        super().resizeEvent(event)

    def show_sizes(self, sizes: StoreSizes, against: Against) -> None:
        """Show another curve."""
        if sizes is self._sizes and against is self._against:
            return
        self._sizes, self._against = sizes, against
        self._kept = None
        self.setAccessibleName(self._spoken(sizes, against))
        self.update()

    def _spoken(self, sizes: StoreSizes, against: Against) -> str:
        curve, units = sizes.curve(against), self._desk.units
        if curve is None:
            return ""
        quantity = Quantity.VOLUME_L if against is Against.TANKS else Quantity.AREA_M2
        points = [
            f"{text(size, quantity, units)}: {text(share, Quantity.SHARE, units)}"
            for size, share in zip(curve.sizes, curve.share_volume, strict=True)
        ]
        size, share = now_of(curve)
        now = f"now {text(size, quantity, units)}: {text(share, Quantity.SHARE, units)}"
        return f"Share of the need that is met by {_AGAINST[against].lower()}, {now}; {'; '.join(points)}"

    def sizeHint(self) -> QSize:
        """As high as its words need."""
        return QSize(200, self._look.px(_HIGH_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The drawing list, painted once and kept."""
        if self._sizes is None:
            return
        if self._kept is None:
            self._kept = self._painted(self._sizes)
        QPainter(self).drawImage(0, 0, self._kept)

    def _painted(self, sizes: StoreSizes) -> QImage:
        ratio = self.devicePixelRatioF()
        image = blank_image(self.width(), self.height(), ratio)
        painter = QPainter(image)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marks = curve_marks(
            sizes,
            self._against,
            width_px=self.width(),
            height_px=self.height(),
            units=self._desk.units,
            measure=measure,
            factor=self._look.factor,
        )
        MarkPainter(self._look.roles, ratio).paint(painter, marks)
        painter.end()
        return image


class LastingPart(QWidget):
    """In sight while Lasting is asked and nothing is selected."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._against = Against.TANKS
        self._head = Words("Another tank, or more roof?", look, self, semibold=True)
        self._choice = Segments("Share met by", list(_AGAINST.values()), look, self)
        self._curve = CurvePicture(desk, look, self)
        self._waits = Words("Other sizes are being worked out.", look, self, size=12.5, role="ink_soft", italic=True)
        self._said = Words("", look, self)
        self._weather = Button("Weather ...", look, self, Weight.GOES_ON)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 4, 0, 4)
        column.setSpacing(8)
        column.addWidget(self._head)
        column.addWidget(self._choice, 0, Qt.AlignmentFlag.AlignLeft)
        for part in (self._curve, self._waits, self._said):
            column.addWidget(part)
        column.addWidget(self._weather, 0, Qt.AlignmentFlag.AlignLeft)
        self._choice.chosen.connect(self._choose)
        self._choice.pick(0)
        self._weather.clicked.connect(desk.want_weather)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.refresh)
        for signal in (desk.siteChanged, desk.answersChanged, desk.selectionChanged, desk.questionChanged):
            signal.connect(self._soon.start)
        desk.yearChanged.connect(self._soon.start)
        self.refresh()

    @property
    def against(self) -> Against:
        """What the curve is drawn against."""
        return self._against

    def _choose(self, place: int) -> None:
        self._against = list(_AGAINST)[place]
        self.refresh()

    def refresh(self) -> None:
        """Follow the answers."""
        desk = self._desk
        asked = desk.question is Question.LASTING and not desk.selected
        self.setVisible(asked)
        if not asked:
            return
        lasting = desk.answers.lasting if desk.answers is not None else None
        sizes = None if lasting is None else lasting.sizes
        self._weather.setVisible(lack_of(desk.site) is Lack.WEATHER)
        for part in (self._head, self._choice, self._curve):
            part.setVisible(sizes is not None)
        self._waits.setVisible(lasting is not None and sizes is None)
        if sizes is not None:
            self._curve.show_sizes(sizes, self._against)
        sentences = () if lasting is None else lasting_sentences(desk.site, lasting, desk.year)
        self._said.setText(" ".join(sentences))
        self._said.setVisible(bool(sentences))
