"""The weather of the site: a record of days, twelve monthly figures, a changed climate; taken as one edit."""

from __future__ import annotations

from typing import Any

from PySide6.QtWidgets import QStackedWidget, QWidget

from gardenwater.desktop.dialogs.parts import Segments, Weight
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.filework import FileWork
from gardenwater.desktop.look import Look
from gardenwater.desktop.weather.figures_page import ChangePage, MonthlyPage
from gardenwater.desktop.weather.look_page import LookPage
from gardenwater.desktop.weather.record_page import RecordPage
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.weather import Sky, sky
from gardenwater.work import Cancel, Progress

PAGES = ("Record of days", "Monthly figures", "Changed climate", "A look at it")
_RECORD, _MONTHLY, _CHANGE, _LOOK = range(len(PAGES))
EDIT_LABEL = "Change the weather"
_WIDE_PX, _HIGH_PX = 1000, 440


class WeatherSheet(Sheet):
    """Four pages of one draft; *Take it* makes the draft the site's weather."""

    def __init__(self, files: FileWork, look: Look, parent: QWidget) -> None:
        super().__init__("Weather", look, parent, width_px=_WIDE_PX)
        self._files, self._desk = files, files.desk
        site, units = files.desk.present, files.desk.units
        self._alive = True
        self.pages = Segments("Page", PAGES, look, self)
        self.pages.chosen.connect(self.turn_to)
        self.body.addWidget(self.pages)
        self.stack = QStackedWidget(self)
        self.record = RecordPage(files, units, look, self)
        self.monthly = MonthlyPage(units, look, self)
        self.change = ChangePage(units, look, self)
        self.look_at = LookPage(units, look, self)
        for page in (self.record, self.monthly, self.change, self.look_at):
            self.stack.addWidget(page)
        self.stack.setFixedHeight(min(look.px(_HIGH_PX), max(parent.window().height() - 190, 300)))
        self.body.addWidget(self.stack)
        self.says = self.say("")
        self.add_back()
        self.take_button = self.add_button("Take it", self._take, Weight.GOES_ON)
        self.record.show_record(site.weather)
        self.monthly.show_figures(site.monthly)
        self.change.show_figures(site.change)
        for drafted in (self.record, self.monthly, self.change):
            drafted.changed.connect(self._weigh)
        self.finished.connect(self._close_down)
        self._weigh()
        self.turn_to(self._first_page(site))

    @staticmethod
    def _first_page(site: Site) -> int:
        if site.weather is None and site.monthly is not None:
            return _MONTHLY
        return _RECORD

    def _close_down(self) -> None:
        self._alive = False
        self.record.close_down()

    def turn_to(self, place: int) -> None:
        """Show a page."""
        self.pages.pick(place)
        self.stack.setCurrentIndex(place)
        if place == _LOOK:
            self._look_at_draft()

    def draft(self, site: Site) -> Site:
        """The site with the weather of the pages. Raises EditError for what cannot be taken."""
        site = edits.set_weather(site, self.record.record())
        return edits.set_change(edits.set_monthly(site, self.monthly.figures()), self.change.figures())

    def wrong(self) -> str:
        """What keeps the draft from being taken; empty when nothing does."""
        return self.record.wrong or self.monthly.wrong or self.change.wrong

    def _weigh(self) -> None:
        """Say what the site will be run on, and whether it can be taken."""
        wrong = self.wrong()
        self.take_button.setEnabled(not wrong)
        self.says.set_role("fails" if wrong else "ink_soft")
        self.says.setText(wrong or self._runs_on())

    def _runs_on(self) -> str:
        weather, monthly = self.record.weather(), self.monthly.figures()
        if weather is None:
            if monthly is None:
                return "No weather yet: Lasting and what follows from it cannot be answered."
            return "The site is run on years made from the monthly figures."
        if weather.knows("t_min_c") and weather.knows("t_max_c"):
            return "The site is run on the record of days."
        if monthly is not None:
            return "The site is run on the record's rain; its temperatures are those of the monthly figures."
        return "The record has no temperatures: type the monthly figures, and they give them."

    def _look_at_draft(self) -> None:
        """Make the weather of the draft off the window's thread, and show it."""
        if self.wrong():
            self.look_at.show_weather(None)
            return
        site = self.draft(self._desk.present)

        def job(_cancel: Cancel, _progress: Progress) -> Sky | None:
            return sky(site)

        self._files.run("Making weather", job, self._show_sky)

    def _show_sky(self, found: Any) -> None:
        if self._alive:
            record = self.record.weather()
            self.look_at.show_weather(found.weather if found is not None else record)

    def _take(self) -> None:
        if self.wrong():
            return
        if self._desk.edit(EDIT_LABEL, self.draft):
            self.accept()
