"""`gardenwater weather`: looks a file of weather over, and gives it to a site; weather for `gardenwater make`."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gardenwater.cli.questions import OF_WEATHER, needs_answer_in_words
from gardenwater.cli.status import Status, WordsError, interruptible, shown_progress
from gardenwater.work import say, stop_if

if TYPE_CHECKING:
    from gardenwater.site.model import Site
    from gardenwater.weather import Choices, DayRows, LookedOver

_MOST_LISTED = 12


def add_weather_options(parser: argparse.ArgumentParser) -> None:
    """The options about a file of weather."""
    parser.add_argument("--rain-column", metavar="HEADING", help="heading of the rain where it is not known")
    parser.add_argument(
        "--rain-unit", metavar="UNIT", help="unit of the rain where the file does not say: mm, 0.1 mm, in"
    )
    parser.add_argument("--day-order", metavar="ORDER", help="day-first or month-first where the days do not tell")
    parser.add_argument("--station", metavar="ID", help="which station, in a file of several")
    parser.add_argument(
        "--mend",
        metavar="WHAT=HOW",
        action="append",
        default=[],
        help="what to do about what is wrong, as temperature-unknown=between; `gardenwater weather FILE` lists both",
    )
    parser.add_argument(
        "--monthly", metavar="TABLE", help="CSV of twelve rows: month, rain_mm, wet_days, t_min_c, t_max_c"
    )


def run_weather(asked: argparse.Namespace) -> Status:
    """Look a file of weather over, print what it is like and what is wrong with it, and give it to a site if asked.

    Raises WordsError for words that cannot be taken, FileError for a file that cannot be read; nothing is written then.
    """
    with interruptible() as cancel, needs_answer_in_words():
        progress = shown_progress(quiet=asked.quiet)
        rows = _rows(asked, asked.file)
        looked = _looked(rows, asked.mend)
        stop_if(cancel)
        if asked.into:
            _give(asked, looked)
        say(progress, 1.0, "")
    if not asked.quiet:
        print("\n".join(_words(asked, looked)))
    return Status.DONE


def with_weather(site: Site, asked: argparse.Namespace) -> Site:
    """The site with the weather and the monthly figures that the words name."""
    from gardenwater.files import read_monthly
    from gardenwater.site import edits
    from gardenwater.weather import handle_of

    if asked.weather:
        looked = _looked(_rows(asked, asked.weather), asked.mend)
        site = edits.set_weather(site, handle_of(looked.weather))
    if asked.monthly:
        site = edits.set_monthly(site, read_monthly(asked.monthly))
    return site


def _rows(asked: argparse.Namespace, path: str) -> DayRows:
    from gardenwater.files import read_days

    answers: dict[str, Any] = {name: getattr(asked, name) for name in OF_WEATHER if getattr(asked, name) is not None}
    return read_days(path, **answers)


def _looked(rows: DayRows, mends: list[str]) -> LookedOver:
    from gardenwater.weather import look_over

    return look_over(rows, _choices(mends))


def _choices(words: list[str]) -> Choices:
    """The choices in words like "rain-unknown=zero"; WordsError for one that is none."""
    from gardenwater.weather import CHOICES, Kind

    chosen: dict[Kind, Any] = {}
    for each in words:
        kind_words, _, mend_words = each.partition("=")
        kind = next((kind for kind in Kind if kind.value == kind_words.strip()), None)
        if kind is None:
            raise WordsError(f'"{each}" names nothing that can be wrong.', mend=f"Give one of: {', '.join(Kind)}.")
        mend = next((mend for mend in CHOICES[kind] if mend.value == mend_words.strip()), None)
        if mend is None:
            raise WordsError(f'"{each}" is no mend for it.', mend=f"Give {kind.value}={' or '.join(CHOICES[kind])}.")
        chosen[kind] = mend
    return chosen


def _give(asked: argparse.Namespace, looked: LookedOver) -> None:
    from gardenwater.files import open_site, read_monthly, save_site
    from gardenwater.site import edits
    from gardenwater.weather import handle_of

    path = Path(asked.into)
    site = edits.set_weather(open_site(path), handle_of(looked.weather))
    if asked.monthly:
        site = edits.set_monthly(site, read_monthly(asked.monthly))
    save_site(site, path)


def _words(asked: argparse.Namespace, looked: LookedOver) -> list[str]:
    """What the file is like, and what is wrong with it."""
    from gardenwater.units import UnitSystem
    from gardenwater.weather import CHOICES, look
    from gardenwater.weather.look_words import lack_words, look_words, span_words
    from gardenwater.weather.telling import HEADS, day_text, value_text, why_text

    system = UnitSystem(asked.units)
    weather = looked.weather
    words = [f"{weather.source}: {span_words(weather)}", *look_words(look(weather), weather, system)]
    words += [notice for notice in weather.notices if " is from " in notice]
    words += [lack] if (lack := lack_words(weather)) else []
    if not looked.kinds:
        words.append("Nothing is wrong with it.")
    chosen = _choices(asked.mend)
    for kind in looked.kinds:
        found = looked.of(kind)
        done = chosen.get(kind, CHOICES[kind][0])
        words.append(f"\n{HEADS[kind]} ({len(found)}), {kind.value}={done.value} of: {', '.join(CHOICES[kind])}")
        for anomaly in found[:_MOST_LISTED]:
            told = (day_text(anomaly), value_text(anomaly, system), why_text(anomaly, system))
            words.append("  " + ", ".join(part for part in told if part))
        if len(found) > _MOST_LISTED:
            words.append(f"  and {len(found) - _MOST_LISTED} more")
    if asked.into:
        words.append(f"\n{asked.into} has it now.")
    return [each.replace("\u00a0", " ") for each in words]
