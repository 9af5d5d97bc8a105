"""What all tools of the plan have in common."""

from __future__ import annotations

from abc import abstractmethod
from typing import Generic, TypeVar

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.events import Key, PlanKey, Pointer
from gardenwater.desktop.plan.live import NOTHING, Live, Sight
from gardenwater.desktop.plan.typed import FieldKind

P = TypeVar("P")


class Tool:
    """Turns what hands and keys do into edits. Driven by plain events; what it shows is `live`."""

    cross_pointer = False

    def __init__(self, sight: Sight) -> None:
        self._sight = sight

    @property
    def _desk(self) -> Desk:
        return self._sight.desk

    @property
    def live(self) -> Live:
        """What is to be shown now."""
        return NOTHING

    @property
    def busy(self) -> bool:
        """Whether something was begun that Esc would give up."""
        return False

    @property
    def dragged(self) -> frozenset[str]:
        """Ids of the things that are being dragged."""
        return frozenset()

    @property
    def spoken(self) -> str:
        """What those who do not see the plan are told of it."""
        return ""

    @property
    def field(self) -> FieldKind | None:
        """Which field digits open now, or None."""
        return None

    def press(self, event: Pointer) -> None:
        """A button went down."""

    def move(self, event: Pointer) -> None:
        """The pointer moved."""

    def release(self, event: Pointer) -> None:
        """The button went up."""

    def leave(self) -> None:
        """The pointer left the plan."""

    def key(self, key: Key) -> bool:
        """A key was pressed; False when the tool has no use for it."""
        return False

    def typed(self, first: float | None, second: float | None) -> None:
        """What stands in the field now: length and bearing, distance, or level; None where it is empty."""

    def enter(self) -> bool:
        """Take what stands in the field; False when it cannot be taken."""
        return False

    def site_changed(self) -> None:
        """The site that is shown has changed: what was worked out from it no longer holds."""

    def give_up(self) -> None:
        """Undo what was begun; nothing of it stays."""


class PointsTool(Tool, Generic[P]):
    """A tool that sets one point after another, as it holds them."""

    cross_pointer = True

    def __init__(self, sight: Sight) -> None:
        super().__init__(sight)
        self._points: list[P] = []

    def key(self, key: Key) -> bool:
        """Enter: done; Backspace: last point away; Esc: give up."""
        if key.key is PlanKey.ENTER:
            self._done()
        elif key.key is PlanKey.BACKSPACE and self._points:
            self._points.pop()
        elif key.key is PlanKey.ESCAPE:
            self.give_up()
            self._desk.draw("")
        else:
            return False
        return True

    @abstractmethod
    def _done(self) -> None:
        """No more points are wanted."""
