"""Short sheets: unsaved work, recovered work, what went wrong, a question that a file leaves open."""

from __future__ import annotations

import traceback
from collections.abc import Callable

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QLineEdit, QRadioButton, QWidget

from gardenwater.desktop.dialogs.parts import Weight
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.errors import GardenwaterError
from gardenwater.files.asking import NeedsAnswer

Then = Callable[[], object]


def changes_words(count: int) -> str:
    """1 change, 5 changes."""
    return "1 change" if count == 1 else f"{count} changes"


def guard_words(name: str, count: int) -> str:
    """What the guard of unsaved work says."""
    return f"{name} has {changes_words(count)} that {'is' if count == 1 else 'are'} not saved."


class GuardSheet(Sheet):
    """Unsaved work: save it, leave it, or back."""

    def __init__(self, name: str, count: int, *, save: Then, leave: Then, look: Look, parent: QWidget) -> None:
        super().__init__("Not saved", look, parent, width_px=460)
        self.say(guard_words(name, count))
        self.add_back()
        self.leave_button = self.add_button("Leave them", lambda: self._go(leave))
        self.save_button = self.add_button("Save", lambda: self._go(save), Weight.GOES_ON)

    def _go(self, then: Then) -> None:
        self.accept()
        then()


class RecoverSheet(Sheet):
    """Work that a sudden end left behind."""

    def __init__(
        self, words: str, *, open_with: Then, as_saved: Then, saved_words: str, look: Look, parent: QWidget
    ) -> None:
        super().__init__("gardenwater ended suddenly last time", look, parent, width_px=520)
        self.say(words)
        self.add_back("Later")
        self.saved_button = self.add_button(saved_words, lambda: self._go(as_saved))
        self.with_button = self.add_button("Open with them", lambda: self._go(open_with), Weight.GOES_ON)

    def _go(self, then: Then) -> None:
        self.accept()
        then()


def details_of(error: GardenwaterError) -> str:
    """What *Copy the details* copies: the words, and for whoever mends it, where it came from."""
    cause = "".join(traceback.format_exception(error)).strip()
    return f"{error}\n\n{cause}"


class ProblemSheet(Sheet):
    """What was not done, why, and the mend."""

    def __init__(
        self, error: GardenwaterError, look: Look, parent: QWidget, *, mend: tuple[str, Then] | None = None
    ) -> None:
        super().__init__("Not done", look, parent, width_px=500)
        self.error = error
        self.say(error.what)
        if error.mend:
            self.say(error.mend, "ink_soft")
        self.add_note("Copy the details", self._copy)
        if mend is None:
            self.add_button("Back", self.reject, Weight.GOES_ON)
        else:
            self.add_back()
            words, then = mend
            self.add_button(words, lambda: self._go(then), Weight.GOES_ON)

    def _go(self, then: Then) -> None:
        self.accept()
        then()

    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(details_of(self.error))


class QuestionSheet(Sheet):
    """A question that a file leaves open: one of the offered answers, or another that is typed."""

    def __init__(self, asked: NeedsAnswer, then: Callable[[str], object], look: Look, parent: QWidget) -> None:
        super().__init__("One thing is not in the file", look, parent, width_px=540)
        self._then = then
        self.say(asked.what)
        self.say(asked.question, "ink_soft")
        self._answers = [(QRadioButton(choice.words, self), choice.value) for choice in asked.choices]
        for button, _ in self._answers:
            self.body.addWidget(button)
        if self._answers:
            self._answers[0][0].setChecked(True)
        self._typed = QLineEdit(self)
        self._typed.setAccessibleName("Another map reference")
        self._typed.setPlaceholderText("another, for example EPSG:25832")
        self._typed.setVisible(asked.typed)
        self.body.addWidget(self._typed)
        self.add_back()
        self.go_button = self.add_button("Go on", self._go, Weight.GOES_ON)

    def choose(self, value: str) -> None:
        """Choose an offered answer, or type another."""
        for button, offered in self._answers:
            if offered == value:
                button.setChecked(True)
                return
        self._typed.setText(value)

    def _go(self) -> None:
        typed = self._typed.text().strip()
        picked = next((value for button, value in self._answers if button.isChecked()), "")
        self.accept()
        self._then(typed or picked)
