"""The level book: a textbook's page, closings and their spread, and what is refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.ground import reduce_book
from gardenwater.site.model import Sight


def millimetres(value: float) -> str:
    return f"{value:.0f} mm"


# Uren and Price, Surveying for Engineers, the worked page of the chapter on levelling; from memory (the arithmetic
# closes: 49.873 + 2.191 - 2.505 = 49.559 and so on down the page).
PAGE = (
    Sight(spot="TBM A", back_m=2.191, known_level_m=49.873),
    Sight(spot="A", between_m=2.505),
    Sight(spot="B", between_m=2.325),
    Sight(spot="C", back_m=3.019, fore_m=1.496),
    Sight(spot="D", back_m=2.513, fore_m=2.811),
    Sight(spot="E", between_m=1.752),
    Sight(spot="TBM B", fore_m=3.824, known_level_m=49.460),
)
READ = (49.873, 49.559, 49.739, 50.568, 50.776, 51.537, 49.465)


def test_the_textbooks_page_gives_its_levels() -> None:
    book = reduce_book(PAGE)
    assert [row.read_m for row in book.rows] == pytest.approx(READ, abs=1e-9)
    assert [row.instrument_m for row in book.rows[1:]] == pytest.approx(
        [52.064, 52.064, 52.064, 53.587, 53.289, 53.289], abs=1e-9
    )
    assert [row.rise_m for row in book.rows[1:]] == pytest.approx(
        [-0.314, 0.180, 0.829, 0.208, 0.761, -2.072], abs=1e-9
    )


def test_the_misclosure_is_spread_in_equal_steps_over_the_set_ups() -> None:
    book = reduce_book(PAGE)
    assert book.misclosure_m == pytest.approx(0.005, abs=1e-9)
    assert book.allowed_m == pytest.approx(0.005 * math.sqrt(3))
    (section,) = book.sections
    assert (section.first_row, section.last_row, section.setups, section.within) == (0, 6, 3, True)
    # By hand: a third of 5 mm for what the first set-up read, two thirds for the second, all for the last.
    steps = [0, 1, 1, 1, 2, 3, 3]
    expected = [read - 0.005 * step / 3 for read, step in zip(READ, steps, strict=True)]
    assert [row.level_m for row in book.rows] == pytest.approx(expected, abs=1e-9)
    assert book.levels["TBM B"] == pytest.approx(49.460, abs=1e-12)
    assert book.check_m == pytest.approx(0.0, abs=1e-12)
    assert book.notices(millimetres) == ("misclosure 5 mm over 3 set-ups, 9 mm allowed; spread over the set-ups.",)


def test_a_book_that_returns_to_its_first_spot_closes_on_itself() -> None:
    book = reduce_book(
        (
            Sight(spot="peg 1", peg="level_peg-1", back_m=1.0, known_level_m=100.0),
            Sight(spot="peg 2", peg="level_peg-2", fore_m=1.5, back_m=1.2),
            Sight(spot="peg 1", peg="level_peg-1", fore_m=0.72),
        )
    )
    assert book.misclosure_m == pytest.approx(-0.02)
    assert not book.sections[0].within
    assert book.peg_levels == pytest.approx({"level_peg-1": 100.0, "level_peg-2": 99.51})
    assert "more than the 7 mm allowed" in book.notices(millimetres)[0]


def test_a_turning_point_in_two_rows_is_the_same_as_in_one() -> None:
    split = [*PAGE[:3], Sight(spot="C", fore_m=1.496), Sight(spot="C", back_m=3.019), *PAGE[4:]]
    one, two = reduce_book(PAGE), reduce_book(split)
    assert two.misclosure_m == pytest.approx(one.misclosure_m)
    assert two.levels == pytest.approx(one.levels)
    assert two.rows[3].level_m == pytest.approx(two.rows[4].level_m)


def test_a_bench_mark_on_the_way_closes_one_section_and_starts_the_next() -> None:
    book = reduce_book(
        (
            Sight(spot="BM 1", back_m=1.000, known_level_m=10.000),
            Sight(spot="a", between_m=2.000),
            Sight(spot="BM 2", fore_m=0.496, back_m=1.500, known_level_m=10.500),
            Sight(spot="b", between_m=1.000),
            Sight(spot="c", fore_m=2.000, back_m=1.000),
            Sight(spot="BM 3", fore_m=0.494, known_level_m=10.500),
        )
    )
    assert [section.misclosure_m for section in book.sections] == pytest.approx([0.004, 0.006])
    assert [section.setups for section in book.sections] == [1, 2]
    # b: 10.5 + 1.5 - 1.0 = 11.0 as read, half of 6 mm off; a: all of 4 mm off.
    assert book.levels == pytest.approx(
        {"BM 1": 10.0, "a": 8.996, "BM 2": 10.5, "b": 10.997, "c": 9.997, "BM 3": 10.5}, abs=1e-9
    )
    assert book.check_m == pytest.approx(0.0, abs=1e-12)


def test_a_book_that_stays_open_says_so_and_is_left_as_read() -> None:
    book = reduce_book(PAGE[:-1])
    assert book.misclosure_m is None
    assert book.allowed_m is None
    assert [row.level_m for row in book.rows] == [row.read_m for row in book.rows]
    assert "from row 1 on" in book.notices(millimetres)[0]
    assert book.check_m == pytest.approx(0.0, abs=1e-12)


def test_a_bench_mark_read_in_between_is_held_against_its_level() -> None:
    sights = [*PAGE[:2], Sight(spot="BM 7", between_m=2.325, known_level_m=49.730), *PAGE[3:]]
    book = reduce_book(sights)
    assert book.misfits == ((2, pytest.approx(0.009)),)
    assert "row 3 reads 9 mm over" in book.notices(millimetres)[-1]


@pytest.mark.parametrize(
    ("sights", "where", "what"),
    [
        ((), "Level book", "empty"),
        ((Sight(spot="A", back_m=1.0),), r"row 1 \(A\)", "not known"),
        ((Sight(spot="A", between_m=1.0),), r"row 1 \(A\)", "no back sight"),
        ((PAGE[0], Sight(spot="C")), r"row 2 \(C\)", "no reading"),
        ((PAGE[0], Sight(spot="", between_m=1.0, fore_m=1.0)), "row 2:", "stands with another"),
        ((PAGE[0], Sight(spot="C", back_m=1.0)), r"row 2 \(C\)", "set-up is open"),
        ((PAGE[0], Sight(spot="C", fore_m=1.0), Sight(spot="D", fore_m=1.0)), r"row 3 \(D\)", "no back sight"),
        ((PAGE[0], Sight(spot="C", fore_m=1.0), Sight(spot="D", back_m=1.0)), r"row 3 \(D\)", "not known"),
        ((PAGE[0], Sight(spot="C", fore_m=math.nan)), r"row 2 \(C\)", "not a number"),
    ],
)
def test_a_row_that_does_not_follow_is_named_with_its_mend(sights: tuple[Sight, ...], where: str, what: str) -> None:
    with pytest.raises(InputError, match=where) as caught:
        reduce_book(sights)
    assert what in caught.value.what
    assert caught.value.mend


@given(
    levels=st.lists(st.floats(-3, 3), min_size=2, max_size=12),
    errors=st.lists(st.floats(-0.01, 0.01), min_size=12, max_size=12),
)
def test_any_closed_book_ends_on_its_known_level_and_an_exact_one_is_not_touched(
    levels: list[float], errors: list[float]
) -> None:
    true_m = [0.0, *levels, 0.0]

    def sights(noise: list[float]) -> list[Sight]:
        rows = [Sight(spot="0", back_m=5.0, known_level_m=0.0)]
        for index in range(1, len(true_m)):
            fore = 5.0 + true_m[index - 1] - true_m[index] + noise[index % 12]
            last = index == len(true_m) - 1
            rows.append(Sight(spot="0" if last else str(index), fore_m=fore, back_m=None if last else 5.0))
        return rows

    exact, noisy = reduce_book(sights([0.0] * 12)), reduce_book(sights(errors))
    assert [row.level_m for row in exact.rows] == pytest.approx(true_m, abs=1e-9)
    assert noisy.rows[-1].level_m == pytest.approx(0.0, abs=1e-9)
    assert noisy.check_m == pytest.approx(0.0, abs=1e-9)
    total = -sum(errors[index % 12] for index in range(1, len(true_m)))
    assert noisy.misclosure_m == pytest.approx(total, abs=1e-9)
