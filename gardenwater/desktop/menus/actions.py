"""Actions that know whether they can be done, and why not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QObject
from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMenu, QWidget

Key = QKeySequence.StandardKey | str
Why = Callable[[], str]


def always() -> str:
    """Nothing stands in the way."""
    return ""


@dataclass(frozen=True, slots=True)
class _Made:
    action: QAction
    tip: str
    why_not: Why
    words: Callable[[], str] | None
    checked: Callable[[], bool] | None


class Actions(QObject):
    """Makes the actions of the menus, and keeps their words, ticks and reasons true."""

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        self._window = window
        self._made: list[_Made] = []

    def add(
        self,
        menu: QMenu,
        words: str | Callable[[], str],
        then: Callable[[], object],
        *,
        key: Key | tuple[Key, ...] = (),
        tip: str = "",
        why_not: Why = always,
        checked: Callable[[], bool] | None = None,
    ) -> QAction:
        """Add an action to a menu.

        words: what it says, asked anew each time when it can change. why_not: the reason that it cannot be done now, or
        "". checked: whether its tick is set, for those that have one.
        """
        action = QAction(words if isinstance(words, str) else words(), self._window)
        action.setCheckable(checked is not None)
        action.setShortcuts([stroke for one in (key if isinstance(key, tuple) else (key,)) for stroke in _strokes(one)])
        action.triggered.connect(lambda _=False: then())
        action.setMenuRole(QAction.MenuRole.NoRole)
        menu.addAction(action)
        self._window.addAction(action)
        self._made.append(_Made(action, tip, why_not, None if isinstance(words, str) else words, checked))
        return action

    def refresh(self) -> None:
        """Ask each action for its words, tick and reason."""
        for made in self._made:
            why = made.why_not()
            made.action.setEnabled(not why)
            made.action.setToolTip(why or made.tip)
            made.action.setStatusTip(why or made.tip)
            if made.words is not None:
                made.action.setText(made.words())
            if made.checked is not None:
                made.action.setChecked(made.checked())

    @property
    def all(self) -> tuple[QAction, ...]:
        """Every action."""
        return tuple(made.action for made in self._made)


def _strokes(key: Key) -> list[QKeySequence]:
    """The key strokes of a standard key on this system, or of our own."""
    return [QKeySequence(key)] if isinstance(key, str) else QKeySequence.keyBindings(key)[:1]
