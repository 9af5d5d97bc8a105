"""Where could a tank stand: the two spots side by side, what is asked, and the button that goes on."""

from __future__ import annotations

import dataclasses
from typing import Any

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication, QCheckBox, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from gardenwater.assess.stand_answer import StandAnswer, StandAsk
from gardenwater.desktop.card.choice_field import ChoiceField
from gardenwater.desktop.card.fields import Fold
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.card.of_stand import pair_of, put_words
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Button, Segments, Weight
from gardenwater.desktop.look import Look, measure
from gardenwater.desktop.painter import MarkPainter
from gardenwater.desktop.standing import answer_in
from gardenwater.errors import GardenwaterError
from gardenwater.findings import Question
from gardenwater.report.spot_view import spot_view
from gardenwater.site.fields import FieldSpec
from gardenwater.site.names import called, name_of
from gardenwater.site.things import Bed
from gardenwater.units import Quantity

_HEIGHT_PX = 158
_LONG_WORDS = ("What a tank reaches", "Where could a tank stand?")
_SHORT_WORDS = ("Reach", "Where could a tank stand?")
_SIZE = FieldSpec("Tank", "Usual sizes; a tank that stands on the plan already keeps its own.", table="tank_sizes")
_SHARE = FieldSpec(
    "Litres that serve them", "Share of what its outlet gives; the rest is for cans.", Quantity.SHARE, 0.05, 1.0
)
_FEEDER = FieldSpec(
    "Longest feeder", "Round buildings, from a downpipe to the tank's side.", Quantity.LENGTH_M, 0.5, 60.0
)
_STAND = FieldSpec("Highest stand", "Over 0.6 m a stand needs a builder's advice.", Quantity.HEIGHT_M, 0.0, 1.5)


class SpotPicture(QWidget):
    """The spot that is looked at and the next best, from the side."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._answer: StandAnswer | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setToolTip("To scale in height, not in length.")

    def show_answer(self, answer: StandAnswer | None) -> None:
        """Show these spots, or nothing."""
        self._answer = answer
        shown = [] if answer is None else pair_of(answer, self._desk.standing.spot)
        self.setVisible(bool(shown))
        self.setAccessibleName(f"Side view of {' and '.join(each.name for each in shown)}")
        self.update()

    def sizeHint(self) -> QSize:
        """As high as the levels need."""
        return QSize(200, self._look.px(_HEIGHT_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        """The drawing list, painted."""
        if self._answer is None:
            return
        site = self._desk.site
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        marks = spot_view(
            self._answer,
            pair_of(self._answer, self._desk.standing.spot),
            width_px=self.width(),
            height_px=self.height(),
            units=self._desk.units,
            name_of=lambda thing: name_of(site, thing),
            measure=measure,
            factor=self._look.factor,
        )
        MarkPainter(self._look.roles, self.devicePixelRatioF()).paint(painter, marks)


class SpotButtons(QWidget):
    """Put a tank there; the next best."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._put = Button("Put a tank on spot 1", look, self, Weight.GOES_ON)
        self._next = Button("Next best", look, self)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 6, 0, 4)
        row.addWidget(self._put)
        row.addWidget(self._next)
        row.addStretch(1)
        self._put.clicked.connect(lambda: desk.put_on_spot(desk.standing.spot))
        self._next.clicked.connect(self._go_on)

    def show_answer(self, answer: StandAnswer | None) -> None:
        """Offer the spot that is looked at."""
        desk = self._desk
        shown = () if answer is None else pair_of(answer, desk.standing.spot)
        self.setVisible(bool(shown))
        if answer is None or not shown:
            return
        self._put.setText(put_words(answer, shown[0], desk.site))
        self._put.setAccessibleName(self._put.text())
        self._put.setEnabled(desk.settled)
        self._put.updateGeometry()
        self._next.setVisible(len(answer.proposals) > 1)

    def _go_on(self) -> None:
        answer = answer_in(self._desk.answers)
        if answer is not None and answer.proposals:
            self._desk.standing.look_at(self._desk.standing.spot % len(answer.proposals) + 1)


class AskFields(Fold):
    """What is asked: which tank, how much of it, how far, for which beds."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("What is asked", look, parent)
        self._desk, self._look = desk, look
        self._beds = QVBoxLayout()
        self._shown: tuple[tuple[str, str], ...] = ()
        self._boxes: dict[str, QCheckBox] = {}
        self._units = desk.units
        self._size = ChoiceField(_SIZE, lambda key: self._change(size=key), look, self.body)
        self._numbers: dict[str, NumberField] = {}
        self.rows.addWidget(self._size)
        for name, spec in (("share", _SHARE), ("most_feeder_m", _FEEDER), ("most_stand_m", _STAND)):
            self._numbers[name] = NumberField(spec, desk.units, self._taker(name), look, self.body)
            self.rows.addWidget(self._numbers[name])
        self.rows.addLayout(self._beds)

    def _taker(self, name: str) -> Any:
        def take(value: float | None) -> GardenwaterError | None:
            if value is not None:
                self._change(**{name: value})
            return None

        return take

    def _change(self, **fields: Any) -> None:
        ask = self._desk.standing.ask
        if ask is not None:
            self._desk.standing.set_ask(dataclasses.replace(ask, **fields))

    def show_ask(self, ask: StandAsk) -> None:
        """Show what is asked now."""
        self._size.setVisible(not ask.tank)
        self._size.show_value(ask.size, self._desk.site)
        for name, field in self._numbers.items():
            field.show_value(getattr(ask, name))
        beds = tuple((bed.id, called(bed)) for bed in self._desk.site.of(Bed))
        if beds != self._shown:
            self._fill(beds)
        for bed, box in self._boxes.items():
            box.setChecked(not ask.beds or bed in ask.beds)

    def _fill(self, beds: tuple[tuple[str, str], ...]) -> None:
        while (item := self._beds.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        self._shown, self._boxes = beds, {}
        for bed, name in beds:
            box = QCheckBox(name, self.body)
            box.setAccessibleName(f"Serve {name}")
            box.clicked.connect(self._take_beds)
            self._beds.addWidget(box)
            self._boxes[bed] = box

    def _take_beds(self) -> None:
        chosen = tuple(bed for bed, box in self._boxes.items() if box.isChecked())
        self._change(beds=() if len(chosen) == len(self._boxes) else chosen)


class StandParts(QWidget):
    """The choice between reach and places, and the parts of the card that show places. The card lays them out.

    The choice is this widget; `spots`, `buttons` and `fields` stand elsewhere on the card.
    """

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self.spots = SpotPicture(desk, look, parent)
        self.buttons = SpotButtons(desk, look, parent)
        self.fields = AskFields(desk, look, parent)
        self._ways = tuple(Segments("Reach", words, look, self) for words in (_LONG_WORDS, _SHORT_WORDS))
        for way in self._ways:
            way.chosen.connect(self._choose)
        # a narrow card takes the shorter words: the choice never makes it wider
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self._fit()

    def sizeHint(self) -> QSize:
        """One row."""
        return QSize(self._ways[1].sizeHint().width(), self._ways[0].sizeHint().height() + 4)

    def minimumSizeHint(self) -> QSize:
        """No narrower than the shorter words."""
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The words that there is room for."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        long, short = self._ways
        roomy = long.sizeHint().width() <= self.width()
        shown, hidden = (long, short) if roomy else (short, long)
        for way in self._ways:
            way.setGeometry(0, 2, way.sizeHint().width(), way.sizeHint().height())
        shown.show()
        focused = QApplication.focusWidget()
        if focused is not None and hidden.isAncestorOf(focused):
            shown.setFocus()  # else the keyboard goes to the next part of the card, and the card scrolls to it
        hidden.hide()

    @property
    def shown(self) -> bool:
        """Whether the card is about places: they are asked for, and nothing else is selected since."""
        standing = self._desk.standing
        asked = standing.wanted(self._desk.question) is not None
        return asked and set(self._desk.selection) <= set(standing.about)

    def refresh(self) -> None:
        """Show the choice where it makes sense, and the parts while places are asked for."""
        desk, ask = self._desk, self._desk.standing.ask
        kinds = {thing.kind for thing in desk.selected}
        offered = desk.question is Question.REACH and bool(desk.site.of(Bed)) and kinds <= {"tank", "bed"}
        self.setVisible(offered or self.shown)
        for way in self._ways:
            way.pick(int(self.shown))
        answer = answer_in(desk.answers) if self.shown else None
        self.spots.show_answer(answer)
        self.buttons.show_answer(answer)
        self.fields.setVisible(self.shown)
        if self.shown and ask is not None:
            self.fields.show_ask(ask)

    def _choose(self, place: int) -> None:
        if place:
            self._desk.ask_place()
        else:
            self._desk.standing.end()
