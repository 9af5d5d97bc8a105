"""The menu Plan: how the plan is looked at, what is measured on it, and how the window looks."""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.attention import CONTOUR_TOOL, PROFILE_TOOL, SCALE_TOOL, MapOf, Theme
from gardenwater.desktop.dialogs.line_sheet import LineSheet
from gardenwater.desktop.framing import Fold
from gardenwater.desktop.look import TEXT_PERCENTS, Motion
from gardenwater.desktop.menus.actions import Actions
from gardenwater.findings import Question
from gardenwater.site import edits
from gardenwater.site.things import Bed, WateringLine
from gardenwater.units import UnitSystem

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub

_KEY = QKeySequence.StandardKey
_THEME_WORDS = {Theme.SYSTEM: "As the system says", Theme.LIGHT: "Light", Theme.DARK: "Dark"}
_UNIT_WORDS = {UnitSystem.METRIC: "Metres, litres", UnitSystem.US: "Feet, US gallons"}
_OPACITIES = (20, 40, 60, 80, 100)


def fill_plan(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    _fill_questions(menu.addMenu("Questions"), actions, hub)
    _fill_going(menu.addMenu("Go to"), actions, hub)
    menu.addSeparator()
    plan = hub.plan
    actions.add(menu, "Zoom in", plan.zoom_in, key=(_KEY.ZoomIn, "Ctrl+="))
    actions.add(menu, "Zoom out", plan.zoom_out, key=_KEY.ZoomOut)
    actions.add(menu, "Whole site", plan.show_all, key="Ctrl+0", tip="Also Home, on the plan.")
    menu.addSeparator()
    _fill_underlay(menu.addMenu("Picture under the plan"), actions, hub)
    _add_tool(menu, actions, hub, PROFILE_TOOL, "Profile between two spots", hub.no_site)
    actions.add(
        menu,
        "Take the profile away",
        lambda: hub.desk.lay_profile(None),
        why_not=lambda: "" if hub.desk.profile is not None else "No profile is laid.",
    )
    actions.add(
        menu,
        "Where a tank could stand",
        hub.desk.ask_place,
        tip="For the selected tank, the selected beds, or a new tank and all beds.",
        why_not=lambda: hub.no_site() or ("" if hub.desk.site.of(Bed) else "There is no bed yet."),
    )
    actions.add(
        menu,
        "Best of all tanks",
        lambda: hub.desk.show_map_of(MapOf.TANK if hub.desk.map_of is MapOf.ALL else MapOf.ALL),
        tip="In Reach, also while one tank is selected; else that tank's own map is shown.",
        checked=lambda: hub.desk.map_of is MapOf.ALL,
        why_not=hub.no_site,
    )
    actions.add(
        menu,
        "A line without a map ...",
        lambda: hub.files.show(LineSheet(hub.desk, hub.look, hub.window, _selected_line(hub))),
        tip="What a head, a hose and its fittings give; set a line by bucket and stopwatch.",
        why_not=hub.no_site,
    )
    menu.addSeparator()
    _fill_sizes(menu.addMenu("Text size"), actions, hub)
    _fill_themes(menu.addMenu("Light or dark"), actions, hub)
    _fill_units(menu.addMenu("Units"), actions, hub)
    _fill_folds(menu.addMenu("Fold"), actions, hub)
    actions.add(
        menu,
        "Reduced motion",
        lambda: _turn_motion(hub),
        checked=lambda: hub.preferences.motion is Motion.REDUCED,
        tip="Everything at once, nothing slides.",
    )
    actions.add(
        menu,
        "Full screen",
        lambda: hub.window.showNormal() if hub.window.isFullScreen() else hub.window.showFullScreen(),
        key="F11",
        checked=hub.window.isFullScreen,
    )


def _selected_line(hub: Hub) -> str:
    """Id of the one selected watering line, or empty."""
    chosen = hub.desk.selected
    return chosen[0].id if len(chosen) == 1 and isinstance(chosen[0], WateringLine) else ""


def _fill_questions(menu: QMenu, actions: Actions, hub: Hub) -> None:
    for number, question in enumerate(Question, 1):
        actions.add(
            menu,
            question.value,
            lambda asked=question: hub.desk.ask(asked),  # type: ignore[misc]
            key=f"Ctrl+{number}",
            why_not=hub.no_site,
            checked=lambda asked=question: hub.desk.question is asked,  # type: ignore[misc]
        )


def _fill_going(menu: QMenu, actions: Actions, hub: Hub) -> None:
    rooms = hub.rooms
    actions.add(menu, "Next part of the window", lambda: rooms.go_on(1), key="F6")
    actions.add(menu, "Last part of the window", lambda: rooms.go_on(-1), key="Shift+F6")

    def no_finding() -> str:
        return hub.no_site() or ("" if rooms.findings.shown() else "There is no finding here.")

    actions.add(menu, "Next finding", lambda: rooms.findings.step(1), key="F8", why_not=no_finding)
    actions.add(menu, "Last finding", lambda: rooms.findings.step(-1), key="Shift+F8", why_not=no_finding)


def _fill_underlay(menu: QMenu, actions: Actions, hub: Hub) -> None:
    menu.setToolTipsVisible(True)
    desk = hub.desk

    def none() -> str:
        return hub.no_site() or ("" if desk.present.underlay is not None else "There is no picture under the plan.")

    def shown() -> bool:
        underlay = desk.present.underlay
        return underlay is not None and underlay.shown

    def opacity() -> int:
        underlay = desk.present.underlay
        return 0 if underlay is None else round(100 * underlay.opacity)

    actions.add(
        menu, "Shown", lambda: _change_underlay(hub, "Show or hide the picture", shown=not shown()),
        why_not=none, checked=shown,
    )  # fmt: skip
    for percent in _OPACITIES:
        actions.add(
            menu,
            f"{percent} % strong",
            lambda share=percent: _change_underlay(hub, "Strength of the picture", opacity=share / 100),  # type: ignore[misc]
            why_not=none,
            checked=lambda share=percent: opacity() == share,  # type: ignore[misc]
        )
    menu.addSeparator()
    _add_tool(menu, actions, hub, SCALE_TOOL, "Set to scale by two spots", none)
    _add_tool(menu, actions, hub, CONTOUR_TOOL, "Trace a contour", none)
    actions.add(
        menu,
        "Take the picture away",
        lambda: desk.edit("Take the picture away", lambda site: edits.set_underlay(site, None)),
        why_not=none,
    )


def _add_tool(menu: QMenu, actions: Actions, hub: Hub, tool: str, words: str, why_not: object) -> None:
    desk = hub.desk
    actions.add(
        menu,
        words,
        lambda: desk.draw("" if desk.tool == tool else tool),
        why_not=why_not,  # type: ignore[arg-type]
        checked=lambda: desk.tool == tool,
    )


def _change_underlay(hub: Hub, label: str, **changes: object) -> None:
    underlay = hub.desk.present.underlay
    if underlay is not None:
        changed = dataclasses.replace(underlay, **changes)  # type: ignore[arg-type]
        hub.desk.edit(label, lambda site: edits.set_underlay(site, changed), "underlay")


def _fill_sizes(menu: QMenu, actions: Actions, hub: Hub) -> None:
    for percent in TEXT_PERCENTS:
        actions.add(
            menu,
            f"{percent} %",
            lambda size=percent: hub.rooms.set_text_percent(size),  # type: ignore[misc]
            checked=lambda size=percent: hub.look.percent == size,  # type: ignore[misc]
        )


def _fill_themes(menu: QMenu, actions: Actions, hub: Hub) -> None:
    for theme, words in _THEME_WORDS.items():
        actions.add(
            menu,
            words,
            lambda chosen=theme: hub.desk.set_theme(chosen),  # type: ignore[misc]
            checked=lambda chosen=theme: hub.desk.theme is chosen,  # type: ignore[misc]
        )


def _fill_units(menu: QMenu, actions: Actions, hub: Hub) -> None:
    for units, words in _UNIT_WORDS.items():
        actions.add(
            menu,
            words,
            lambda chosen=units: _take_units(hub, chosen),  # type: ignore[misc]
            checked=lambda chosen=units: _units(hub) is chosen,  # type: ignore[misc]
        )


def _units(hub: Hub) -> UnitSystem:
    return hub.desk.units if hub.files.has_site else hub.preferences.units


def _take_units(hub: Hub, units: UnitSystem) -> None:
    hub.preferences.units = units
    if hub.files.has_site:
        hub.desk.edit("Change the units", lambda site: edits.settings(site, units=units))


def _fill_folds(menu: QMenu, actions: Actions, hub: Hub) -> None:
    for fold, words, key in (
        (Fold.TRAY, "Drawing tray to icons", ()),
        (Fold.QUESTION_ICONS, "Icons of the questions away", ()),
        (Fold.FINDINGS, "Findings to one line", ()),
        (Fold.YEAR_STRIP, "Year strip folded", "Ctrl+E"),
    ):
        actions.add(
            menu,
            words,
            lambda which=fold: hub.rooms.turn(which),  # type: ignore[misc]
            key=key,
            checked=lambda which=fold: hub.rooms.is_folded(which),  # type: ignore[misc]
        )


def _turn_motion(hub: Hub) -> None:
    motion = Motion.SYSTEM if hub.preferences.motion is Motion.REDUCED else Motion.REDUCED
    hub.preferences.motion = motion
    hub.look.set_motion(motion)
