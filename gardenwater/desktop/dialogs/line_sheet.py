"""A line without a map: what it gives under a head, and what bucket and stopwatch say of it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from gardenwater.desktop.card.choice_field import Combo
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.card.parts import FigureRow, TableList
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.line_words import SPECS, given_figures, given_table, tests_table, told_words
from gardenwater.desktop.dialogs.parts import Button, Segments, Weight, Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.site.names import called
from gardenwater.site.things import LineFields, Tank, WateringLine

if TYPE_CHECKING:
    from gardenwater.hydraulics import BucketTest, Calibrated

_USUAL = "The line carried from tank to tank"
_STARTS = {
    "head_m": 1.0, "length_m": 10.0, "litres": 10.0, "seconds": 60.0, "falls_m": 0.0, "tank_l": 1000.0,
}  # fmt: skip


class LineSheet(Sheet):
    """This head, this hose, these fittings: what flow, how long for a can, for a tank; and the way back."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget, line_id: str = "") -> None:
        super().__init__("A line without a map", look, parent, width_px=520)
        self._desk = desk
        self._values = dict(_STARTS)
        self._tests: tuple[BucketTest, ...] = ()
        self._found: Calibrated | None = None
        self.fields: dict[str, NumberField] = {}
        self._way = Segments("Line", ("What it gives", "Bucket and stopwatch"), look, self)
        self._way.chosen.connect(self._turn)
        self.body.addWidget(self._way)
        self._add_choice(line_id)
        self._add_pages(look)
        self.add_back("Done")
        self.keep = self.add_button("Keep it with the line", self._keep, Weight.GOES_ON)
        self._take_line()
        self._turn(0)

    # parts

    def _add_choice(self, line_id: str) -> None:
        lines = self._desk.present.of(WateringLine)
        self._ids = ["", *(line.id for line in lines)]
        self._box = Combo(self)
        self._box.addItems([_USUAL, *(called(line) for line in lines)])
        self._box.setAccessibleName("Which line")
        self._box.setCurrentIndex(self._ids.index(line_id) if line_id in self._ids else 0)
        self._box.activated.connect(self._take_line)
        self.body.addWidget(self._box)
        self._about = Words("", self._look, self, size=12.5, role="ink_soft")
        self.body.addWidget(self._about)

    def _add_pages(self, look: Look) -> None:
        self._pages = QStackedWidget(self)
        gives, bucket = QWidget(self._pages), QWidget(self._pages)
        given = self._page(gives, ("head_m", "length_m", "falls_m", "tank_l"))
        self.figures, self.losses = FigureRow(look, gives), TableList(look, gives)
        given.addWidget(self.figures)
        given.addWidget(self.losses)
        given.addStretch(1)
        tested = self._page(bucket, ("test_head_m", "test_length_m", "litres", "seconds"))
        row = QHBoxLayout()
        self.add_test = Button("Add this test", look, bucket)
        self.add_test.clicked.connect(self._add_test)
        self.clear_tests = Button("Begin anew", look, bucket, Weight.LINK)
        self.clear_tests.clicked.connect(self._clear)
        row.addWidget(self.add_test)
        row.addWidget(self.clear_tests)
        row.addStretch(1)
        tested.addLayout(row)
        self.tests, self.told = TableList(look, bucket), Words("", look, bucket)
        tested.addWidget(self.tests)
        tested.addWidget(self.told)
        tested.addStretch(1)
        self.body.addWidget(self._pages)

    def _page(self, page: QWidget, names: tuple[str, ...]) -> QVBoxLayout:
        column = QVBoxLayout(page)
        column.setContentsMargins(0, 4, 0, 0)
        column.setSpacing(4)
        for name in names:
            held = name.removeprefix("test_")
            field = NumberField(SPECS[held], self._desk.units, self._taker(held), self._look, page)
            field.show_value(self._values[held])
            self.fields[name] = field
            column.addWidget(field)
        self._pages.addWidget(page)
        return column

    # what is asked

    @property
    def line_id(self) -> str:
        """Id of the line that is chosen; empty for the usual one."""
        return self._ids[self._box.currentIndex()]

    @property
    def _line(self) -> LineFields:
        site = self._desk.present
        return site.thing(self.line_id, WateringLine) if self.line_id else site.settings.line

    def _taker(self, name: str) -> Callable[[float | None], GardenwaterError | None]:
        def take(value: float | None) -> GardenwaterError | None:
            if value is not None:
                self._values[name] = value
                for field in (name, f"test_{name}"):
                    if field in self.fields:
                        self.fields[field].show_value(value)
                self._show()
            return None

        return take

    def _take_line(self) -> None:
        """Another line: its length and tank, and the tests that it was set by."""
        from gardenwater.assess.bucket import bucket_tests
        from gardenwater.assess.lines import hydraulic_line

        line, site = self._line, self._desk.present
        if isinstance(line, WateringLine):
            led_m = sum(piece.length_m for piece in hydraulic_line(line).lead)
            self._values["length_m"] = max(round(line.shape.length - led_m, 1), 0.0)
            tank = site.get(line.tank)
            if isinstance(tank, Tank):
                self._values["tank_l"] = tank.capacity_l
            try:
                self._tests = bucket_tests(line.bucket_tests)
            except GardenwaterError:
                self._tests = ()
        else:
            self._tests = ()
        for name, field in self.fields.items():
            field.show_value(self._values[name.removeprefix("test_")])
        self._show()

    def _turn(self, place: int) -> None:
        self._way.pick(place)
        self._pages.setCurrentIndex(place)
        self.keep.setVisible(place == 1)
        self._show()

    # answers

    def _show(self) -> None:
        from gardenwater.assess.lines import hydraulic_line
        from gardenwater.hydraulics import given_by

        if not hasattr(self, "told"):
            return
        line, units = hydraulic_line(self._line), self._desk.units
        bores = f"Bore {line.bore_mm:g} mm, wall {line.roughness_mm:g} mm, fittings {line.fittings_k:.2f} in all"
        self._about.setText(bores if not line.lead else f"{bores}, {len(line.lead)} pieces before the last")
        values, can_l = self._values, self._desk.present.settings.can_l
        try:
            given = given_by(line, head_m=values["head_m"], length_m=values["length_m"], can_l=can_l)
        except GardenwaterError as error:
            self.figures.show_figures(())
            self._about.setText(f"{error.what} {error.mend}")
        else:
            self.figures.show_figures(given_figures(given, values, line, units))
            self.losses.show_table(given_table(given, units))
        self._calibrate()

    def _calibrate(self) -> None:
        from gardenwater.assess.lines import hydraulic_line
        from gardenwater.hydraulics import calibrate

        line, units = hydraulic_line(self._line), self._desk.units
        self._found = None
        if self._tests:
            try:
                self._found = calibrate(line, self._tests)
            except GardenwaterError as error:
                self.told.setText(f"{error.what} {error.mend}")
        self.tests.show_table(tests_table(self._tests, self._found, units))
        self.tests.setVisible(bool(self._tests))
        if self._found is not None:
            self.told.setText(told_words(self._found, line))
        elif not self._tests:
            self.told.setText("Fill a bucket through the line and time it. Two lengths tell more than two heads.")
        self.keep.setEnabled(self._found is not None and self._found.fits)

    def _add_test(self) -> None:
        from gardenwater.hydraulics import BucketTest

        values = self._values
        try:
            test = BucketTest(values["head_m"], values["length_m"], values["litres"], values["seconds"])
        except GardenwaterError as error:
            self.told.setText(f"{error.what} {error.mend}")
            return
        self._tests = (*self._tests, test)
        self._calibrate()

    def _clear(self) -> None:
        self._tests = ()
        self._calibrate()

    def _keep(self) -> None:
        from gardenwater.assess.bucket import set_by_tests

        found, tests, line_id = self._found, self._tests, self.line_id
        if found is None:
            return
        name = _USUAL if not line_id else called(self._desk.present.thing(line_id, WateringLine))
        if self._desk.edit(f"Set {name} by bucket", lambda site: set_by_tests(site, line_id, found, tests)):
            self._take_line()
            self.told.setText(f"Kept with the line. {self.told.text()}")
