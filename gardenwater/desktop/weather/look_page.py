"""The page with a look at the weather: one year as a picture, and what the years are like in words."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from gardenwater.desktop.card.choice_field import Combo
from gardenwater.desktop.dialogs.parts import Words
from gardenwater.desktop.look import Look
from gardenwater.desktop.weather.year_picture import DRY_DAYS, WET_DAYS, YearOfWeather
from gardenwater.units import Quantity, UnitSystem, text
from gardenwater.weather import Weather, WeatherLook, look
from gardenwater.weather.look_words import MADE_WORDS, look_words, span_words, year_words
from gardenwater.weather.looking import WET_DAY_MM

NOTHING_YET = "No weather yet. Choose a file of days, or type twelve monthly figures."
"""What the page says without weather."""
_KEY = (
    "Dry spells: {dry} days or more with under {limit}. Wet spells, in the colour of rain: {wet} days or more with at"
    " least that."
)


class LookPage(QWidget):
    """A choice of year over its picture, and sentences below."""

    def __init__(self, units: UnitSystem, house: Look, parent: QWidget) -> None:
        super().__init__(parent)
        self._units = units
        self._weather: Weather | None = None
        self.years = Combo(self)
        self.years.setAccessibleName("Year")
        self.years.setMinimumWidth(house.px(230))
        self.years.activated.connect(self._show_year)
        self.span = Words("", house, self, role="ink_soft")
        self.picture = YearOfWeather(units, house, self)
        limit = text(WET_DAY_MM, Quantity.RAIN_MM, units)
        key = _KEY.format(dry=DRY_DAYS, wet=WET_DAYS, limit=limit)
        self.key = Words(key, house, self, size=12, role="ink_soft")
        self.says = Words("", house, self)
        row = QHBoxLayout()
        row.setSpacing(14)
        row.addWidget(self.years)
        row.addWidget(self.span, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        column.addLayout(row)
        column.addWidget(self.picture)
        column.addWidget(self.key)
        column.addWidget(self.says)
        column.addStretch(1)

    def show_weather(self, weather: Weather | None) -> None:
        """Show what the site is run on; None for none."""
        if weather is not None and self._weather is not None and weather == self._weather:
            return
        self._weather = weather
        for widget in (self.years, self.span, self.picture, self.key):
            widget.setVisible(weather is not None)
        if weather is None:
            self.says.setText(NOTHING_YET)
            return
        made = look(weather)
        words = look_words(made, weather, self._units)
        self.says.setText("\n".join((*words, MADE_WORDS) if weather.made else words))
        self.span.setText(span_words(weather))
        self._fill_years(weather, made)
        self._show_year(0)

    def _fill_years(self, weather: Weather, made: WeatherLook) -> None:
        named = [("driest", made.driest), ("middle", made.middle), ("wettest", made.wettest)]
        self.years.clear()
        for name, year in named:
            if year is not None:
                self.years.addItem(f"{name}: {year_words(year, made=weather.made)}", year)
        for year in range(weather.start.year, weather.last.year + 1):
            self.years.addItem(year_words(year, made=weather.made), year)

    def _show_year(self, place: int) -> None:
        if self._weather is not None:
            self.years.setCurrentIndex(place)
            self.picture.show_year(self._weather, int(self.years.itemData(place)))
