"""The menu Report: a picture of the plan, and the whole assessment in a folder."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.menus.actions import Actions

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub


def fill_report(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    actions.add(
        menu,
        "Picture of the plan ...",
        hub.reporting.picture,
        key=QKeySequence.StandardKey.Print,
        tip="The sheet as it is seen now, as PNG, PDF or SVG.",
        why_not=hub.no_site,
    )
    actions.add(
        menu,
        "Assessment to a folder ...",
        hub.reporting.assessment,
        key="Ctrl+Shift+A",
        tip="Every number and finding, maps and pictures, in open formats.",
        why_not=hub.no_site,
    )
