"""Settings of the site: everything of it, and the line that is carried from tank to tank; each change is an edit."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QFrame, QLineEdit, QScrollArea, QVBoxLayout, QWidget

from gardenwater.desktop.card.choice_field import ChoiceField, FlagField, WordsField
from gardenwater.desktop.card.list_field import ListField
from gardenwater.desktop.card.number_field import NumberField
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Weight, Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.site import edits
from gardenwater.site.fields import FieldSpec, flags, specs
from gardenwater.site.model import Settings, Site, UsualLine

Field = NumberField | ChoiceField | FlagField | ListField | WordsField
_LINE_HEAD = "The line carried from tank to tank"
_HIGH_PX = 560


class SettingsSheet(Sheet):
    """Name, about, and the settings by their groups."""

    def __init__(self, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("Settings of the site", look, parent, width_px=560)
        self._desk = desk
        self.fields: dict[str, Field] = {}
        self._inner = QWidget(self)
        self._rows = QVBoxLayout(self._inner)
        self._rows.setContentsMargins(0, 0, 14, 0)
        self._rows.setSpacing(2)
        self.name = self._words_row("Name", desk.present.name)
        self.about = self._words_row("About it, in a few words", desk.present.about)
        self._fill()
        self._add_area(look, parent)
        self.add_button("Done", self.accept, Weight.GOES_ON)
        desk.siteChanged.connect(self.show_site)
        self.finished.connect(lambda: desk.siteChanged.disconnect(self.show_site))
        self.show_site(desk.present)

    def _add_area(self, look: Look, parent: QWidget) -> None:
        area = QScrollArea(self)
        area.setWidget(self._inner)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        area.setHorizontalScrollBarPolicy(area.horizontalScrollBarPolicy().ScrollBarAlwaysOff)
        for widget in (area.viewport(), self._inner):
            colors = widget.palette()
            colors.setColor(colors.ColorRole.Window, look.color("slip"))
            widget.setPalette(colors)
        area.setFixedHeight(min(look.px(_HIGH_PX), parent.window().height() - 210))
        self.body.addWidget(area)

    def _words_row(self, label: str, words: str) -> QLineEdit:
        self._rows.addWidget(Words(label, self._look, self._inner, size=12.5, role="ink_soft"))
        edit = QLineEdit(words, self._inner)
        edit.setAccessibleName(label)
        edit.editingFinished.connect(self._take_words)
        self._rows.addWidget(edit)
        return edit

    def _fill(self) -> None:
        group = ""
        for name, spec in specs(Settings).items():
            if spec.group != group:
                group = spec.group
                self._add_head(group)
            self._add(name, spec, self._take_setting, yes_or_no=name in flags(Settings))
        self._add_head(_LINE_HEAD)
        for name, spec in specs(UsualLine).items():
            self._add(f"line.{name}", spec, self._take_line, yes_or_no=name in flags(UsualLine))
        self._rows.addStretch(1)

    def _add_head(self, words: str) -> None:
        self._rows.addSpacing(12)
        self._rows.addWidget(Words(words, self._look, self._inner, size=15, semibold=True))

    def _add(self, name: str, spec: FieldSpec, take: Any, *, yes_or_no: bool) -> None:
        def taken(value: Any) -> GardenwaterError | None:
            return take(name.removeprefix("line."), spec, value)  # type: ignore[no-any-return]

        self.fields[name] = (
            FlagField(spec, taken, self._inner)
            if yes_or_no
            else _make(spec, self._desk, taken, self._look, self._inner)
        )
        self._rows.addWidget(self.fields[name])

    def show_site(self, site: Site) -> None:
        """Show the site's settings as they are now."""
        for name, field in self.fields.items():
            owner = site.settings.line if name.startswith("line.") else site.settings
            _show(field, getattr(owner, name.removeprefix("line.")), site)

    def _take_words(self) -> None:
        name, about = self.name.text(), self.about.text()
        present = self._desk.present
        if (name, about) != (present.name, present.about):
            self._desk.edit("Rename the site", lambda site: edits.rename_site(site, name, about=about), "rename site")

    def _take_setting(self, name: str, spec: FieldSpec, value: Any) -> GardenwaterError | None:
        return self._try(spec, name, lambda site: edits.settings(site, **{name: value}))

    def _take_line(self, name: str, spec: FieldSpec, value: Any) -> GardenwaterError | None:
        return self._try(spec, f"line {name}", lambda site: edits.usual_line(site, **{name: value}))

    def _try(self, spec: FieldSpec, what: str, change: Any) -> GardenwaterError | None:
        """Make it an edit; what is refused is told by the field."""
        try:
            changed = change(self._desk.present)
        except GardenwaterError as error:
            return error
        self._desk.edit(f"Change the site’s {spec.label.lower()}", lambda _: changed, f"setting {what}")
        return None


def _make(spec: FieldSpec, desk: Desk, take: Any, look: Look, parent: QWidget) -> Field:
    if spec.quantity is not None:
        return NumberField(spec, desk.units, take, look, parent)
    if spec.listed:
        return ListField(spec, desk.units, take, look, parent)
    if spec.options is not None or spec.table or spec.refers:
        return ChoiceField(spec, take, look, parent)
    return WordsField(spec, take, look, parent)


def _show(field: Field, value: Any, site: Site) -> None:
    if isinstance(field, ChoiceField):
        field.show_value(value, site)
    else:
        field.show_value(value)
