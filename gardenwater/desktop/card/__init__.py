"""The card of the selected thing, or of the question when nothing is selected."""

from __future__ import annotations

from gardenwater.desktop.card.card import Card

__all__ = ["Card"]
