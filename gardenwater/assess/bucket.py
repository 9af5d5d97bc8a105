"""Tests with bucket and stopwatch as a line keeps them, and the edit that sets a line by them."""

from __future__ import annotations

from collections.abc import Sequence

from gardenwater.errors import EditError, InputError
from gardenwater.hydraulics import BucketTest, Calibrated
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import WateringLine

_NUMBERS = 4
_K_PLACES = 2
_MM_PLACES = 5
_MOST_MM = 0.5


def bucket_tests(words: str) -> tuple[BucketTest, ...]:
    """The tests that a line was set by: head m, length m, litres, seconds; one after another.

    Raises InputError for words that are none.
    """
    found = []
    for part in filter(None, (each.strip() for each in words.split(";"))):
        try:
            numbers = [float(number) for number in part.split(",")]
        except ValueError:
            numbers = []
        if len(numbers) != _NUMBERS:
            raise InputError(
                f'"{part}" is no test with bucket and stopwatch.',
                where="Bucket and stopwatch",
                mend="Give head m, length m, litres and seconds, as in 1.2, 10, 10, 75.",
            )
        found.append(BucketTest(*numbers))
    return tuple(found)


def words_of(tests: Sequence[BucketTest]) -> str:
    """Tests as a line keeps them."""
    rows = [(test.head_m, test.length_m, test.litres, test.seconds) for test in tests]
    return "; ".join(", ".join(f"{number:.6g}" for number in row) for row in rows)


def set_by_tests(site: Site, line_id: str, found: Calibrated, tests: Sequence[BucketTest]) -> Site:
    """The site with a line's wall and fittings as they were found, and the tests kept with it.

    line_id: of a watering line, or empty for the site's usual line (which keeps no tests). Raises EditError for a line
    that no wall and no fittings fit.
    """
    if not found.fits:
        raise EditError(
            "No wall and no fittings give what was caught.",
            where="Bucket and stopwatch",
            mend="Measure head and length again, or look whether the bore is as it is thought to be.",
        )
    fields = {
        "fittings_k": round(found.line.fittings_k, _K_PLACES),
        "roughness_mm": min(round(found.line.roughness_mm, _MM_PLACES), _MOST_MM),
    }
    if not line_id:
        return edits.usual_line(site, **fields)
    line = site.thing(line_id, WateringLine)
    return edits.change(site, line.id, **fields, bucket_tests=words_of(tests))
