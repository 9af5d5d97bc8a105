"""The picture of one year of weather: rain as bars, temperatures as a band, wet and dry spells along the base."""

from __future__ import annotations

import datetime as dt
from typing import Final

import numpy as np
from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QFontMetricsF, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from gardenwater.desktop.look import Look
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.units import Quantity, UnitSystem, exact_text, parse, text, unit_word
from gardenwater.weather import Spell, Weather, spells
from gardenwater.weather.look_words import year_words

_LEFT_PX, _RIGHT_PX, _TOP_PX = 104, 8, 10
_MONTHS_PX, _SPELLS_PX, _GAP_PX = 20, 22, 16
_HIGH_PX = 250
_WORD_PX = 14
_TEMPERATURE_SHARE = 0.42
DRY_DAYS, WET_DAYS = 10, 4
"""Least days of the spells that are drawn."""
_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LEFT = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
_ROUND_STEPS: Final = (1.0, 2.0, 2.5, 5.0, 10.0)


def round_up(value: float) -> float:
    """The next round number (1, 2, 2.5 or 5 times a power of ten) at or above a positive value."""
    if value <= 0.0:
        return 1.0
    power = 10.0 ** np.floor(np.log10(value))
    return float(next(step * power for step in _ROUND_STEPS if step * power >= value * 0.999999))


class YearOfWeather(QWidget):
    """Paints one year; silent to the pointer, told to those who do not see it as words."""

    def __init__(self, units: UnitSystem, look: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._units, self._look = units, look
        self._weather: Weather | None = None
        self._spells: tuple[tuple[Spell, ...], tuple[Spell, ...]] = ((), ())
        self._most_rain_mm = 1.0
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        look.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        """As high as its rows."""
        return QSize(400, self._look.px(_HIGH_PX))

    def show_year(self, weather: Weather | None, year: int) -> None:
        """Show a calendar year of some weather."""
        self._weather = None if weather is None else weather.year(year)
        if weather is not None and self._weather is not None:
            one = self._weather
            self._spells = (spells(one, wet=False, least_days=DRY_DAYS), spells(one, wet=True, least_days=WET_DAYS))
            self._most_rain_mm = max(float(np.nanmax(one.rain_mm, initial=0.0)), 1.0)
        self.setAccessibleName("Picture of the year")
        self.setAccessibleDescription(self._told())
        self.update()

    def _told(self) -> str:
        one = self._weather
        if one is None:
            return ""
        dry, wet = (max((spell.days for spell in kind), default=0) for kind in self._spells)
        rain = text(float(np.nansum(one.rain_mm)), Quantity.RAIN_MM, self._units)
        name = year_words(one.start.year, made=one.made)
        return f"{name}: {rain} of rain, longest dry spell {dry} days, longest wet spell {wet} days"

    # painting

    def _x(self, place: float) -> float:
        """Where a place in the year lies, 0 its first morning."""
        days = 366.0
        return self._left + (self.width() - self._left - self._look.px(_RIGHT_PX)) * place / days

    @property
    def _left(self) -> float:
        return float(self._look.px(_LEFT_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Rows from the top: temperatures, rain, spells, months."""
        painter, look, one = QPainter(self), self._look, self._weather
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if one is None:
            return
        bottom = float(self.height() - look.px(_MONTHS_PX))
        spells_top = bottom - look.px(_SPELLS_PX)
        plot = spells_top - _TOP_PX - _GAP_PX
        split = _TOP_PX + plot * _TEMPERATURE_SHARE
        self._paint_months(painter, bottom, one.start.year)
        self._paint_temperatures(painter, QRectF(0, _TOP_PX, self.width(), split - _TOP_PX), one)
        self._paint_rain(painter, QRectF(0, split + _GAP_PX, self.width(), spells_top - split - _GAP_PX), one)
        self._paint_spells(painter, spells_top, one)

    def _paint_months(self, painter: QPainter, bottom: float, year: int) -> None:
        painter.setFont(self._look.font(11.5))
        first = dt.date(year, 1, 1)
        for month in range(1, 13):
            start = (dt.date(year, month, 1) - first).days
            end = (dt.date(year, month + 1, 1) - first).days if month < 12 else 365
            box = QRectF(self._x(start), bottom, self._x(end) - self._x(start), self._look.px(_MONTHS_PX))
            painter.setPen(self._look.color("ink_soft"))
            painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), MONTH_NAMES[month - 1][:3])
            painter.setPen(QPen(self._look.color("hairline"), 1.0))
            painter.drawLine(QPointF(self._x(start), _TOP_PX), QPointF(self._x(start), bottom))

    def _name(self, painter: QPainter, box: QRectF, words: str, unit: str, role: str) -> None:
        """The name of a row at its left, its unit below."""
        look = self._look
        line = look.px(16)
        width = self._left - look.px(34)
        painter.setFont(look.font(12, semibold=True))
        painter.setPen(look.color(role))
        painter.drawText(QRectF(0, box.top() - 2, width, line), int(_LEFT), words)
        painter.setFont(look.font(11.5))
        painter.setPen(look.color("ink_soft"))
        painter.drawText(QRectF(0, box.top() + line - 2, width, line), int(_LEFT), unit)

    def _scale(self, painter: QPainter, y: float, words: str) -> None:
        """A figure at the left of a line."""
        painter.setFont(self._look.font(11))
        painter.setPen(self._look.color("ink_soft"))
        painter.drawText(QRectF(0, y - 8, self._left - 6, 16), int(_RIGHT), words)
        painter.setPen(QPen(self._look.color("hairline"), 1.0))
        painter.drawLine(QPointF(self._left, y), QPointF(self._x(366), y))

    def _paint_temperatures(self, painter: QPainter, box: QRectF, one: Weather) -> None:
        self._name(painter, box, "day, night", unit_word(Quantity.AIR_C, self._units), "earth")
        low, high = one.t_min_c, one.t_max_c
        known = np.flatnonzero(~(np.isnan(low) | np.isnan(high)))
        if not known.size:
            painter.setPen(self._look.color("ink_soft"))
            painter.drawText(box.adjusted(self._left, 0, 0, 0), int(Qt.AlignmentFlag.AlignCenter), "not known")
            return
        bottom_c, top_c = self._round_ends(float(low[known].min()), float(high[known].max()))
        span = max(top_c - bottom_c, 10.0)

        def y(value: float) -> float:
            return float(box.bottom() - (value - bottom_c) / span * box.height())

        for value in (bottom_c, 0.0, top_c):
            near_another = value == 0.0 and min(abs(y(end) - y(value)) for end in (bottom_c, top_c)) < _WORD_PX
            if bottom_c <= value <= top_c and not near_another:
                self._scale(painter, y(value), text(value, Quantity.TEMPERATURE_C, self._units, unit=False))
        upper = [QPointF(self._x(day + 0.5), y(high[day])) for day in known]
        lower = [QPointF(self._x(day + 0.5), y(low[day])) for day in known]
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.color("mud_1"))
        painter.drawPolygon(QPolygonF([*upper, *reversed(lower)]))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        for role, points in (("earth", upper), ("ink_soft", lower)):
            painter.setPen(QPen(self._look.color(role), 1.0))
            painter.drawPolyline(QPolygonF(points))

    def _round_ends(self, low_c: float, high_c: float) -> tuple[float, float]:
        """The tens of degrees, as people read them, below and above."""
        zero = parse("0", Quantity.AIR_C, self._units)
        ten = parse("10", Quantity.AIR_C, self._units) - zero
        return float(np.floor((low_c - zero) / ten)) * ten + zero, float(np.ceil((high_c - zero) / ten)) * ten + zero

    def _paint_rain(self, painter: QPainter, box: QRectF, one: Weather) -> None:
        self._name(painter, box, "rain", unit_word(Quantity.RAIN_MM, self._units), "rain")
        inch_or_mm = parse("1", Quantity.RAIN_MM, self._units)
        top_mm = round_up(self._most_rain_mm / inch_or_mm) * inch_or_mm
        for value in (0.0, top_mm / 2.0, top_mm):
            y = box.bottom() - value / top_mm * box.height()
            self._scale(painter, y, exact_text(value, Quantity.RAIN_MM, self._units, unit=False))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(self._look.color("rain"))
        width = max(self._x(1) - self._x(0), 1.2)
        for day in np.flatnonzero(one.rain_mm > 0.0):
            high = float(one.rain_mm[day] / top_mm * box.height())
            painter.drawRect(QRectF(self._x(int(day)), box.bottom() - high, width, high))
        painter.setBrush(self._look.color("warn_wash"))
        for day in np.flatnonzero(np.isnan(one.rain_mm) | one.left_out):
            painter.drawRect(QRectF(self._x(int(day)), box.top(), width, box.height()))

    def _paint_spells(self, painter: QPainter, top: float, one: Weather) -> None:
        look = self._look
        middle = top + look.px(_SPELLS_PX) / 2
        painter.setFont(look.font(12, semibold=True))
        painter.setPen(look.color("need"))
        painter.drawText(QRectF(0, middle - 8, self._left - 6, 16), int(_LEFT), "dry spells")
        font = look.font(11)
        metrics = QFontMetricsF(font)
        for kind, role in zip(self._spells, ("need", "rain"), strict=True):
            for spell in kind:
                start, end = (spell.first - one.start).days, (spell.last - one.start).days + 1
                first = (one.start - dt.date(one.start.year, 1, 1)).days
                painter.setPen(QPen(look.color(role), 3.0, Qt.PenStyle.SolidLine, Qt.PenCapStyle.FlatCap))
                painter.drawLine(QPointF(self._x(first + start), middle), QPointF(self._x(first + end), middle))
                words = f"{spell.days}"
                room = self._x(end) - self._x(start)
                if role == "need" and metrics.horizontalAdvance(words) + 8 < room:
                    box = QRectF(self._x(first + start), middle - 8, room, 16)
                    width = metrics.horizontalAdvance(words) + 8
                    painter.fillRect(QRectF(box.center().x() - width / 2, middle - 7, width, 14), look.color("slip"))
                    painter.setFont(font)
                    painter.setPen(look.color(role))
                    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)
