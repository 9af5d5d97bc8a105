"""The menus: Site, Edit, Plan, Report, Help."""

from __future__ import annotations

from gardenwater.desktop.menus.actions import Actions
from gardenwater.desktop.menus.bar import MenuRow, fill_menus

__all__ = ["Actions", "MenuRow", "fill_menus"]
