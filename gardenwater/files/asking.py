"""What a file leaves open and only a person can answer."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from gardenwater.errors import FileError


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: its value, and the words for it."""

    value: str
    words: str


class NeedsAnswer(FileError):  # noqa: N818 - a question, not a failing
    """A file cannot be read until a question about it is answered.

    question: in words. choices: the answers that are offered. keyword: the argument of the same call that takes the
    answer's value. typed: whether another value may be typed (a CRS by its EPSG code).
    """

    def __init__(
        self, what: str, *, question: str, choices: tuple[Choice, ...], keyword: str, typed: bool = False
    ) -> None:
        super().__init__(what, mend=question)
        self.question = question
        self.choices = choices
        self.keyword = keyword
        self.typed = typed


class ChangedGround(StrEnum):
    """What to do with a ground in a site file whose levels are not those that were saved."""

    ASK = "ask"
    TAKE = "take"
    LEAVE = "leave"


class VerticalUnit(StrEnum):
    """The unit of a raster's levels."""

    METRE = "m"
    FOOT = "ft"
    US_SURVEY_FOOT = "us-ft"
    DECIMETRE = "dm"
    CENTIMETRE = "cm"
    MILLIMETRE = "mm"

    @property
    def metres(self) -> float:
        """Metres in one of it. The foot is 0.3048 m by the agreement of 1959, the survey foot 1200/3937 m."""
        return _METRES[self]

    @property
    def words(self) -> str:
        """What people call it."""
        return _WORDS[self]


_METRES = {
    VerticalUnit.METRE: 1.0,
    VerticalUnit.FOOT: 0.3048,
    VerticalUnit.US_SURVEY_FOOT: 1200 / 3937,
    VerticalUnit.DECIMETRE: 0.1,
    VerticalUnit.CENTIMETRE: 0.01,
    VerticalUnit.MILLIMETRE: 0.001,
}
_WORDS = {
    VerticalUnit.METRE: "metres",
    VerticalUnit.FOOT: "feet (international)",
    VerticalUnit.US_SURVEY_FOOT: "US survey feet",
    VerticalUnit.DECIMETRE: "decimetres",
    VerticalUnit.CENTIMETRE: "centimetres",
    VerticalUnit.MILLIMETRE: "millimetres",
}
