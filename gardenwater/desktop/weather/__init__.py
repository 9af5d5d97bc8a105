"""The weather of a site in the window: a record put right, monthly figures, a changed climate, a look at it."""

from __future__ import annotations

from gardenwater.desktop.weather.sheet import WeatherSheet

__all__ = ["WeatherSheet"]
