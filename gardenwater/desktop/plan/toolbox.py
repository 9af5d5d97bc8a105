"""Which tool is in the hand: the pointer, a drawing tool, a measuring tool, or the keys at the corners of a thing."""

from __future__ import annotations

from collections.abc import Callable

from gardenwater.desktop.attention import CONTOUR_TOOL, PROFILE_TOOL, SCALE_TOOL
from gardenwater.desktop.plan.corner_tool import CornerTool
from gardenwater.desktop.plan.draw_tool import DrawTool
from gardenwater.desktop.plan.events import Key, Pointer
from gardenwater.desktop.plan.live import Live, Sight
from gardenwater.desktop.plan.measure_tools import ContourTool, ProfileTool, ScaleTool
from gardenwater.desktop.plan.pointer_tool import PointerTool
from gardenwater.desktop.plan.tool import Tool
from gardenwater.desktop.plan.typed import FieldKind

_MEASURING: dict[str, type[Tool]] = {SCALE_TOOL: ScaleTool, CONTOUR_TOOL: ContourTool, PROFILE_TOOL: ProfileTool}


class Toolbox:
    """Hands what happens to the tool in use, and tells when what it shows may have changed."""

    def __init__(self, sight: Sight, changed: Callable[[], None]) -> None:
        self._sight = sight
        self._changed = changed
        self.pointer = PointerTool(sight)
        self._tool: Tool = self.pointer

    @property
    def tool(self) -> Tool:
        """The tool in use."""
        return self._tool

    @property
    def live(self) -> Live:
        """What it shows."""
        return self._tool.live

    @property
    def field(self) -> FieldKind | None:
        """Which field a digit opens now."""
        return self._tool.field

    def take(self, word: str) -> None:
        """Take up the tool for a kind, a measuring tool, or with "" the pointer; what was begun is given up."""
        if isinstance(self._tool, DrawTool) and self._tool.kind == word:
            return
        self._tool.give_up()
        if not word:
            self._tool = self.pointer
        elif word in _MEASURING:
            self._tool = _MEASURING[word](self._sight)
        else:
            self._tool = DrawTool(self._sight, word)
        self._changed()

    def edit_corners(self, thing_id: str) -> CornerTool:
        """Put the keyboard at the corners of a thing."""
        tool = CornerTool(self._sight, thing_id)
        self._tool = tool
        self._changed()
        return tool

    def press(self, event: Pointer) -> None:
        """A button went down."""
        self._tool.press(event)
        if self._back_to_pointer():
            self._tool.press(event)
        self._changed()

    def move(self, event: Pointer) -> None:
        """The pointer moved."""
        self._tool.move(event)
        self._changed()

    def release(self, event: Pointer) -> None:
        """The button went up."""
        self._tool.release(event)
        self._changed()

    def leave(self) -> None:
        """The pointer left the plan."""
        self._tool.leave()
        self._changed()

    def key(self, key: Key) -> bool:
        """A key; False when the tool has no use for it."""
        used = self._tool.key(key)
        self._back_to_pointer()
        self._changed()
        return used

    def typed(self, first: float | None, second: float | None) -> None:
        """What stands in the field."""
        self._tool.typed(first, second)
        self._changed()

    def enter(self) -> bool:
        """Take what stands in the field."""
        taken = self._tool.enter()
        self._changed()
        return taken

    def site_changed(self) -> None:
        """The site that is shown has changed."""
        self._tool.site_changed()
        self._back_to_pointer()

    def give_up(self) -> None:
        """Give up what was begun."""
        self._tool.give_up()
        self._changed()

    def _back_to_pointer(self) -> bool:
        done = isinstance(self._tool, CornerTool) and self._tool.done
        if done:
            self._tool = self.pointer
        return done
