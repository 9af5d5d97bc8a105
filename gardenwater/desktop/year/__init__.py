"""The year strip: rain, store and need of one year, with a hand that moves through its days."""

from __future__ import annotations

from gardenwater.desktop.year.feed import YearFeed
from gardenwater.desktop.year.strip import YearStrip

__all__ = ["YearFeed", "YearStrip"]
