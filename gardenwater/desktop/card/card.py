"""The card: always in the same order, so that the eye learns it."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QTimer
from PySide6.QtWidgets import QFrame, QGridLayout, QLabel, QScrollArea, QVBoxLayout, QWidget

from gardenwater.desktop.card.contents import Contents, Table
from gardenwater.desktop.card.fields import FieldFolds, Fold
from gardenwater.desktop.card.lasting_part import LastingPart
from gardenwater.desktop.card.level_hand import LevelHand
from gardenwater.desktop.card.of_question import question_contents
from gardenwater.desktop.card.of_stand import stand_contents
from gardenwater.desktop.card.of_things import several_contents, thing_contents
from gardenwater.desktop.card.overflow_part import OverflowPart
from gardenwater.desktop.card.parts import FigureRow, NameLine, TableList
from gardenwater.desktop.card.side_picture import SidePicture
from gardenwater.desktop.card.stand_card import StandParts
from gardenwater.desktop.card.way_picture import WayPicture
from gardenwater.desktop.card.whose_map import WhoseMap
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.icons import kind_icon, question_icon
from gardenwater.desktop.look import Look, is_look_event
from gardenwater.desktop.standing import answer_in
from gardenwater.findings import Question
from gardenwater.ground import level_at
from gardenwater.site.things import BY_KIND, Tank, Thing

_SIDE_PX = 20
_MOST_TABLES = 4
_DAY_MS = 150


class Card(QScrollArea):
    """What is selected, or the question when nothing is."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._look = desk, look
        self._folds: dict[str, FieldFolds] = {}
        self._shown_folds: FieldFolds | None = None
        self._filled: dict[Fold, tuple[tuple[str, str], ...]] = {}
        self._styled = self._style()
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self.refresh)
        self._build()
        for signal in (desk.siteChanged, desk.answersChanged):
            signal.connect(self._moved)
        for signal in (desk.selectionChanged, desk.questionChanged, desk.mapOfChanged):
            signal.connect(self._soon.start)
        for signal in (desk.standing.askChanged, desk.standing.spotChanged):
            signal.connect(self._soon.start)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(_DAY_MS)
        self._later.timeout.connect(self.refresh)
        desk.yearChanged.connect(self._soon.start)
        desk.dayChanged.connect(self._day_changed)
        self.refresh()

    def _moved(self) -> None:
        """While something is dragged on the plan the card follows a few times a second, for the plan has each frame."""
        if not self._desk.live or self._picture.dragging or self._hand.dragging:
            self._soon.start()
        elif not self._later.isActive():
            self._later.start()

    def _day_changed(self) -> None:
        """While the hand of the year moves the card follows a few times a second; the plan has each frame."""
        if self._desk.question is Question.LASTING and not self._later.isActive():
            self._later.start()

    def _build(self) -> None:
        look, inner = self._look, QWidget(self)
        self._name, self._about = NameLine(look, inner), QLabel(inner)
        self._figures, self._picture = FigureRow(look, inner), SidePicture(self._desk, look, inner)
        self._hand, self._whose = LevelHand(self._desk, look, inner), WhoseMap(self._desk, look, inner)
        self._lasting = LastingPart(self._desk, look, inner)
        self._stand = StandParts(self._desk, look, inner)
        self._way = WayPicture(self._desk, look, inner)
        self._overflow = OverflowPart(self._desk, look, inner)
        self._tables = [TableList(look, inner) for _ in range(_MOST_TABLES)]
        self._caution, self._needs = QLabel(inner), QLabel(inner)
        self._fields = QVBoxLayout()
        self._more, self._sources = Fold("More", look, inner), Fold("Where this comes from", look, inner)
        column = QVBoxLayout(inner)
        column.setContentsMargins(_SIDE_PX, 14, _SIDE_PX, 16)
        column.setSpacing(8)
        stand = self._stand
        above = (
            self._name,
            self._about,
            stand,
            self._whose,
            self._needs,
            self._figures,
            self._picture,
            stand.spots,
            stand.buttons,
        )
        between = (self._way, self._hand, self._lasting, self._overflow)
        for part in (*above, *between, *self._tables, self._overflow.below, stand.fields):
            column.addWidget(part)
        column.addLayout(self._fields)
        for part in (self._more, self._sources, self._caution):
            column.addWidget(part)
        column.addStretch(1)
        self._overflow.opened.connect(lambda part: QTimer.singleShot(0, lambda: self.ensureWidgetVisible(part, 0, 8)))
        for label in (self._about, self._caution, self._needs):
            label.setWordWrap(True)
        for table in self._tables:
            table.picked.connect(lambda thing_id: self._desk.select((thing_id,)))
        self.setWidget(inner)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(self.horizontalScrollBarPolicy().ScrollBarAlwaysOff)
        self.setAccessibleName("Card")
        self._inner = inner
        self._restyle()

    def refresh(self) -> None:
        """Show what is selected now."""
        things, desk = self._desk.selected, self._desk
        self._stand.refresh()
        self._lasting.refresh()
        self._overflow.refresh()
        if self._stand.shown:
            contents = stand_contents(answer_in(desk.answers), desk.standing.spot, desk.site)
            icon, things = kind_icon("tank"), ()
        elif not things:
            contents = question_contents(desk.question, desk.site, desk.answers, desk.year, desk.day_state)
            icon = question_icon(desk.question)
        elif len(things) == 1:
            contents = thing_contents(things[0], desk.site, desk.answers, desk.question, desk.year, desk.day_state)
            icon = kind_icon(things[0].kind)
        else:
            contents = several_contents(things)
            icon = kind_icon(contents.icon) if contents.icon else ""
        self._show_contents(contents, icon)
        alone = things[0] if len(things) == 1 else None
        self._way.show_thing(alone)
        self._whose.show_thing(alone)
        self._show_tank(things)
        self._show_fields(things)

    def _show_contents(self, contents: Contents, icon: str) -> None:
        self._name.show_contents(contents, icon)
        for label, words in (
            (self._about, contents.about),
            (self._needs, contents.needs),
            (self._caution, contents.caution),
        ):
            label.setText(words)
            label.setVisible(bool(words))
        self._figures.show_figures(contents.figures)
        tables = (*contents.tables, *(Table((), ()),) * _MOST_TABLES)[:_MOST_TABLES]
        for part, table in zip(self._tables, tables, strict=True):
            part.show_table(table)
            part.setVisible(bool(table.rows))
        self._fill(self._more, contents.more)
        self._fill(self._sources, tuple((words, "") for words in contents.sources))

    def _fill(self, fold: Fold, rows: tuple[tuple[str, str], ...]) -> None:
        """Rows of name and value; a sentence has no value. Most refreshes bring the same, of which nothing is made."""
        if self._filled.get(fold) == rows:
            return
        self._filled[fold] = rows
        while (item := fold.rows.takeAt(0)) is not None:
            if (widget := item.widget()) is not None:
                widget.deleteLater()
        grid_holder = QWidget(fold.body)
        grid = QGridLayout(grid_holder)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(3)
        grid.setColumnStretch(0, 1)
        for number, (name, value) in enumerate(rows):
            label = QLabel(name, grid_holder)
            label.setWordWrap(True)
            label.setFont(self._look.font(12.5))
            grid.addWidget(label, number, 0, 1, 1 if value else 2)
            if value:
                right = QLabel(value, grid_holder)
                right.setFont(self._look.font(12.5))
                grid.addWidget(right, number, 1, right.alignment() | right.alignment().AlignRight)
        fold.rows.addWidget(grid_holder)
        fold.setVisible(bool(rows))

    def _show_tank(self, things: tuple[Thing, ...]) -> None:
        tank = things[0] if len(things) == 1 and isinstance(things[0], Tank) else None
        asked = self._desk.question in {Question.REACH, Question.CATCH, Question.OVERFLOW}
        self._picture.show_tank(tank if asked else None)
        self._hand.setVisible(tank is not None and self._desk.question is not Question.LASTING)
        if tank is not None:
            answers = self._desk.answers
            ground = answers.ground.ground if answers is not None else None
            here = level_at(ground, tank.shape.x, tank.shape.y) if ground is not None else float("nan")
            self._hand.show_tank(tank, here + tank.stand_height_m + tank.water_height_m)

    def _show_fields(self, things: tuple[Thing, ...]) -> None:
        kinds = {thing.kind for thing in things}
        folds = self._folds_of(kinds.pop()) if len(kinds) == 1 else None
        if folds is not self._shown_folds:
            if self._shown_folds is not None:
                self._shown_folds.hide()
            if folds is not None:
                folds.show()
            self._shown_folds = folds
        if folds is not None:
            folds.show_things(things, self._desk.site)

    def _folds_of(self, kind: str) -> FieldFolds:
        key = f"{kind} {self._desk.units}"
        if key not in self._folds:
            self._folds[key] = FieldFolds(BY_KIND[kind], self._desk, self._look, self._inner)
            self._fields.addWidget(self._folds[key])
        return self._folds[key]

    def open_field(self, name: str) -> None:
        """Open the fold of a field of what is selected, and give it the keyboard (F2 opens the name)."""
        self.refresh()
        if self._shown_folds is not None:
            self._shown_folds.open(name)

    def focus_current(self) -> None:
        """Give the keyboard to the first field that can take it."""
        self._inner.setFocus()
        self.focusNextChild()

    def _restyle(self) -> None:
        look = self._look
        self._styled = self._style()
        self._filled.clear()  # their type may have another size now
        for widget in (self, self._inner, self.viewport()):
            palette = widget.palette()
            palette.setColor(palette.ColorRole.Window, look.color("slip"))
            widget.setPalette(palette)
            widget.setAutoFillBackground(True)
        for label, role, size in (
            (self._about, "ink_soft", 13.0),
            (self._caution, "ink_soft", 12.0),
            (self._needs, "ink", 13.0),
        ):
            palette = label.palette()
            palette.setColor(palette.ColorRole.WindowText, look.color(role))
            label.setPalette(palette)
            label.setFont(look.font(size))

    def _style(self) -> tuple[int, float]:
        """What its look depends on: the colours, by that of the slip, and the size of the type."""
        return self._look.color("slip").rgba(), self._look.factor

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks: folds are made anew in the new sizes and colours."""
        if is_look_event(event) and self._styled != self._style():
            for folds in self._folds.values():
                folds.deleteLater()
            self._folds, self._shown_folds = {}, None
            self._restyle()
            self._soon.start()
        super().changeEvent(event)
