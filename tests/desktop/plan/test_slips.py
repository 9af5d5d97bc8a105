"""Words at the pointer while something is dragged or pointed at."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.plan.slips import Before, dragged_lines, hover_lines
from gardenwater.findings import Question
from gardenwater.site import edits


def _answers(reached: int, fall_m: float) -> Any:
    tank = SimpleNamespace(beds_reached=reached, beds=(None, None), bed=lambda _: SimpleNamespace(reached=reached > 1))
    reach = SimpleNamespace(tank=lambda _: tank, tanks=(tank,), beds=(None, None), beds_reached=2)
    chain = SimpleNamespace(tank="tank-1", feeds=(SimpleNamespace(fall_m=fall_m),))
    return SimpleNamespace(reach=reach, overflow=None, chains=(chain,))


@pytest.fixture
def told(desk: Desk, sight: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    def lines(now: Any, then: Any) -> list[str]:
        monkeypatch.setattr(Desk, "answers", property(lambda _: then))
        before = Before.of(sight, (desk.site.get("tank-1"),))  # type: ignore[arg-type]
        monkeypatch.setattr(Desk, "answers", property(lambda _: now))
        desk.tentative(edits.move(desk.present, "tank-1", 0.0, -3.8))
        return [line.words for line in dragged_lines(sight, before)]

    return lines


def test_a_dragged_tank_tells_the_answer_now_and_before_its_level_and_its_feed(told: Any) -> None:
    """The plain sight falls 1 in 10 to the south: 3.8 m south is 0.38 m lower."""
    assert told(_answers(1, 0.52), _answers(2, 0.1)) == [
        "1 of 2 beds, was 2",
        "0.38\u00a0m lower than before",
        "feed clears the inlet by 0.52\u00a0m",
    ]


def test_what_has_not_changed_is_not_told_as_changed_and_a_low_feed_is_told(told: Any) -> None:
    words = told(_answers(2, -0.12), _answers(2, 0.1))
    assert words[0] == "2 of 2 beds"
    assert words[-1] == "feed is 0.12\u00a0m below the inlet"


def test_pointing_at_a_thing_tells_its_name_and_its_measure(desk: Desk, sight: Any) -> None:
    def words(thing_id: str) -> list[str]:
        thing = desk.site.get(thing_id)
        assert thing is not None
        return [line.words for line in hover_lines(sight, thing)]

    assert words("bed-1") == ["Beans", "24.0\u00a0m²"]
    assert words("tank-1") == ["Shed tank", "750 of 1,500\u00a0L"]
    assert words("wall-1") == ["Wall", "10.0\u00a0m"]
    assert words("roof-1") == ["Shed roof", "48.0\u00a0m² on the plan"]
    assert words("downpipe-1") == ["East pipe"]


def test_a_bed_under_the_pointer_tells_how_many_tanks_reach_it(
    desk: Desk, sight: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(Desk, "answers", property(lambda _: _answers(2, 0.0)))
    bed = desk.site.get("bed-1")
    assert bed is not None
    assert hover_lines(sight, bed)[1].words == "24.0\u00a0m², reached by 1 tank"
    assert desk.question is Question.REACH
