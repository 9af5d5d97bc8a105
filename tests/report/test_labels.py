from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.report.drawing import Rect, TextStyle
from gardenwater.report.labels import Costs, Hurdle, Label, Line, LineWords, Placed, Setting, place, place_along
from gardenwater.report.labels.buckets import crosses
from gardenwater.report.labels.placing import MOST_COST

SHEET = Rect(0, 0, 900, 600)
NAME, ANSWER = TextStyle(12.5, semibold=True), TextStyle(12.0)


def measure(words: str, style: TextStyle) -> tuple[float, float]:
    """Half an em for each letter: enough for places to be worked out by hand."""
    return len(words) * style.size_px / 2, style.size_px * 1.25


def lines(*words: str) -> tuple[Line, ...]:
    return tuple(Line(each, NAME if number == 0 else ANSWER, "ink") for number, each in enumerate(words))


def point(key: str, x: float, y: float, *, rank: int = 3, words: tuple[str, ...] = ("Tank",)) -> Label:
    return Label(key, rank, lines(*words), Rect(x - 6, y - 6, 12, 12), 144.0)


def area(key: str, x: float, y: float, width: float, height: float, *, rank: int = 2) -> Label:
    outline = Rect(x, y, width, height).outline().points
    pole = (x + width / 2, y + height / 2)
    return Label(key, rank, lines("Bed", "2 min a can"), Rect(x, y, width, height), width * height, (outline,), pole)


spots = st.tuples(st.floats(0, 900), st.floats(0, 600), st.integers(0, 6), st.integers(1, 14), st.booleans())


def scene(many: list[tuple[float, float, int, int, bool]]) -> tuple[list[Label], Setting]:
    labels, never, hurdles = [], [], []
    for number, (x, y, rank, letters, wide) in enumerate(many):
        key = f"thing {number}"
        if wide:
            labels.append(area(key, x, y, 40 + letters * 9, 20 + letters * 3, rank=rank))
            hurdles.append(Hurdle(labels[-1].areas[0], 3.0, key, closed=True))
        else:
            labels.append(point(key, x, y, rank=rank, words=("n" * letters, "1,450 L")))
            never.append(labels[-1].sign)
    return labels, Setting(SHEET, tuple(never), tuple(hurdles))


def box(placed: Placed) -> tuple[float, float, float, float]:
    return placed.box.x, placed.box.y, placed.box.right, placed.box.bottom


@given(st.lists(spots, max_size=40))
def test_labels_never_overlap_nor_lie_on_signs_nor_leave_the_sheet(
    many: list[tuple[float, float, int, int, bool]],
) -> None:
    labels, setting = scene(many)
    placed = place(labels, setting, measure)
    assert not any(first.box.meets(second.box) for first, second in combinations(placed, 2))
    assert not any(each.box.meets(sign) for each in placed for sign in setting.never)
    inner = SHEET.grown(-6)  # LOOK 5.1: never within 6 px of the neat line
    assert all(
        inner.holds(x, y) for each in placed for x, y in ((each.box.x, each.box.y), (each.box.right, each.box.bottom))
    )


@given(st.lists(spots, max_size=40))
def test_leaders_cross_no_label(many: list[tuple[float, float, int, int, bool]]) -> None:
    labels, setting = scene(many)
    placed = place(labels, setting, measure)
    for each in placed:
        if each.leader is not None:
            others = (other for other in placed if other is not each)
            assert not any(crosses(*each.leader, box(other)) for other in others)


@given(st.lists(spots, max_size=40))
def test_what_costs_too_much_is_left_out_but_for_the_first_two_ranks(
    many: list[tuple[float, float, int, int, bool]],
) -> None:
    labels, setting = scene(many)
    for each in place(labels, setting, measure):
        assert each.cost <= MOST_COST or each.label.rank <= 1
        assert len(each.lines) == len(each.label.lines) or each.label.rank <= 1


@given(st.lists(spots, max_size=30))
def test_placing_again_with_the_places_held_changes_nothing(many: list[tuple[float, float, int, int, bool]]) -> None:
    labels, setting = scene(many)
    placed = place(labels, setting, measure)
    held = {each.label.key: each.place for each in placed}
    again = place(labels, setting, measure, held=held)
    assert [(each.label.key, each.place) for each in again] == [(each.label.key, each.place) for each in placed]


def test_the_first_place_of_a_point_is_at_its_right_six_px_away() -> None:
    (placed,) = place([point("a", 300, 300)], Setting(SHEET), measure)
    assert placed.box.x == 300 + 6 + 6
    assert placed.box.y + placed.box.height / 2 == 300
    assert placed.cost == 0.0


def test_the_order_of_places_round_a_point() -> None:
    taken: list[Rect] = []
    seen = []
    for _ in range(8):
        (placed,) = place([point("a", 300, 300)], Setting(SHEET, tuple(taken)), measure)
        seen.append(
            (np.sign(placed.box.x + placed.box.width / 2 - 300), np.sign(placed.box.y + placed.box.height / 2 - 300))
        )
        middle_x, middle_y = placed.box.x + placed.box.width / 2, placed.box.y + placed.box.height / 2
        taken.append(Rect(middle_x - 1, middle_y - 1, 2, 2))
    # LOOK 5.1: right, left, below, above, the four corners
    assert seen == [(1, 0), (-1, 0), (0, 1), (0, -1), (1, -1), (1, 1), (-1, 1), (-1, -1)]


def test_farther_places_have_a_leader_to_the_sign() -> None:
    near = (Rect(200, 200, 188, 98), Rect(200, 302, 188, 98))
    (placed,) = place([point("a", 300, 300)], Setting(SHEET, near), measure)
    assert placed.leader is not None
    assert (placed.leader.to_x, placed.leader.to_y) == pytest.approx((306, 300), abs=6.1)
    assert placed.cost == pytest.approx(4.4)  # LOOK 5.1: 4.4 at 84 px, the first place in its eight


def test_an_area_is_labelled_at_its_middle() -> None:
    (placed,) = place([area("bed", 200, 200, 160, 60)], Setting(SHEET), measure)
    assert placed.box.x + placed.box.width / 2 == 280
    assert placed.box.y + placed.box.height / 2 == 230


def test_a_label_that_does_not_fit_inside_stands_beside() -> None:
    (placed,) = place([area("bed", 200, 200, 40, 20)], Setting(SHEET), measure)
    assert not placed.box.meets(Rect(200, 200, 40, 20))


def test_a_label_gives_way_to_a_line_at_a_cost() -> None:
    line = Hurdle(np.array(((312.0, 200.0), (312.0, 400.0))), 3.0, "route")
    (placed,) = place([point("a", 290, 300)], Setting(SHEET, (), (line,)), measure)
    assert placed.box.right < 290


def test_its_own_ground_costs_nothing_and_another_s_does() -> None:
    roof = Rect(200, 200, 300, 200).outline().points
    hurdle = Hurdle(roof, 2.5, "roof", ground=True)
    own = Label("roof", 4, lines("House"), Rect(200, 200, 300, 200), 1.0, (roof,), (350.0, 300.0))
    other = point("tank", 350, 300)
    (placed,) = place([own], Setting(SHEET, (), (hurdle,)), measure)
    assert placed.cost == 0.0
    (beside,) = place([other], Setting(SHEET, (), (hurdle,)), measure)
    assert beside.cost >= 2.5


def test_the_better_rank_wins_the_place() -> None:
    room = Setting(Rect(0, 0, 140, 44))
    first, second = point("z", 40, 22, rank=0), point("a", 40, 22, rank=4)
    placed = place([second, first], room, measure)
    assert [each.label.key for each in placed] == ["z"]


def test_within_a_rank_the_larger_thing_is_first() -> None:
    room = Setting(Rect(0, 0, 140, 44))
    small = point("a", 40, 22)
    large = Label("b", 3, lines("Tank"), Rect(34, 16, 12, 12), 900.0)
    assert [each.label.key for each in place([small, large], room, measure)] == ["b"]


def test_the_first_ranks_drop_their_last_lines_where_there_is_little_room() -> None:
    walls = (Rect(0, 0, 900, 285), Rect(0, 315, 900, 285))
    long = point("a", 450, 300, rank=1, words=("Pool", "gone in nine hours"))
    (placed,) = place([long], Setting(SHEET, walls), measure)
    assert [line.words for line in placed.lines] == ["Pool"]
    assert (
        place([point("a", 450, 300, rank=2, words=("Pool", "gone in nine hours"))], Setting(SHEET, walls), measure)
        == ()
    )


def test_a_label_keeps_its_place_while_another_is_hardly_better() -> None:
    below = 16 + 2  # the third of the eight places around
    (kept,) = place([point("a", 300, 300)], Setting(SHEET), measure, held={"a": below})
    assert kept.place == below
    line = Hurdle(np.array(((200.0, 315.0), (400.0, 315.0))), 3.0, "route")
    (moved,) = place([point("a", 300, 300)], Setting(SHEET, (), (line,)), measure, held={"a": below})
    assert moved.place != below


def test_a_label_for_inside_only_is_left_out_where_it_does_not_fit() -> None:
    outline = Rect(200, 200, 30, 14).outline().points
    part = Label(
        "part", 2, lines("17,200 L"), Rect(200, 200, 30, 14), 1.0, (outline,), (215.0, 207.0), "", inside_only=True
    )
    assert place([part], Setting(SHEET), measure) == ()


def wavy(amplitude: float, length: float = 800.0) -> np.ndarray:
    x = np.linspace(20, 20 + length, 200)
    return np.column_stack((x, 300 + amplitude * np.sin(x / 60)))


@given(st.floats(0, 200), st.floats(0, 6.28), st.integers(0, 8))
def test_words_along_a_line_are_upright_and_free(amplitude: float, turn: float, boxes: int) -> None:
    points = wavy(amplitude)
    middle = points.mean(axis=0)
    cos, sin = np.cos(turn), np.sin(turn)
    points = (points - middle) @ np.array(((cos, sin), (-sin, cos))) * 0.6 + middle
    taken = [Rect(90.0 * number, 250, 40, 100) for number in range(boxes)]
    placed = place_along([LineWords(points, "99 m", ANSWER, "contour")], SHEET, taken, Costs(()), measure)
    for words in placed:
        assert abs(words.angle_deg) <= 55  # LOOK 5.1: tilted at most 55 degrees
        assert not any(words.box.meets(each) for each in taken)
        assert np.hypot(*(points - (words.x, words.y)).T).min() < 6


def test_one_word_for_each_600_px() -> None:
    placed = place_along(
        [LineWords(wavy(0, 850), "99 m", ANSWER, "contour")], Rect(0, 0, 1000, 600), [], Costs(()), measure
    )
    assert len(placed) == 1
    long = wavy(0, 1300)
    placed = place_along([LineWords(long, "99 m", ANSWER, "contour")], Rect(0, 0, 1400, 600), [], Costs(()), measure)
    assert len(placed) == 2
    assert placed[0].x == pytest.approx(20 + 0.4 * 600, abs=600 / 60)  # LOOK 5.1: nearest to 0.4 of the line


def test_words_stand_clear_of_routes_where_they_can() -> None:
    line = wavy(0)
    route = Hurdle(np.array(((260.0, 200.0), (260.0, 400.0))), 3.0, "route")
    (words,) = place_along([LineWords(line, "99 m", ANSWER, "contour")], SHEET, [], Costs((route,)), measure)
    assert not words.box.holds(260, 300)
