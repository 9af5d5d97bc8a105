"""Values as people type them: plain numbers in the system's unit, or units of either system."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from gardenwater.errors import InputError
from gardenwater.units.names import HELD, NOUNS, Held, names_of
from gardenwater.units.quantity import Quantity, UnitSystem
from gardenwater.units.scales import scale
from gardenwater.units.shown import PLAIN, Marks, text

_PLAIN_SIGNS = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\u2032": "'", "\u2033": '"'})
_FRACTION = re.compile(r"(?:(\d+)\s+)?(\d+)\s*/\s*(\d+)(?![\d.,])")
_NUMBER = re.compile(r"\d[\d.,]*|[.,]\d+")
_ONE_IN = re.compile(r"1\s*(?:in|:|/|to)\s*(\S+)$")
_COMPASS = {"n": 1.0, "e": 1.0, "s": -1.0, "w": -1.0}
_DIGITS = 15  # what is typed comes back the same: 35 % is 0.35 and not 0.35000000000000003
_FEET = frozenset({"ft", "foot", "feet", "'"})


@dataclass(frozen=True, slots=True)
class _Term:
    """One number with the unit typed after it (empty: none)."""

    number: float
    unit: str


class _NotRead(Exception):  # noqa: N818 - a turning point inside this module, never seen outside
    """The words are no value of the quantity."""


def _plain_number(digits: str, marks: Marks) -> float:
    """A number with the system's marks; a lone comma or point that cannot part thousands is a decimal mark."""
    other = "," if marks.decimal == "." else "."
    grouped = re.fullmatch(rf"[1-9]\d{{0,2}}(\{other}\d{{3}})+(\{marks.decimal}\d*)?", digits)
    if grouped:
        return float(digits.replace(other, "").replace(marks.decimal, "."))
    if re.fullmatch(r"\d*[.,]?\d*", digits) and any(sign.isdigit() for sign in digits):
        return float(digits.replace(",", "."))
    raise _NotRead


def _number_at(words: str, at: int, marks: Marks) -> tuple[float, int]:
    """The number that starts at `at` ("1 1/2" too) and where it ends."""
    fraction = _FRACTION.match(words, at)
    if fraction:
        whole, over, under = fraction.groups()
        if int(under) == 0:
            raise _NotRead
        return float(int(whole or 0) + Fraction(int(over), int(under))), fraction.end()
    number = _NUMBER.match(words, at)
    if not number:
        raise _NotRead
    return _plain_number(number.group(), marks), number.end()


def _terms(words: str, names: dict[str, float], marks: Marks) -> list[_Term]:
    """The numbers and units, in their order."""
    found: list[_Term] = []
    at = 0
    while at < len(words):
        number, at = _number_at(words, at, marks)
        at += len(words[at:]) - len(words[at:].lstrip())
        rest = words[at:]
        unit = next(
            (name for name in names if rest.startswith(name) and not rest[len(name) : len(name) + 1].isalpha()), ""
        )
        at += len(unit)
        at += len(words[at:]) - len(words[at:].lstrip(" "))
        found.append(_Term(number, unit))
        if not unit and at < len(words):
            raise _NotRead
    return found


def _sum(terms: list[_Term], names: dict[str, float], usual: float) -> float:
    """What the terms come to, in the dimension's base unit; each unit must be smaller than the one before."""
    if not terms:
        raise _NotRead
    if len(terms) == 1:
        return terms[0].number * (names[terms[0].unit] if terms[0].unit else usual)
    total, last = 0.0, float("inf")
    for before, term in zip([None, *terms], terms, strict=False):
        unit = term.unit or ("in" if before is not None and before.unit in _FEET else "")
        if not unit or names[unit] >= last:
            raise _NotRead
        last = names[unit]
        total += term.number * last
    return total


def _sign_and_rest(words: str, quantity: Quantity) -> tuple[float, str]:
    sign = 1.0
    if quantity is Quantity.PLACE_DEG and words[-1:] in _COMPASS:
        sign, words = _COMPASS[words[-1]], words[:-1].strip()
    if words[:1] in {"-", "+"}:
        sign, words = (-sign if words[0] == "-" else sign), words[1:].strip()
    return sign, words


def _temperature(words: str, sign: float, system: UnitSystem, marks: Marks) -> float:
    terms = _terms(words, names_of("temperature"), marks)
    if len(terms) != 1:
        raise _NotRead
    unit = terms[0].unit.lstrip("°")[:1] or ("f" if system is UnitSystem.US else "c")
    number = sign * terms[0].number
    return (number - 32.0) / 1.8 if unit == "f" else number


def _slope(words: str, marks: Marks) -> float:
    """Run for one of fall, from "1 in 40", "1:40", "2.5 %" or "40"."""
    ratio = _ONE_IN.match(words)
    if ratio:
        words = ratio.group(1)
    percent = not ratio and words.endswith("%")
    digits = words.rstrip("% ")
    number, end = _number_at(digits, 0, marks)
    if end != len(digits) or number == 0:
        raise _NotRead
    return 100.0 / number if percent else number


def _read(words: str, quantity: Quantity, system: UnitSystem, marks: Marks) -> float:
    if quantity is Quantity.ONE_IN:
        return _slope(words, marks)
    sign, rest = _sign_and_rest(words, quantity)
    held: Held = HELD[quantity]
    if held.dimension == "temperature":
        return _temperature(rest, sign, system, marks)
    names = names_of(held.dimension)
    usual = scale(quantity, system).size * held.size
    return float(f"{sign * _sum(_terms(rest, names, marks), names, usual) / held.size:.{_DIGITS}g}")


def parse(words: str, quantity: Quantity, system: UnitSystem, *, marks: Marks = PLAIN) -> float:
    r"""What people typed, as a value in the unit of the quantity's name.

    A plain number is in the unit that the system shows (per cent for a share). Units of either system are taken
    ("45 cm", "1' 6\"", "3 gal", "2 min 40 s"), fractions ("5/8 in"), slopes ("1 in 40", "1:40", "2.5 %"), degrees with
    minutes, and a decimal comma where it cannot part thousands. "gal" is the US gallon; say "imp gal" for the other.

    Raises InputError, with examples as its mend, when the words are not such a value.
    """
    cleaned = " ".join(words.translate(_PLAIN_SIGNS).replace("''", '"').lower().split())
    try:
        return _read(cleaned, quantity, system, marks)
    except _NotRead:
        sample = HELD[quantity].sample
        ours, other = (text(sample, quantity, each, marks=marks) for each in (system, _other(system)))
        examples = f'"{ours}"' if ours == other else f'"{ours}" or "{other}"'
        what = f'"{words.strip()}" is no {NOUNS[quantity]}.' if words.strip() else "Nothing was typed."
        raise InputError(
            what, where=NOUNS[quantity], mend=f"Type a number, or one with its unit: {examples}."
        ) from None


def _other(system: UnitSystem) -> UnitSystem:
    return UnitSystem.METRIC if system is UnitSystem.US else UnitSystem.US
