"""Questions that a file leaves open, as words about the option that answers each."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from gardenwater.cli.status import WordsError

if TYPE_CHECKING:
    from gardenwater.files import NeedsAnswer

OF_WEATHER = {
    "day_order": "--day-order",
    "rain_column": "--rain-column",
    "rain_unit": "--rain-unit",
    "station": "--station",
}
"""The options that answer what a file of weather leaves open."""
_OPTIONS = {
    "crs": "--crs",
    "written_in": "--crs",
    "vertical_unit": "--raster-unit",
    "changed_ground": "--changed-ground",
    **OF_WEATHER,
}


@contextmanager
def needs_answer_in_words() -> Iterator[None]:
    """Turns a question that a file leaves open into words about the option that answers it."""
    from gardenwater.files import NeedsAnswer

    try:
        yield
    except NeedsAnswer as question:
        raise _in_words(question) from question


def _in_words(question: NeedsAnswer) -> WordsError:
    option = _OPTIONS.get(question.keyword, "")
    values = [f'"{choice.value}"' for choice in question.choices]
    answers = f" ({', '.join(values)}{' or another' if question.typed else ''})" if values else ""
    return WordsError(
        question.what, mend=f"{question.question} Add {option}{answers}." if option else question.question
    )
