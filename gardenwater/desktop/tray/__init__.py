"""The drawing tray: what can be drawn, which is the plan's legend and, opened, the list of all things."""

from __future__ import annotations

from gardenwater.desktop.tray.tray import Tray

__all__ = ["Tray"]
