"""Fitting a raster of levels to the pegs: what would be added, how far each peg is off, then one edit."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from PySide6.QtWidgets import QWidget

from gardenwater.desktop.card.contents import Table, TableRow
from gardenwater.desktop.card.parts import TableList
from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.parts import Weight
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.site import edits
from gardenwater.site.model import GroundHandle, Site
from gardenwater.site.names import name_of
from gardenwater.site.things import LevelPeg
from gardenwater.units import Quantity, UnitSystem, text
from gardenwater.work import Cancel, Progress

if TYPE_CHECKING:
    from gardenwater.ground import Fit

_MOST_ROWS = 12
_LEAST_TILT = 1e-6


class FitSheet(Sheet):
    """Shift, tilt and misfits; *Fit it* lays the fitted ground under the site."""

    def __init__(self, fit: Fit, desk: Desk, look: Look, parent: QWidget) -> None:
        super().__init__("Fit ground to pegs", look, parent, width_px=480)
        self._fit, self._desk = fit, desk
        for words in fit_words(fit, desk.units):
            self.say(words)
        for notice in fit.notices:
            self.say(notice, "ink_soft")
        self.table = TableList(look, self)
        self.table.show_table(misfit_table(fit, desk.present))
        self.table.picked.connect(lambda thing_id: desk.select((thing_id,)))
        self.body.addWidget(self.table)
        self.add_back()
        self.fit_button = self.add_button("Fit it", self._take, Weight.GOES_ON)

    @staticmethod
    def job(site: Site) -> Callable[[Cancel, Progress], Any]:
        """The work: the site's raster fitted to its pegs."""

        def fitted(_cancel: Cancel, _progress: Progress) -> Fit:
            from gardenwater.ground import fit_to_pegs

            assert site.ground is not None
            return fit_to_pegs(site.ground.payload, site.of(LevelPeg))

        return fitted

    def _take(self) -> None:
        fit, handle = self._fit, self._desk.present.ground
        self.accept()
        if handle is not None:
            changed = fitted_handle(handle, fit)
            self._desk.edit("Fit ground to pegs", lambda site: edits.set_ground(site, changed, crs=site.crs))


def fitted_handle(handle: GroundHandle, fit: Fit) -> GroundHandle:
    """The site's raster after the fit; what earlier fits added is counted in."""
    return dataclasses.replace(
        handle,
        digest=fit.ground.digest,
        payload=fit.ground,
        shift_m=handle.shift_m + fit.shift_m,
        tilt_east=handle.tilt_east + fit.tilt_east,
        tilt_north=handle.tilt_north + fit.tilt_north,
    )


def fit_words(fit: Fit, units: UnitSystem) -> tuple[str, ...]:
    """What the fit adds, in sentences."""
    way = "raised" if fit.shift_m >= 0 else "lowered"
    words = [f"All levels are {way} by {text(abs(fit.shift_m), Quantity.HEIGHT_M, units)}."]
    for tilt, up, down in ((fit.tilt_east, "east", "west"), (fit.tilt_north, "north", "south")):
        if abs(tilt) > _LEAST_TILT:
            rise = text(1 / abs(tilt), Quantity.ONE_IN, units)
            words.append(f"The ground is tilted up {rise} towards the {up if tilt > 0 else down}.")
    if fit.rms_m == fit.rms_m:
        words.append(f"Pegs then miss the ground by {text(fit.rms_m, Quantity.HEIGHT_M, units)} (root mean square).")
    return tuple(words)


def misfit_table(fit: Fit, site: Site) -> Table:
    """How far each peg is above the fitted ground, the worst first."""
    units = site.settings.units
    rows = [
        TableRow(
            (
                name_of(site, miss.peg),
                text(miss.misfit_m, Quantity.HEIGHT_M, units),
                "far off" if miss.far_off else "",
            ),
            miss.peg,
            "fails" if miss.far_off else "ink",
        )
        for miss in sorted(fit.misfits, key=lambda miss: -abs(miss.misfit_m))
    ]
    return Table(("Peg", "above the ground", ""), tuple(rows[:_MOST_ROWS]))
