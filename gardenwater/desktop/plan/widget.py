"""The plan as a widget: it looks at the desk's site and answers, and hands gestures to the desk."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, QPointF, QRectF, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.housestyle import draw_focus_ring
from gardenwater.desktop.look import Look, is_look_event, measure
from gardenwater.desktop.plan.events import XY
from gardenwater.desktop.plan.fading import WashFade
from gardenwater.desktop.plan.geometry import bounds_of
from gardenwater.desktop.plan.handling import PlanInput
from gardenwater.desktop.plan.live import SlipLine
from gardenwater.desktop.plan.livemarks import LiveMarks
from gardenwater.desktop.plan.scene import Held, Scene
from gardenwater.desktop.plan.slipmarks import slip_marks
from gardenwater.desktop.plan.slips import hover_lines
from gardenwater.desktop.plan.speech import Speaker, plan_name
from gardenwater.desktop.plan.surface import Surface
from gardenwater.findings import Finding, Question
from gardenwater.report.drawing import Mark
from gardenwater.report.frame import frame
from gardenwater.report.view import View

_REST_MS = 400
_SETTLE_MS = 120
_FRAME_MS = 16
_EMPTY_SHEET = (0.0, 0.0, 80.0, 60.0)
_SELECTED_ROOM = 0.6
_DISC_PX = 24.0


class PlanWidget(PlanInput):
    """The drawing area of the window."""

    viewChanged = Signal()

    def __init__(self, desk: Desk, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(desk, look, parent)
        self._look = look
        self._scene = Scene(desk, look, self._in_hand)
        self._surface = Surface(look)
        self._fade = WashFade(self._surface, lambda: look.still, self.update, self)
        self._speaker = Speaker(self)
        self._resting = False
        self._resting_words: Callable[[], Sequence[SlipLine]] = tuple
        self._fitted = False
        self._stepping = False
        self._rest = self._timer(_REST_MS, self._rested)
        self._settle = self._timer(_SETTLE_MS, self._settled)
        self._soon = self._timer(_FRAME_MS, self.update)
        self._showed = False
        self.setMinimumSize(320, 240)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._listen()
        self._name()

    @property
    def view(self) -> View:
        """Which part of the site is seen."""
        return self._camera.view

    def set_resting_words(self, words: Callable[[], Sequence[SlipLine]]) -> None:
        """Give the words that stand at the pointer after a rest where no thing is under it (those of the read-out)."""
        self._resting_words = words

    def show_all(self, *, eased: bool = True) -> None:
        """Show the whole site; at once when not eased (the sheet begins anew somewhere else)."""
        self._camera.show(self._whole(), eased=eased)

    def finding_at(self, where: QPointF) -> Finding | None:
        """The finding whose sign is under a place of the widget."""
        discs = () if self._scene.last is None else self._scene.last.discs
        near = (disc for disc in discs if math.hypot(disc.x - where.x(), disc.y - where.y()) <= _DISC_PX / 2)
        return next((disc.finding for disc in near), None)

    def show_spot(self, at: XY) -> None:
        """Bring a place of the site into sight (a finding)."""
        self._camera.centre_on(at)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint what has changed."""
        self._soon.stop()
        painter = QPainter(self)
        painter.fillRect(event.rect(), self._look.color("sheet"))
        view, ratio = self._camera.view, self.devicePixelRatioF()
        if not self._paint_on_the_way(painter, view, ratio):
            drawing = self._scene.drawing(view)
            fade = self._fade.see(drawing, ratio, at_once=self._desk.in_hand)
            self._surface.paint(painter, drawing, ratio, fade)
        self._surface.paint_marks(painter, self._live_marks(), QRectF(*view.sheet), ratio)
        if self.hasFocus() and self._by_keys:
            ring = QRectF(self.rect()).adjusted(2, 2, -2, -2)
            draw_focus_ring(painter, ring, self._look.color("mark"), corner_px=0.0)
        painter.end()

    def _paint_on_the_way(self, painter: QPainter, view: View, ratio: float) -> bool:
        """Paint what was drawn last while the sheet is moved or zoomed; False when all is to be drawn anew."""
        drawn, scene, surface = self._scene.last, self._scene, self._surface
        if (
            drawn is None
            or scene.settled
            or (drawn.view.width_px, drawn.view.height_px) != (view.width_px, view.height_px)
        ):
            return False
        if self._camera.moving or drawn.view.metres_per_px != view.metres_per_px:
            surface.paint_zoomed(painter, drawn, view, ratio)
        elif self._desk.live or not surface.paint_moved(painter, drawn, view, ratio, scene.part):
            return False
        surface.paint_sheets(painter, drawn, ratio)
        everywhere = QRectF(0, 0, view.width_px, view.height_px)
        surface.paint_marks(painter, frame(view, self._desk.units, text_factor=self._look.factor), everywhere, ratio)
        return True

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the middle of the sheet; the whole site stays whole, as it is shown at first."""
        whole = self._shows_whole()
        self._camera.resize(self.width(), self.height())
        if not self._fitted or whole:
            self._camera.show(self._whole(), eased=False)
            self._fitted = True
        super().resizeEvent(event)

    def changeEvent(self, event: QEvent) -> None:
        """Follow a change of the looks."""
        if is_look_event(event):
            self._looks_changed()
        super().changeEvent(event)

    def _in_hand(self) -> Held:
        stepping = self._stepping or self._desk.spilling.moving
        return Held(self._toolbox.tool.dragged, self.hasFocus() and self._by_keys, stepping)

    def _live_marks(self) -> list[Mark]:
        view, live = self._camera.view, self._toolbox.live
        marks = LiveMarks(view, self._desk.units, self._look.factor)
        made = marks.of(live)
        if self._cross is not None and self.hasFocus():
            made += marks.cross(self._cross)
        if live.slip is not None:
            made += slip_marks(live.slip.lines, view.to_px(*live.slip.at), view.sheet, measure, self._look.factor)
        elif self._resting and self._desk.at_pointer is not None:
            lines = self._hover_lines()
            if lines:
                at = view.to_px(*self._desk.at_pointer)
                made += slip_marks(lines, at, view.sheet, measure, self._look.factor)
        return made

    def _hover_lines(self) -> Sequence[SlipLine]:
        thing = self._desk.site.get(self._desk.hovered)
        return hover_lines(self, thing) if thing is not None else self._resting_words()

    # what has changed

    def _listen(self) -> None:
        desk = self._desk
        self._camera.viewChanged.connect(self._view_changed)
        desk.siteChanged.connect(self._site_changed)
        desk.opened.connect(self._opened)
        desk.toolChanged.connect(self._take_tool)
        desk.pointerMoved.connect(self._pointer_moved)
        self._look.changed.connect(self._looks_changed)
        desk.answersChanged.connect(self._answers_changed)
        for signal in (desk.selectionChanged, desk.questionChanged, desk.findingChosen):
            signal.connect(self._shown_changed)
        desk.spilling.changed.connect(self._shown_changed)
        desk.hoverChanged.connect(self.update)
        desk.dayChanged.connect(self._day_changed)
        desk.standing.spotChanged.connect(self._shown_changed)

    def _site_changed(self) -> None:
        self._toolbox.site_changed()
        self._shown_changed()

    def _opened(self) -> None:
        self._cross = None
        self._camera.show(self._whole(), eased=False)

    def _answers_changed(self) -> None:
        """While something is dragged, answers are shown with the next move, which paints anyway."""
        if self._desk.in_hand:
            self._soon.start()
        else:
            self._shown_changed()

    def _shown_changed(self) -> None:
        if not self._desk.in_hand:
            self._name()
        self._settle.start()
        self.update()

    def _day_changed(self) -> None:
        """The hand of the year moves: the plan follows within a frame."""
        if self._desk.question is Question.LASTING:
            self._stepping = True
            self._settle.start()
            self.update()

    def _view_changed(self) -> None:
        self._resting = False
        self._scene.stir()
        self._settle.start()
        self.viewChanged.emit()
        self.update()

    def _tool_changed(self) -> None:
        tool = self._toolbox.tool
        shows = tool.busy or tool.cross_pointer
        if shows or self._showed:
            self.update()
        self._showed = shows
        self._set_cursor()
        self._speaker.say(tool.spoken)

    def _take_tool(self, word: str) -> None:
        self._field.close_field()
        self._toolbox.take(word)
        if word:
            self.setFocus()

    def _pointer_moved(self) -> None:
        if self._resting:
            self._resting = False
            self.update()
        self._rest.start()

    def _rested(self) -> None:
        self._resting = not self._toolbox.tool.busy and not self._toolbox.tool.cross_pointer
        self.update()

    def _settled(self) -> None:
        """Some time after the last change labels are placed anew."""
        self._scene.settle()
        self._stepping = False
        self.update()

    def _looks_changed(self) -> None:
        self._surface.look_changed()
        self._fade.stop()
        self._scene.forget()
        self.update()

    def _name(self) -> None:
        words = plan_name(self._desk)
        self.setAccessibleName(words)
        self._speaker.say(words)

    def _whole(self) -> tuple[float, float, float, float]:
        """What the whole site is: its things, else its ground, else an empty sheet."""
        site = self._desk.site
        if site.things:
            return bounds_of(site.things)
        if site.ground is not None:
            a, _, c, _, e, f = site.ground.transform
            return c, f + e * site.ground.rows, c + a * site.ground.cols, f
        return _EMPTY_SHEET

    def _shows_whole(self) -> bool:
        """Whether the view is that of the whole site."""
        return self._camera.shows(self._whole())

    def _show_selected(self) -> None:
        if self._desk.selected:
            self._camera.show(bounds_of(self._desk.selected), room=_SELECTED_ROOM)

    def _timer(self, wait_ms: int, then: Callable[[], None]) -> QTimer:
        timer = QTimer(self)
        timer.setSingleShot(True)
        timer.setInterval(wait_ms)
        timer.timeout.connect(then)
        return timer
