"""What is said of anomalies and of what is done about them: one wording for the window and the command line."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Final

from gardenwater.units import Quantity, UnitSystem, text
from gardenwater.weather.anomalies import CHOICES, Anomaly, Choices, Kind, Mend

HEADS: Final = {
    Kind.UNITS: "The unit of the rain",
    Kind.UNREADABLE: "Cells that are no figures",
    Kind.STRAY: "Days far from all others",
    Kind.ORDER: "Days out of order",
    Kind.TWICE: "Days that stand twice",
    Kind.FLAGGED: "Figures the station doubts",
    Kind.NEGATIVE: "Negative rain",
    Kind.IMPOSSIBLE: "Impossible figures",
    Kind.UNLIKELY_RAIN: "Unlikely rain",
    Kind.UNLIKELY_TEMPERATURE: "Unlikely temperatures",
    Kind.CROSSED: "Lowest above highest",
    Kind.STUCK: "Figures that stand still",
    Kind.RAIN_UNKNOWN: "Rain not known",
    Kind.TEMPERATURE_UNKNOWN: "Temperatures not known",
}
"""What a kind is called."""
MENDS: Final = {
    Mend.KEEP: "Keep them",
    Mend.DROP: "Take as not known",
    Mend.ZERO: "Take as dry",
    Mend.TENTH: "Take a tenth",
    Mend.INCHES: "Take as inches",
    Mend.FIRST: "Take the first",
    Mend.LAST: "Take the last",
    Mend.MEAN: "Take their mean",
    Mend.SWAP: "Swap them",
    Mend.SORT: "Put in order",
    Mend.LEAVE_OUT: "Leave out, with their years",
    Mend.MONTH_MEAN: "Take the month's mean",
    Mend.BETWEEN: "Draw between neighbours",
}
"""What a mend is called."""
COLUMN_WORDS: Final = {
    "rain_mm": "rain",
    "t_min_c": "lowest temperature",
    "t_max_c": "highest temperature",
    "radiation_mj_m2": "radiation",
    "wind_m_s": "wind",
    "humidity_mean_pct": "humidity",
    "dew_point_c": "dew point",
}
"""What a column is called in a sentence."""
_UNITS: Final = {"radiation_mj_m2": "MJ/m²", "wind_m_s": "m/s", "humidity_mean_pct": "%"}
_DAYS_OF_KIND: Final = {
    Kind.STRAY: "stood far from all others",
    Kind.ORDER: "stood out of order",
    Kind.TWICE: "stood twice with different figures",
    Kind.FLAGGED: "had a figure that the station doubts",
    Kind.NEGATIVE: "had negative rain",
    Kind.IMPOSSIBLE: "had an impossible figure",
    Kind.UNLIKELY_RAIN: "had unlikely rain",
    Kind.UNLIKELY_TEMPERATURE: "had an unlikely temperature",
    Kind.CROSSED: "had a lowest temperature above the highest",
    Kind.STUCK: "had figures that stood still",
    Kind.RAIN_UNKNOWN: "had no rain known",
    Kind.TEMPERATURE_UNKNOWN: "had no temperature known",
}
_DONE: Final = {
    Mend.KEEP: "kept",
    Mend.DROP: "taken as not known",
    Mend.ZERO: "taken as dry",
    Mend.TENTH: "divided by ten",
    Mend.FIRST: "taken from the first",
    Mend.LAST: "taken from the last",
    Mend.MEAN: "taken as their mean",
    Mend.SWAP: "swapped",
    Mend.SORT: "put in order",
    Mend.LEAVE_OUT: "left out, and their years are not counted",
    Mend.MONTH_MEAN: "filled with the mean of the month",
    Mend.BETWEEN: "filled between the days before and after",
}


def figure_text(value: float, column: str, system: UnitSystem) -> str:
    """A figure of a day with its unit; "none" where there is none."""
    if math.isnan(value):
        return "none"
    if column == "rain_mm":
        return text(value, Quantity.RAIN_MM, system)
    if column.endswith("_c"):
        return text(value, Quantity.AIR_C, system)
    return f"{value:g}\u00a0{_UNITS[column]}"


def day_text(anomaly: Anomaly) -> str:
    """The day, or from which to which: "1998-02-03", "1998-02-03 to 1998-02-09 (7 days)"; where none, the line."""
    if anomaly.first is None:
        return f"line {anomaly.line}"
    if anomaly.days == 1:
        return f"{anomaly.first}"
    return f"{anomaly.first} to {anomaly.last} ({anomaly.days:,} days)"


def value_text(anomaly: Anomaly, system: UnitSystem) -> str:
    """What stands there."""
    if anomaly.words and anomaly.kind is Kind.UNREADABLE:
        return f"“{anomaly.words}”"
    if not anomaly.column:
        return ""
    if anomaly.kind is Kind.UNITS:
        return f"{figure_text(anomaly.value, 'rain_mm', system)} a year"
    if anomaly.kind is Kind.TWICE:
        one, other = (figure_text(value, anomaly.column, system) for value in (anomaly.value, anomaly.other))
        return f"{one} and {other}"
    if anomaly.kind is Kind.CROSSED:
        return f"{figure_text(anomaly.value, 't_min_c', system)} over {figure_text(anomaly.other, 't_max_c', system)}"
    return "" if math.isnan(anomaly.value) else figure_text(anomaly.value, anomaly.column, system)


def why_text(anomaly: Anomaly, system: UnitSystem) -> str:
    """Why it is shown, one sentence."""
    column = COLUMN_WORDS.get(anomaly.column, "")
    where = f" (line {anomaly.line})" if anomaly.line else ""
    if anomaly.kind is Kind.UNITS:
        as_other = "tenths of a millimetre" if anomaly.words == Mend.TENTH else "inches"
        return f"As {as_other} it is {figure_text(anomaly.other, 'rain_mm', system)} a year."
    if anomaly.kind is Kind.UNREADABLE:
        return f"No {column} can be read from it{where}." if column else f"No day can be read from it{where}."
    if anomaly.kind in (Kind.RAIN_UNKNOWN, Kind.TEMPERATURE_UNKNOWN):
        return f"No {column} is taken from the file." if anomaly.line else "The file has no row for it."
    return _WHY[anomaly.kind].format(column=column, where=where)


_WHY: Final = {
    Kind.STRAY: "It stands more than ten years from all other days{where}.",
    Kind.ORDER: "It stands after a later day{where}.",
    Kind.TWICE: "Two rows give it a different {column}{where}.",
    Kind.FLAGGED: "The station's own checks set this {column} aside{where}.",
    Kind.NEGATIVE: "Rain is never below nothing; some offices write a trace so{where}.",
    Kind.IMPOSSIBLE: "No day on Earth has had such a {column}{where}.",
    Kind.UNLIKELY_RAIN: "It is over nine times the heaviest twentieth of that month's wet days{where}.",
    Kind.UNLIKELY_TEMPERATURE: "It is far from every other {column} of that month{where}.",
    Kind.CROSSED: "The night is warmer than the day{where}.",
    Kind.STUCK: "The {column} does not change: an instrument that was stuck, or figures that were filled in{where}.",
}


def notices_of(anomalies: Iterable[Anomaly], choices: Choices) -> tuple[str, ...]:
    """What was done on reading, one sentence for each kind that there was."""
    found = list(anomalies)
    kinds = [kind for kind in Kind if any(anomaly.kind is kind for anomaly in found)]
    return tuple(
        _notice(kind, [a for a in found if a.kind is kind], choices.get(kind, CHOICES[kind][0])) for kind in kinds
    )


def _notice(kind: Kind, anomalies: list[Anomaly], mend: Mend) -> str:
    if kind is Kind.UNITS:
        taken = {Mend.KEEP: "as millimetres", Mend.TENTH: "as tenths of a millimetre", Mend.INCHES: "as inches"}[mend]
        return f"The unit of the rain looks wrong; it is taken {taken}."
    if kind is Kind.UNREADABLE:
        return f"{_counted(len(anomalies), 'cell')} could not be read and {_are(len(anomalies))} taken as not known."
    return f"{_counted(_days_in(anomalies), 'day')} {_DAYS_OF_KIND[kind]}: {_DONE[mend]}."


def _days_in(anomalies: list[Anomaly]) -> int:
    """Days that any of the runs covers, each once."""
    covered: set[int] = set()
    for anomaly in anomalies:
        if anomaly.first is not None:
            start = anomaly.first.toordinal()
            covered.update(range(start, start + anomaly.days))
    return len(covered)


def _counted(number: int, noun: str) -> str:
    return f"{number:,} {noun}" if number == 1 else f"{number:,} {noun}s"


def _are(number: int) -> str:
    return "is" if number == 1 else "are"
