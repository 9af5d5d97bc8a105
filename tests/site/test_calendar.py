"""Days of the year as people write them."""

from __future__ import annotations

import datetime as dt
import re
from pathlib import Path

import pytest

from gardenwater.errors import EditError, InputError
from gardenwater.site import calendar
from gardenwater.site.calendar import MONTH_NAMES, day_words, weekday_word, year_day
from gardenwater.site.validate import check
from tests.demand.conftest import bed


@pytest.mark.parametrize("words", ["12 May", "12. may", "May 12", " 12  MAY ", "05-12", "5-12"])
def test_a_day_is_read_in_its_usual_forms(words: str) -> None:
    assert year_day(words) == dt.date(2023, 5, 12)


def test_each_month_by_name_and_by_its_first_letters() -> None:
    for number, name in enumerate(MONTH_NAMES, 1):
        assert year_day(f"3 {name}") == year_day(f"3 {name[:3]}") == dt.date(2023, number, 3)


@pytest.mark.parametrize("words", ["", "May", "32 May", "29 February", "12/5", "12 Ma", "soon", "13-01", "12 Mayo"])
def test_what_is_no_day_is_refused(words: str) -> None:
    with pytest.raises(InputError) as refused:
        year_day(words)
    assert "12 May" in refused.value.mend


def test_a_day_in_words_is_read_again() -> None:
    for at in range(365):
        day = dt.date(2023, 1, 1) + dt.timedelta(days=at)
        assert year_day(day_words(day)) == day


@pytest.mark.parametrize("field", ["sown", "second_sown"])
def test_a_bed_with_no_such_day_is_refused(field: str) -> None:
    check(bed(**{field: "12 May"}))
    with pytest.raises(EditError, match='"12/5" is no day of the year') as refused:
        check(bed(**{field: "12/5"}))
    assert "12 May" in refused.value.mend


def test_days_are_named_in_the_language_of_the_program() -> None:
    assert [weekday_word(dt.date(2026, 11, day)) for day in (23, 28, 29)] == ["Monday", "Saturday", "Sunday"]


def test_no_name_of_a_day_or_month_is_left_to_the_language_of_the_system() -> None:
    """The window's library takes the system's language over for the whole process, and dates would be half in it."""
    package = Path(calendar.__file__).parent.parent
    found = [path.name for path in package.rglob("*.py") if re.search(r"%[aAbBcpxX](?![\w%])", path.read_text("utf-8"))]
    assert found == []
