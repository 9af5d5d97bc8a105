"""Rows of a table with a number each, as one field of words: "pe-32 12; pe-25 8.5"."""

from __future__ import annotations

import math
from collections.abc import Iterable

from gardenwater.errors import InputError

Listed = tuple[tuple[str, float], ...]
"""Key of a row and its number, in their order."""


def items_of(text: str) -> Listed:
    """The rows and numbers of a field. Raises InputError for words that are none."""
    return tuple(_item(part) for part in text.split(";") if part.strip())


def text_of(items: Iterable[tuple[str, float]]) -> str:
    """Rows and numbers as the field holds them."""
    return "; ".join(f"{key} {number:g}" for key, number in items)


def _item(part: str) -> tuple[str, float]:
    key, _, words = part.strip().rpartition(" ")
    try:
        number = float(words)
    except ValueError:
        number = math.nan
    if not key or not math.isfinite(number):
        raise InputError(
            f'"{part.strip()}" is no row with its number.', where="list", mend='Give them like "pe-32 12; pe-25 8.5".'
        )
    return key.strip(), number
