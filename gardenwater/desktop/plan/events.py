"""What hands and keys do on the plan, as plain values: tools are driven by them and know no Qt."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, StrEnum, auto

XY = tuple[float, float]


class Button(Enum):
    """Which button of the pointer."""

    NONE = auto()
    MAIN = auto()
    OTHER = auto()


@dataclass(frozen=True, slots=True)
class Held:
    """Which keys are held down. On macOS `ctrl` is Command and `alt` is Option."""

    shift: bool = False
    ctrl: bool = False
    alt: bool = False


NOTHING_HELD = Held()


@dataclass(frozen=True, slots=True)
class Pointer:
    """The pointer at a place. px: on the widget; at: on the site, m; clicks: 2 when double.

    by_keys: it is the cross that the arrow keys move, and not a hand's pointer.
    """

    px: XY
    at: XY
    button: Button = Button.NONE
    held: Held = NOTHING_HELD
    clicks: int = 1
    by_keys: bool = False


class PlanKey(StrEnum):
    """Keys that tools know."""

    ENTER = "enter"
    ESCAPE = "escape"
    BACKSPACE = "backspace"
    DELETE = "delete"
    INSERT = "insert"
    TAB = "tab"
    BACK_TAB = "back tab"
    LEFT = "left"
    RIGHT = "right"
    UP = "up"
    DOWN = "down"
    PAGE_UP = "page up"
    PAGE_DOWN = "page down"


@dataclass(frozen=True, slots=True)
class Key:
    """A key that was pressed: one that tools know, or none and the text that it types."""

    key: PlanKey | None
    text: str = ""
    held: Held = NOTHING_HELD


ARROWS: dict[PlanKey, XY] = {
    PlanKey.LEFT: (-1.0, 0.0),
    PlanKey.RIGHT: (1.0, 0.0),
    PlanKey.UP: (0.0, 1.0),
    PlanKey.DOWN: (0.0, -1.0),
}
"""Where each arrow goes, east and north."""


def arrow_step_m(held: Held) -> float:
    """How far one press of an arrow goes, m."""
    if held.shift:
        return 1.0
    return 0.01 if held.alt else 0.10
