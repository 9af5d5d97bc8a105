"""Keeps the year strip true: the answer's years, the one that is chosen, and the days that the hand can stand on."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.worker import Phase
from gardenwater.desktop.year.shown import Lack, YearShown
from gardenwater.desktop.year.strip import YearStrip
from gardenwater.report.year import DRIEST, YearDays
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Tank

if TYPE_CHECKING:
    from gardenwater.assess import LastingAnswer


def lack_of(site: Site) -> Lack | None:
    """What a site lacks for Lasting; None where it has all."""
    if site.weather is None and site.monthly is None:
        return Lack.WEATHER
    if not site.of(Tank):
        return Lack.TANK
    return None if site.of(Bed) else Lack.BED


class YearFeed(QObject):
    """Listens to the desk and tells the strip its year. An answer stays until another comes."""

    def __init__(self, desk: Desk, strip: YearStrip) -> None:
        super().__init__(strip)
        self._desk, self._strip = desk, strip
        self._lasting: LastingAnswer | None = None
        self._made: tuple[LastingAnswer, str, YearShown] | None = None
        for signal in (desk.answersChanged, desk.siteChanged, desk.yearChanged, desk.workChanged):
            signal.connect(self.refresh)
        desk.opened.connect(self._forget)
        self.refresh()

    def _forget(self) -> None:
        """Another site was opened: its year is another."""
        self._lasting = self._made = None
        self.refresh()

    def refresh(self) -> None:
        """Work out anew what the strip shows."""
        shown = self._shown()
        before = self._strip.shown
        if (shown.days, shown.stale, shown.lack, shown.key) != (before.days, before.stale, before.lack, before.key):
            self._strip.show_year(shown)
            self._place_hand(shown.days)

    def _shown(self) -> YearShown:
        desk = self._desk
        lack = lack_of(desk.site)
        if lack is not None:
            self._lasting = None
            return YearShown(lack=lack)
        newest = desk.answers.lasting if desk.answers is not None else None
        self._lasting = newest or self._lasting
        if self._lasting is None:
            return YearShown(lack=Lack.FAILED if desk.settled else Lack.ANSWER)
        stale = newest is None or (desk.work.phase is Phase.WORKING and not desk.settled and not desk.live)
        return self._year(self._lasting, stale=stale)

    def _year(self, lasting: LastingAnswer, *, stale: bool) -> YearShown:
        from gardenwater.report.year.of_answers import year_days, year_names

        key = self._desk.year if self._desk.year in lasting.keys else DRIEST
        made = self._made
        if made is not None and made[0] is lasting and made[1] == key and made[2].stale is stale:
            return made[2]
        same = made is not None and made[0] is lasting and made[1] == key
        balance = lasting.of(key).balance
        shown = YearShown(
            days=made[2].days if made is not None and same else year_days(lasting, key),
            years=year_names(lasting),
            key=key,
            tanks=tuple(
                (name_of(self._desk.site, tank), balance.volume_m3[:, place] * 1000.0)
                for place, tank in enumerate(balance.tanks)
            ),
            stale=stale,
        )
        self._made = (lasting, key, shown)
        return shown

    def _place_hand(self, days: YearDays | None) -> None:
        """The hand stays on its day of the year; at first it stands on the most telling one."""
        desk = self._desk
        if days is None:
            desk.show_days(None, None)
            return
        day: dt.date = days.date(days.telling if desk.day is None else days.day_of(desk.day))
        desk.show_days((days.start, days.last), day)
