"""Where the plan is looked at from: zoom about the pointer, moving the sheet, eased steps."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import QEasingCurve, QObject, QVariantAnimation, Signal

from gardenwater.desktop.plan.events import XY
from gardenwater.report.view import View

STEP = 1.25
"""How much one notch of the wheel, or one press of a key, zooms."""

_EASE_MS = 180
_MOST_PX_PER_M = 2000.0
_LEAST_PX_PER_M = 0.002
_ROOM = 0.04  # of a site's size, left free round it when the whole is shown


def between(a: View, b: View, share: float) -> View:
    """The view `share` of the way from a to b. A zoom about a point keeps that point where it is all the way."""
    step = math.exp(math.log(a.metres_per_px) * (1 - share) + math.log(b.metres_per_px) * share)
    change = b.metres_per_px - a.metres_per_px
    along = (step - a.metres_per_px) / change if abs(change) > 1e-9 * a.metres_per_px else share
    return replace(
        b,
        centre_x=a.centre_x + (b.centre_x - a.centre_x) * along,
        centre_y=a.centre_y + (b.centre_y - a.centre_y) * along,
        metres_per_px=step,
    )


class Camera(QObject):
    """The view, and how it changes. `still`: asked before each step; steps are at once where motion is reduced."""

    viewChanged = Signal()

    def __init__(self, still: Callable[[], bool], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._still = still
        self._view = View.of((0.0, 0.0, 80.0, 60.0), 800.0, 600.0)
        self._goal = self._view
        self._from = self._view
        self._ease = QVariantAnimation(self)
        self._ease.setDuration(_EASE_MS)
        self._ease.setEasingCurve(QEasingCurve.Type.OutCubic)
        self._ease.setStartValue(0.0)
        self._ease.setEndValue(1.0)
        self._ease.valueChanged.connect(self._step)

    @property
    def view(self) -> View:
        """The view now."""
        return self._view

    @property
    def goal(self) -> View:
        """The view when the step that is under way has ended."""
        return self._goal

    @property
    def moving(self) -> bool:
        """Whether a step is under way."""
        return self._ease.state() is QVariantAnimation.State.Running

    def resize(self, width_px: float, height_px: float) -> None:
        """Take another size; the middle of the sheet stays on its point of the map."""
        self._finish()
        self._set(replace(self._view, width_px=width_px, height_px=height_px))

    def move(self, right_px: float, down_px: float) -> None:
        """Move the sheet under the pointer."""
        self._finish()
        self._set(self._view.moved(right_px, down_px))

    def zoom(self, factor: float, about_px: XY, *, eased: bool = True) -> None:
        """Zoom by a factor; the map under `about_px` stays there."""
        px_per_m = self._goal.px_per_m
        wanted = min(max(px_per_m * factor, _LEAST_PX_PER_M), _MOST_PX_PER_M)
        self._go(self._goal.zoomed(wanted / px_per_m, about_px), eased=eased)

    def show(self, bounds: tuple[float, float, float, float], *, eased: bool = True, room: float = _ROOM) -> None:
        """Show all of west, south, east, north (m)."""
        self._go(self._of(bounds, room), eased=eased)

    def shows(self, bounds: tuple[float, float, float, float]) -> bool:
        """Whether the view is the one that shows all of west, south, east, north (m), and no other."""
        wanted, goal = self._of(bounds, _ROOM), self._goal
        off = math.hypot(wanted.centre_x - goal.centre_x, wanted.centre_y - goal.centre_y)
        return abs(wanted.metres_per_px / goal.metres_per_px - 1.0) < 1e-6 and off < goal.metres_per_px

    def _of(self, bounds: tuple[float, float, float, float], room: float) -> View:
        west, south, east, north = bounds
        spare = max((east - west), (north - south), 1.0) * room
        wide = (west - spare, south - spare, east + spare, north + spare)
        view = self._view
        return View.of(wide, view.width_px, view.height_px, margins=view.margins)

    def centre_on(self, at: XY) -> None:
        """Bring a point of the map to the middle, at the present scale; not when it is well in sight."""
        px, sheet = self._goal.to_px(*at), self._goal.sheet
        if not sheet.grown(-0.1 * min(sheet.width, sheet.height)).holds(*px):
            self._go(replace(self._goal, centre_x=at[0], centre_y=at[1]), eased=True)

    def _go(self, goal: View, *, eased: bool) -> None:
        self._ease.stop()
        self._goal = goal
        if eased and not self._still():
            self._from = self._view
            self._ease.start()
        else:
            self._set(goal)

    def _finish(self) -> None:
        if self.moving:
            self._ease.stop()
            self._view = self._goal

    def _step(self, share: float) -> None:
        if self.moving or share >= 1.0:
            self._view = self._goal if share >= 1.0 else between(self._from, self._goal, share)
            self.viewChanged.emit()

    def _set(self, view: View) -> None:
        self._view = self._goal = view
        self.viewChanged.emit()
