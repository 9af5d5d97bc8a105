"""The menu Site: files, imports, settings."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QMenu

from gardenwater.desktop.dialogs.fit_pegs import FitSheet
from gardenwater.desktop.dialogs.level_book import LevelBookSheet
from gardenwater.desktop.dialogs.settings import SettingsSheet
from gardenwater.desktop.dialogs.traced import ContoursSheet
from gardenwater.desktop.menus.actions import Actions
from gardenwater.desktop.weather import WeatherSheet
from gardenwater.site.things import LevelPeg

if TYPE_CHECKING:
    from gardenwater.desktop.hub import Hub
    from gardenwater.ground import Fit

_KEY = QKeySequence.StandardKey


def fill_site(menu: QMenu, actions: Actions, hub: Hub) -> None:
    """Fill it."""
    files, starts = hub.files, hub.starts
    new = menu.addMenu("New")
    actions.add(new, "From an empty sheet ...", starts.from_empty, key=_KEY.New)
    actions.add(new, "From a raster of levels ...", starts.from_raster)
    actions.add(new, "From a picture ...", starts.from_picture)
    actions.add(menu, "Open ...", files.open, key=_KEY.Open)
    recent = menu.addMenu("Opened before")
    recent.setToolTipsVisible(True)
    recent.aboutToShow.connect(lambda: _list_recent(recent, hub))
    _list_recent(recent, hub)
    actions.add(menu, "Open the sample garden", files.open_sample)
    menu.addSeparator()
    actions.add(menu, "Save", files.save, key=_KEY.Save, why_not=hub.no_site)
    actions.add(menu, "Save as ...", files.save_as, key="Ctrl+Shift+S", why_not=hub.no_site)
    menu.addSeparator()
    _fill_import(menu.addMenu("Import"), actions, hub)
    _fill_levels(menu.addMenu("Levels"), actions, hub)
    menu.addSeparator()
    actions.add(
        menu,
        "Weather ...",
        hub.desk.want_weather,
        key="Ctrl+Shift+W",
        tip="Daily rain and temperatures, or twelve monthly figures; a changed climate.",
        why_not=hub.no_site,
    )
    actions.add(
        menu,
        "Settings of the site ...",
        lambda: files.show(SettingsSheet(hub.desk, hub.look, hub.window)),
        key="Ctrl+,",
        why_not=hub.no_site,
    )
    hub.desk.weatherWanted.connect(lambda: _show_weather(hub))
    menu.addSeparator()
    actions.add(menu, "Close", files.close_site, key=_KEY.Close, why_not=hub.no_site)
    actions.add(menu, "Quit", hub.window.close, key="Ctrl+Q")


def _show_weather(hub: Hub) -> None:
    """Lay out the weather, once."""
    if not isinstance(hub.files.sheet, WeatherSheet):
        hub.files.show(WeatherSheet(hub.files, hub.look, hub.window))


def _fill_import(menu: QMenu, actions: Actions, hub: Hub) -> None:
    menu.setToolTipsVisible(True)
    starts = hub.starts
    actions.add(menu, "Raster of levels ...", starts.import_levels, why_not=hub.no_site)
    actions.add(menu, "Picture ...", starts.import_picture, why_not=hub.no_site)
    actions.add(menu, "Things from a table or GeoJSON ...", starts.import_things, why_not=hub.no_site)
    actions.add(menu, "Level pegs from a table ...", starts.import_pegs, why_not=hub.no_site)


def _fill_levels(menu: QMenu, actions: Actions, hub: Hub) -> None:
    menu.setToolTipsVisible(True)
    desk, look, show = hub.desk, hub.look, hub.files.show

    def no_fit() -> str:
        if hub.no_site() or desk.present.ground is None:
            return hub.no_site() or "There is no raster of levels to fit."
        return "" if desk.present.of(LevelPeg) else "There is no level peg to fit it to."

    def no_raster() -> str:
        return hub.no_site() or ("" if desk.present.ground is not None else "There is no raster of levels.")

    actions.add(menu, "Level book ...", lambda: show(LevelBookSheet(desk, look, hub.window)), why_not=hub.no_site)
    actions.add(
        menu,
        "Traced contours ...",
        lambda: show(ContoursSheet(desk, look, hub.window)),
        why_not=lambda: hub.no_site() or ("" if desk.present.survey.contours else "No contour is traced yet."),
    )
    actions.add(menu, "Fit ground to pegs ...", lambda: _fit(hub), why_not=no_fit)
    actions.add(menu, "Take the raster away", hub.starts.remove_levels, why_not=no_raster)


def _fit(hub: Hub) -> None:
    hub.files.run("Fitting the ground", FitSheet.job(hub.desk.present), lambda fit: _show_fit(hub, fit))


def _show_fit(hub: Hub, fit: Fit) -> None:
    hub.files.show(FitSheet(fit, hub.desk, hub.look, hub.window))


def _list_recent(menu: QMenu, hub: Hub) -> None:
    menu.clear()
    for path in hub.preferences.recent:
        _add_recent(menu, path, hub)
    if not hub.preferences.recent:
        nothing = menu.addAction("Nothing yet")
        nothing.setEnabled(False)
        nothing.setToolTip("Sites that you save are listed here.")


def _add_recent(menu: QMenu, path: Path, hub: Hub) -> None:
    action = menu.addAction(path.stem.replace("&", "&&"), lambda: hub.files.open(path))
    there = path.is_file()
    action.setEnabled(there)
    action.setToolTip(str(path) if there else f"{path} is no longer there.")
