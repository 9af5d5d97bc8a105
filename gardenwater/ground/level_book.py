"""A level book reduced: height of instrument, check by rise and fall, misclosure and its spread.

The method is that of any surveying text (height of collimation; here after Uren and Price, *Surveying for Engineers*,
chapter on levelling, from memory): a back sight on a known level gives the height of the instrument, every other
reading from that set-up a level below it; a turning point carries fore and back sight in one row. Where the book comes
to a level that is known (a bench mark, or its own starting spot again), the difference is its misclosure. It is spread
in equal steps over the set-ups since the last known level, because most of it arises in setting up and reading.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from gardenwater.errors import InputError
from gardenwater.site.model import Sight

ALLOWED_PER_ROOT_SETUP_M = 0.005
"""Allowed misclosure is 5 mm times the root of the number of set-ups: Uren and Price, from memory. (The rule by
distance, 12 mm times the root of kilometres, needs sight lengths that a garden's book does not have.)"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRow:
    """One reduced row: which set-up read it (from 1), level as read and with the misclosure spread, m.

    instrument_m: height of the instrument it was read from; of a back sight alone, the one that it gives. rise_m: from
    the row before it (negative: a fall), as read; NaN on the first row of a run.
    """

    spot: str
    peg: str
    setup: int
    instrument_m: float
    rise_m: float
    read_m: float
    level_m: float


@dataclass(frozen=True, slots=True)
class Section:
    """A run between two known levels: its rows (from 0, both ends) and set-ups.

    misclosure_m: read less known, m. allowed_m: what it may be, either way.
    """

    first_row: int
    last_row: int
    setups: int
    misclosure_m: float
    allowed_m: float

    @property
    def within(self) -> bool:
        """Whether the misclosure is within what is allowed."""
        return abs(self.misclosure_m) <= self.allowed_m + 1e-12


@dataclass(frozen=True, slots=True)
class Book:
    """A reduced level book.

    levels: level of each named spot, m (its last reading). peg_levels: the same by peg id. sections: the closed runs.
    misfits: row number (from 0) and level as read less known level, m, of bench marks read in between.
    check_m: sum of back sights less sum of fore sights, less the sum of rises and falls: 0 but for rounding (the page
    check of every level book).
    """

    rows: tuple[BookRow, ...]
    levels: Mapping[str, float]
    peg_levels: Mapping[str, float]
    sections: tuple[Section, ...]
    misfits: tuple[tuple[int, float], ...]
    check_m: float

    @property
    def misclosure_m(self) -> float | None:
        """The largest misclosure, with its sign; None where the book comes back to no known level."""
        return max((section.misclosure_m for section in self.sections), key=abs, default=None)

    @property
    def allowed_m(self) -> float | None:
        """What is allowed for the section with the largest misclosure; None where there is none."""
        worst = max(self.sections, key=lambda section: abs(section.misclosure_m), default=None)
        return None if worst is None else worst.allowed_m

    def notices(self, shown: Callable[[float], str]) -> tuple[str, ...]:
        """What there is to say, one sentence each; `shown` turns millimetres into people's words."""
        words = [_section_words(section, shown) for section in self.sections]
        closed = self.sections[-1].last_row + 1 if self.sections else 0
        if closed < len(self.rows):
            words.append(
                f"from row {closed + 1} on it comes back to no known level, so nothing shows what it is good to."
                " Close it on its first spot."
            )
        for row, misfit_m in self.misfits:
            over = "over" if misfit_m >= 0 else "under"
            words.append(f"row {row + 1} reads {shown(abs(misfit_m) * 1000)} {over} the known level of its spot.")
        return tuple(words)


def _section_words(section: Section, shown: Callable[[float], str]) -> str:
    setups = "1 set-up" if section.setups == 1 else f"{section.setups} set-ups"
    head = f"misclosure {shown(abs(section.misclosure_m) * 1000)} over {setups}"
    allowed = shown(section.allowed_m * 1000)
    if section.within:
        return f"{head}, {allowed} allowed; spread over the set-ups."
    return f"{head}, more than the {allowed} allowed; spread, but level it again."


def reduce_book(sights: Sequence[Sight]) -> Book:
    """The levels that a level book gives.

    Each row is a back sight, a reading between, a fore sight, or fore and back sight on a turning point. A run starts
    with a back sight on a known level: given in the row, or that of a spot of the same name levelled before. (A back
    sight on the spot of the fore sight just before it is a turning point in two rows.) Comes a fore sight to a known
    level (given in its row, or the starting spot of the run), the run closes there.

    Raises InputError naming the row, with the mend, for an empty book or a row that does not follow.
    """
    if not sights:
        raise InputError(
            "The level book is empty.", where="Level book", mend="Start with a back sight on a known level."
        )
    run = _Run()
    for number, sight in enumerate(sights):
        run.take(number, sight)
    return run.book()


class _Run:
    """The state of the reduction as it goes down the page."""

    def __init__(self) -> None:
        self.rows: list[BookRow] = []
        self.sections: list[Section] = []
        self.misfits: list[tuple[int, float]] = []
        self.setup = 0
        self.instrument_m: float | None = None
        self.staff_m = math.nan
        self.anchor_row = 0
        self.anchor_setup = 0
        self.start: tuple[str, float] = ("", math.nan)
        self.page_m = 0.0

    def take(self, number: int, sight: Sight) -> None:
        """Reduce one row."""
        _check_readings(number, sight)
        if sight.between_m is not None:
            read_m = self._add(number, sight, sight.between_m)
            if sight.known_level_m is not None:
                self.misfits.append((number, read_m - sight.known_level_m))
        elif sight.fore_m is not None:
            self._fore(number, sight, sight.fore_m)
        elif sight.back_m is not None:
            self._start(number, sight, sight.back_m)

    def _fore(self, number: int, sight: Sight, fore_m: float) -> None:
        """A fore sight: it ends the set-up, may close the run, and may carry the back sight of the next."""
        read_m = self._add(number, sight, fore_m)
        self.page_m -= fore_m
        known_m = self._closes_on(sight)
        if known_m is not None:
            self._close(number, read_m - known_m)
        self.instrument_m = None
        if sight.back_m is not None:
            if known_m is not None:
                self.anchor_row, self.anchor_setup = number, self.setup
            self._set_up(sight.back_m, read_m if known_m is None else known_m)

    def _start(self, number: int, sight: Sight, back_m: float) -> None:
        """A run begins on a known level, or goes on from the fore sight just before."""
        if self.instrument_m is not None:
            raise _trouble(
                number,
                sight,
                "a back sight while the last set-up is open.",
                "Give the fore sight that ends it, in this row or before.",
            )
        goes_on = self._goes_on(sight)
        level_m = self.rows[-1].read_m if goes_on else self._known(sight)
        if level_m is None:
            raise _trouble(
                number,
                sight,
                "the level of this spot is not known.",
                "Give its level; 100.00 will do for the first spot.",
            )
        if not goes_on:
            self.start = (sight.spot, level_m)
            self.anchor_row, self.anchor_setup = number, self.setup
        setup = self.setup if goes_on else self.setup + 1
        self._set_up(back_m, level_m)
        self._keep(sight, setup, level_m + back_m, math.nan, level_m)

    def _set_up(self, back_m: float, level_m: float) -> None:
        self.setup += 1
        self.instrument_m = level_m + back_m
        self.staff_m = back_m
        self.page_m += back_m

    def _keep(self, sight: Sight, setup: int, instrument_m: float, rise_m: float, read_m: float) -> None:
        self.rows.append(
            BookRow(
                spot=sight.spot,
                peg=sight.peg,
                setup=setup,
                instrument_m=instrument_m,
                rise_m=rise_m,
                read_m=read_m,
                level_m=read_m,
            )
        )

    def _add(self, number: int, sight: Sight, reading_m: float) -> float:
        """A row read from the open set-up; its level as read."""
        if self.instrument_m is None:
            raise _trouble(
                number, sight, "there is no back sight to read from.", "Begin with a back sight on a known level."
            )
        read_m = self.instrument_m - reading_m
        self._keep(sight, self.setup, self.instrument_m, self.staff_m - reading_m, read_m)
        self.staff_m = reading_m
        return read_m

    def _goes_on(self, sight: Sight) -> bool:
        """Whether a back sight stands on the turning point of the row before, in a run that is not closed."""
        if not self.rows or sight.known_level_m is not None or not sight.spot:
            return False
        closed = bool(self.sections) and self.sections[-1].last_row == len(self.rows) - 1
        return self.rows[-1].spot == sight.spot and not closed

    def _known(self, sight: Sight) -> float | None:
        """The level that a row gives, or that its spot was given before."""
        if sight.known_level_m is not None:
            return sight.known_level_m
        return next((row.level_m for row in reversed(self.rows) if sight.spot and row.spot == sight.spot), None)

    def _closes_on(self, sight: Sight) -> float | None:
        """The known level that a fore sight comes to, or None."""
        if sight.known_level_m is not None:
            return sight.known_level_m
        spot, level_m = self.start
        return level_m if spot and sight.spot == spot else None

    def _close(self, number: int, misclosure_m: float) -> None:
        """Spread the misclosure: each set-up since the last known level takes one equal step more."""
        setups = self.setup - self.anchor_setup
        for index in range(self.anchor_row, len(self.rows)):
            row = self.rows[index]
            steps = row.setup - self.anchor_setup
            if index > self.anchor_row:
                self.rows[index] = replace(row, level_m=row.read_m - misclosure_m * steps / setups)
        allowed_m = ALLOWED_PER_ROOT_SETUP_M * math.sqrt(setups)
        self.sections.append(Section(self.anchor_row, number, setups, misclosure_m, allowed_m))

    def book(self) -> Book:
        """The book, all rows taken."""
        open_m = 0.0 if self.instrument_m is None else self.staff_m
        rises_m = math.fsum(row.rise_m for row in self.rows if not math.isnan(row.rise_m))
        return Book(
            tuple(self.rows),
            {row.spot: row.level_m for row in self.rows if row.spot},
            {row.peg: row.level_m for row in self.rows if row.peg},
            tuple(self.sections),
            tuple(self.misfits),
            self.page_m - open_m - rises_m,
        )


def _check_readings(number: int, sight: Sight) -> None:
    """A row must hold readings that can stand together."""
    given = [value for value in (sight.back_m, sight.between_m, sight.fore_m) if value is not None]
    if not given:
        raise _trouble(number, sight, "it has no reading.", "Give a back sight, a fore sight or one between.")
    if sight.between_m is not None and len(given) > 1:
        raise _trouble(number, sight, "a reading between stands with another.", "Only fore and back sight share a row.")
    if not all(math.isfinite(value) for value in given):
        raise _trouble(number, sight, "a reading is not a number.", "Read the staff again.")


def _trouble(number: int, sight: Sight, what: str, mend: str) -> InputError:
    spot = f" ({sight.spot})" if sight.spot else ""
    return InputError(what[0].upper() + what[1:], where=f"Level book, row {number + 1}{spot}", mend=mend)
