"""The menu Report: a picture of the plan, a sheet to print, and the whole assessment in a folder."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.menus.actions import Actions
from gardenwater.report.page_paper import SIZES

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub


def fill_report(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    actions.add(
        menu,
        "Picture of the plan ...",
        hub.reporting.picture,
        key=QKeySequence.StandardKey.Print,
        tip="The plan as it is seen now, as PNG, PDF or SVG.",
        why_not=hub.no_site,
    )
    for size in SIZES:
        actions.add(
            menu,
            f"Sheet on {size} ...",
            partial(hub.reporting.sheet, size),
            tip="The whole site at a whole scale with key, findings and figures, to print: PDF, SVG or PNG.",
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
