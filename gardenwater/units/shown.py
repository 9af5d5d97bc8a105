"""Values as people read them: rounding, unit, true minus, no-break space."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Context, Decimal
from functools import lru_cache

from gardenwater.units.quantity import Quantity, UnitSystem
from gardenwater.units.scales import NO_BREAK_SPACE, Scale, scale

MINUS = "\u2212"
NOT_KNOWN = "not known"

_CONTEXT = Context(prec=400)  # no float has more digits, so rounding never overflows
_EXACT_DIGITS = 10
_SECONDS_EXACT_S = 600.0
_LONGEST_S = 1800.0
_MINUTES_S = 5400.0
_HOURS = 48.0


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks in a number: the decimal mark, and what parts the thousands (empty: nothing)."""

    decimal: str = "."
    group: str = ","


PLAIN = Marks()
"""1,234.5: what is read on screens and pages unless the system's locale says otherwise."""


def _rounded(shown: float, places: tuple[tuple[float, str], ...], rounding: str) -> Decimal:
    """Round to the step for this size; a number that rounds up to a limit takes the next, coarser step."""
    exact = Decimal(repr(shown))
    rounded = exact
    for limit, step in places:
        rounded = exact.quantize(Decimal(step).normalize(), rounding, _CONTEXT)
        if abs(rounded) < limit:
            break
    return rounded


def _digits(number: Decimal, marks: Marks, *, trim: bool) -> str:
    """The digits of a number; minus zero is zero."""
    if trim:
        number = number.normalize(_CONTEXT)
    digits = f"{number.copy_abs():,f}".replace(",", "\n").replace(".", marks.decimal).replace("\n", marks.group)
    return MINUS + digits if number < 0 else digits


def _as_shown(value: float, how: Scale) -> float:
    return (value - how.offset) / how.size


def _with_unit(digits: str, how: Scale) -> str:
    return f"{digits}{how.gap}{how.word.replace(' ', NO_BREAK_SPACE)}" if how.word else digits


def long_time(seconds: float) -> str:
    """A time of minutes, hours or days, as closely as such a time is known; "never" for one without end.

    NaN is "not known". Spaces are no-break spaces.
    """
    if math.isnan(seconds):
        return NOT_KNOWN
    if math.isinf(seconds):
        return "never"
    gap = NO_BREAK_SPACE
    if seconds < _MINUTES_S:
        return f"{max(seconds / 60.0, 1.0):.0f}{gap}min"
    hours = seconds / 3600.0
    return f"{hours:.1f}{gap}h" if hours < _HOURS else f"{hours / 24.0:.0f}{gap}days"


def can_time(seconds: float) -> str:
    """Time to fill a can, in words: to 10 s up to 10 minutes, then to whole minutes, at last "over 30 min".

    Under 10 s it says so; NaN is "not known". Spaces are no-break spaces.
    """
    if math.isnan(seconds):
        return NOT_KNOWN
    gap = NO_BREAK_SPACE
    if seconds > _LONGEST_S:
        return f"over 30{gap}min"
    if seconds < 5.0:
        return f"under 10{gap}s"
    tens = int(seconds / 10.0 + 0.5) * 10
    if tens >= _SECONDS_EXACT_S:
        return f"{int(seconds / 60.0 + 0.5)}{gap}min"
    minutes, rest = divmod(tens, 60)
    parts = [f"{minutes}{gap}min"] * (minutes > 0) + [f"{rest}{gap}s"] * (rest > 0)
    return gap.join(parts)


def text(value: float, quantity: Quantity, system: UnitSystem, *, unit: bool = True, marks: Marks = PLAIN) -> str:
    """A value as people read it, rounded to the place that its quantity is shown to.

    value: in the unit of the quantity's name. NaN and infinity are "not known", but for an endless slope ("level") and
    an endless time ("over 30 min"). unit=False leaves the unit out; a time for a can always carries its units.
    """
    return _text(value, quantity, system, unit, marks)


@lru_cache(maxsize=4096)
def _text(value: float, quantity: Quantity, system: UnitSystem, unit: bool, marks: Marks) -> str:
    """Kept, as a plan says the same figures in each of its frames."""
    if quantity is Quantity.TIME_S:
        return can_time(value)
    if math.isinf(value) and quantity is Quantity.ONE_IN:
        return "level"
    if not math.isfinite(value):
        return NOT_KNOWN
    how = scale(quantity, system)
    if unit and how.grown is not None and abs(_as_shown(value, how)) >= how.grown[0]:
        how = how.grown[1]
    digits = _digits(_rounded(_as_shown(value, how), how.places, ROUND_HALF_UP), marks, trim=how.trim)
    if not unit:
        return digits
    return f"1 in {digits}".replace(" ", NO_BREAK_SPACE) if quantity is Quantity.ONE_IN else _with_unit(digits, how)


def exact_text(
    value: float, quantity: Quantity, system: UnitSystem, *, unit: bool = True, marks: Marks = Marks(group="")
) -> str:
    """A value in full, to ten digits and without parted thousands: what a field shows while it is typed in."""
    if not math.isfinite(value):
        return NOT_KNOWN
    how = scale(quantity, system)
    exact = round(_as_shown(value, how), _EXACT_DIGITS)  # what is left of a sum in floats is not shown either
    digits = _digits(Decimal(f"{exact:.{_EXACT_DIGITS}g}"), marks, trim=True)
    return _with_unit(digits, how) if unit else digits


def range_text(least: float, most: float, quantity: Quantity, system: UnitSystem, *, marks: Marks = PLAIN) -> str:
    """A range in words with its unit once, "0 to 1.5 m"; its ends are rounded inwards, so that both can be typed.

    Either end may be infinite: "at least 1 m", "up to 5 m"; empty when both are.
    """
    how = scale(quantity, system)

    def end(value: float, rounding: str) -> str:
        return _digits(_rounded(_as_shown(value, how), how.places, rounding), marks, trim=True)

    if math.isinf(least) and math.isinf(most):
        return ""
    if math.isinf(most):
        return _with_unit(f"at least {end(least, ROUND_CEILING)}", how)
    if math.isinf(least):
        return _with_unit(f"up to {end(most, ROUND_FLOOR)}", how)
    return _with_unit(f"{end(least, ROUND_CEILING)} to {end(most, ROUND_FLOOR)}", how)


def unit_word(quantity: Quantity, system: UnitSystem) -> str:
    """The unit that a quantity is shown in; empty for plain numbers and for a slope."""
    return scale(quantity, system).word


def _step(value: float, quantity: Quantity, system: UnitSystem) -> Decimal:
    how = scale(quantity, system)
    shown = _rounded(_as_shown(value, how), how.places, ROUND_HALF_UP)
    return Decimal(next(step for limit, step in how.places if abs(shown) < limit))


def step(quantity: Quantity, system: UnitSystem, *, at: float = 0.0) -> float:
    """The last place shown, as an amount in the unit of the quantity's name; what the Up and Down keys change by.

    at: the value that stands there, for quantities whose last place goes with size.
    """
    return float(_step(at, quantity, system)) * scale(quantity, system).size


def decimals(quantity: Quantity, system: UnitSystem, *, at: float = 0.0) -> int:
    """How many places after the point a value is shown to; 0 where tens or hundreds are shown."""
    exponent = _step(at, quantity, system).normalize().as_tuple().exponent
    return max(0, -int(exponent))
