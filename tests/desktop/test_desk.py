"""The desk: edits, gestures, undo, what is asked of the worker, and what of it is shown."""

from __future__ import annotations

import threading
from typing import Any

import pytest
from pytestqt.qtbot import QtBot

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.worker import Phase
from gardenwater.errors import EditError, GardenwaterError, InputError
from gardenwater.findings import Finding, Question, Severity
from gardenwater.site import edits
from gardenwater.site.model import Site


def _moved(site: Site) -> Site:
    return edits.move(site, "bed-1", 1.0, 0.0)


def _refused(site: Site) -> Site:
    raise EditError("It cannot be.", mend="Do otherwise.")


def test_an_edit_is_one_step_and_undo_finds_the_same_site(desk: Desk, garden: Site) -> None:
    assert desk.edit("Move Beans", _moved)
    assert desk.site.get("bed-1") != garden.get("bed-1")
    assert desk.history.undo_label == "Move Beans"
    desk.undo()
    assert desk.site is garden
    desk.redo()
    assert desk.site.get("bed-1") != garden.get("bed-1")


def test_a_failing_edit_tells_its_problem_and_changes_nothing(desk: Desk, garden: Site, qtbot: QtBot) -> None:
    with qtbot.waitSignal(desk.problem) as told:
        assert not desk.edit("Break it", _refused)
    assert isinstance(told.args[0], GardenwaterError)
    assert desk.site is garden
    assert not desk.history.can_undo


def test_a_tentative_site_is_shown_and_becomes_one_edit(desk: Desk, garden: Site) -> None:
    shown: list[Site] = []
    desk.siteChanged.connect(shown.append)
    for step in range(1, 6):
        desk.tentative(edits.move(garden, "bed-1", step / 10, 0.0))
    assert desk.live
    assert desk.present is garden
    assert len(shown) == 5
    assert desk.commit("Move Beans")
    assert not desk.live
    desk.undo()
    assert desk.site is garden
    assert not desk.history.can_undo


def test_undo_and_edits_wait_while_a_gesture_is_live(desk: Desk, garden: Site) -> None:
    desk.edit("Move Beans", _moved)
    once = desk.present
    desk.tentative(_moved(once))
    desk.undo()
    assert not desk.edit("Move Beans", _moved)
    assert desk.present is once
    desk.tentative(None)
    assert desk.site is once
    desk.undo()
    assert desk.site is garden


def test_a_gesture_that_ends_where_it_began_is_shown_as_it_was(desk: Desk, garden: Site) -> None:
    desk.tentative(_moved(garden))
    desk.tentative(edits.move(desk.site, "bed-1", -1.0, 0.0))
    shown: list[Site] = []
    desk.siteChanged.connect(shown.append)
    desk.commit("Move Beans")
    assert shown[-1] == garden
    assert not desk.history.can_undo


def test_what_is_deleted_is_not_selected_any_more(desk: Desk) -> None:
    desk.select(["bed-1", "tank-1"])
    assert desk.delete_selected()
    assert desk.selection == ()
    assert "bed-1" not in desk.site
    assert desk.history.undo_label == "Delete 2 things"
    desk.undo()
    assert "tank-1" in desk.site


def test_nudges_in_a_row_are_one_step(desk: Desk, garden: Site) -> None:
    desk.select(["bed-1"])
    for _ in range(5):
        desk.nudge(0.1, 0.0)
    assert desk.site.get("bed-1").shape.bounds[0] == pytest.approx(5.5)  # type: ignore[union-attr]
    desk.undo()
    assert desk.site is garden


def test_nudges_after_another_selection_are_a_step_of_their_own(desk: Desk) -> None:
    desk.select(["bed-1"])
    desk.nudge(0.1, 0.0)
    desk.select(["bed-2"])
    desk.nudge(0.1, 0.0)
    desk.select(["bed-1"])
    desk.nudge(0.1, 0.0)
    desk.undo()
    assert desk.site.get("bed-1").shape.bounds[0] == pytest.approx(5.1)  # type: ignore[union-attr]


def test_a_nudge_takes_the_pipe_of_a_tank_along(desk: Desk) -> None:
    desk.select(["tank-1"])
    desk.nudge(1.0, 0.0)
    pipe = desk.site.get("overflow-1")
    assert pipe is not None
    assert pipe.shape.coords[0] == pytest.approx((20.5, 17.5))
    assert pipe.shape.coords[-1] == pytest.approx((22, 14))


def test_page_up_raises_the_stand(desk: Desk) -> None:
    desk.select(["tank-1"])
    desk.raise_selected(0.05)
    desk.raise_selected(0.05)
    assert desk.site.get("tank-1").stand_height_m == pytest.approx(0.3)  # type: ignore[union-attr]
    desk.undo()
    assert desk.site.get("tank-1").stand_height_m == pytest.approx(0.2)  # type: ignore[union-attr]


def test_copy_and_paste_put_new_things_at_the_pointer_and_select_them(desk: Desk) -> None:
    desk.select(["bed-1", "bed-2"])
    assert desk.copy()
    desk.point((20.0, 10.0))
    assert desk.paste()
    assert len(desk.selected) == 2
    assert {thing.kind for thing in desk.selected} == {"bed"}
    assert set(desk.selection).isdisjoint({"bed-1", "bed-2"})
    west, south, east, north = _common(desk)
    assert ((west + east) / 2, (south + north) / 2) == pytest.approx((20.0, 10.0))


def test_paste_without_a_pointer_and_duplicate_stand_beside_their_model(desk: Desk) -> None:
    desk.select(["bed-1"])
    desk.copy()
    desk.point(None)
    desk.paste()
    assert desk.selected[0].shape.bounds[:2] == pytest.approx((6.0, 10.0))
    desk.select(["bed-1"])
    desk.duplicate()
    assert desk.selected[0].shape.bounds[:2] == pytest.approx((6.0, 10.0))
    assert desk.selected[0].name not in {"Beans", ""}


def test_cut_takes_away_and_paste_brings_back(desk: Desk) -> None:
    desk.select(["bed-1"])
    assert desk.cut()
    assert "bed-1" not in desk.site
    assert desk.paste((9.0, 12.5))
    assert desk.selected[0].shape.bounds == pytest.approx((5, 11, 13, 14))


def _common(desk: Desk) -> tuple[float, float, float, float]:
    boxes = [thing.shape.bounds for thing in desk.selected]
    west, south, east, north = zip(*boxes, strict=True)
    return min(west), min(south), max(east), max(north)


def test_a_finding_selects_its_subject_and_is_let_go_for_another_thing(desk: Desk) -> None:
    finding = Finding(
        code="reach.bed-out", severity=Severity.FAILS, question=Question.REACH, subject="bed-1", source=""
    )
    desk.choose(finding)
    assert desk.selection == ("bed-1",)
    assert desk.finding is finding
    desk.select(["tank-1"])
    assert desk.finding is None


def test_a_word_that_draws_nothing_is_refused(desk: Desk) -> None:
    with pytest.raises(InputError):
        desk.draw("castle")


def test_opening_another_site_forgets_what_was_selected_and_drawn(desk: Desk) -> None:
    desk.select(["bed-1"])
    desk.draw("tank")
    desk.edit("Move Beans", _moved)
    desk.open(Site(name="Other"))
    assert (desk.selection, desk.tool, desk.finding) == ((), "", None)
    assert not desk.history.can_undo


def test_answers_come_for_what_is_asked_and_the_focus_is_the_selected_tank(
    desk: Desk, bench: Any, garden: Site, qtbot: QtBot
) -> None:
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    desk.select(["tank-1"])
    qtbot.waitUntil(lambda: desk.settled)
    assert desk.answers.focus == "tank-1"  # type: ignore[union-attr]
    desk.ask(Question.OVERFLOW)
    qtbot.waitUntil(lambda: desk.settled)
    assert desk.answers.question is Question.OVERFLOW  # type: ignore[union-attr]
    assert not any(answer.coarse for answer in bench.asked)


def test_a_drag_shows_coarse_answers_first_and_ends_exact(desk: Desk, bench: Any, garden: Site, qtbot: QtBot) -> None:
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    seen: list[tuple[bool, bool, bool]] = []
    desk.answersChanged.connect(lambda answers: seen.append((answers.coarse, answers.own, desk.coarse)))
    desk.tentative(_moved(garden))
    qtbot.waitUntil(lambda: desk.settled)
    assert seen == [(True, False, True), (False, True, False), (False, False, False)], "coarse, the question's own, all"
    assert desk.answers.site is desk.site  # type: ignore[union-attr]


def test_a_drag_faster_than_the_work_still_shows_coarse_answers(
    desk: Desk, bench: Any, garden: Site, qtbot: QtBot
) -> None:
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    bench.hold = threading.Event()
    desk.tentative(_moved(garden))
    qtbot.waitUntil(lambda: bench.asked[-1].coarse)
    for step in range(2, 6):
        desk.tentative(edits.move(garden, "bed-1", float(step), 0.0))
    with qtbot.waitSignal(desk.answersChanged) as shown:
        bench.hold.set()
    assert shown.args[0].coarse
    qtbot.waitUntil(lambda: desk.settled)
    worked = [answer.site for answer in bench.asked if not answer.coarse]
    assert worked[-1] is desk.site
    assert len(set(map(id, worked))) == 2, "sites in between were not worked out exactly"


def test_answers_to_a_drag_that_was_given_up_are_dropped(desk: Desk, bench: Any, garden: Site, qtbot: QtBot) -> None:
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    bench.hold = threading.Event()
    desk.tentative(_moved(garden))
    qtbot.waitUntil(lambda: bench.asked[-1].coarse)
    desk.tentative(None)
    seen: list[Site] = []
    desk.answersChanged.connect(lambda answers: seen.append(answers.site))
    bench.hold.set()
    qtbot.waitUntil(lambda: desk.settled)
    assert seen == [garden]


def test_work_that_fails_becomes_words_and_the_old_answers_stay(desk: Desk, bench: Any, qtbot: QtBot) -> None:
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    before = desk.answers
    bench.fail = ZeroDivisionError("division by zero")
    with qtbot.waitSignal(desk.problem) as told:
        desk.edit("Move Beans", _moved)
    assert "Reach could not be worked out" in told.args[0].what
    assert desk.answers is before
    assert not desk.settled


def test_a_bench_that_cannot_be_made_becomes_words(qtbot: QtBot) -> None:
    def broken() -> Any:
        raise ImportError("no engine")

    desk = Desk(broken)
    with qtbot.waitSignal(desk.problem) as told:
        desk.start()
    assert "no engine" in told.args[0].what
    desk.close()


def test_the_engines_are_prepared_before_the_first_answer(qtbot: QtBot, bench: Any) -> None:
    states: list[Phase] = []

    def warm(progress: Any) -> None:
        assert bench.asked == []
        progress(0.5, "Preparing the engines")

    desk = Desk(lambda: bench, warm=(warm,))
    desk.workChanged.connect(lambda state: states.append(state.phase))
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    qtbot.waitUntil(lambda: desk.work.phase is Phase.IDLE)
    assert states[0] is Phase.PREPARING
    desk.close()


def test_the_first_answer_does_not_wait_for_the_other_engines(qtbot: QtBot, bench: Any) -> None:
    taken: list[Any] = []
    desk = Desk(
        lambda: bench,
        warm=(lambda _: taken.append("first"), lambda _: taken.append(len(bench.asked))),
    )
    desk.start()
    qtbot.waitUntil(lambda: desk.settled)
    assert taken == ["first", 1]
    assert len(bench.asked) == 2
    desk.close()


def test_an_engine_that_cannot_be_prepared_becomes_words(qtbot: QtBot, bench: Any) -> None:
    def broken(_: Any) -> None:
        raise OSError("no room for the cache")

    desk = Desk(lambda: bench, warm=(lambda _: None, broken))
    with qtbot.waitSignal(desk.problem) as told:
        desk.start()
    assert "no room for the cache" in told.args[0].what
    desk.close()


def test_an_errand_runs_elsewhere_and_hands_its_result_over_here(desk: Desk, qtbot: QtBot) -> None:
    here = threading.get_ident()
    got: list[tuple[int, int]] = []
    desk.errand(
        "Read",
        lambda _cancel, _progress: threading.get_ident(),
        lambda where: got.append((where, threading.get_ident())),
    )
    qtbot.waitUntil(lambda: bool(got))
    assert got[0][0] != here
    assert got[0][1] == here


def test_an_errand_that_fails_becomes_words(desk: Desk, qtbot: QtBot) -> None:
    def fails(_cancel: Any, _progress: Any) -> None:
        raise OSError("the disk is full")

    with qtbot.waitSignal(desk.problem) as told:
        desk.errand("Saving", fails)
    assert "the disk is full" in str(told.args[0])


def test_saved_is_what_was_handed_over_and_not_what_came_after(desk: Desk, garden: Site, tmp_path: Any) -> None:
    desk.edit("Move Beans", _moved)
    handed = desk.present
    desk.edit("Move Beans", _moved)
    desk.mark_saved(tmp_path / "a.gpkg", handed)
    assert not desk.history.is_saved
    desk.mark_saved(tmp_path / "a.gpkg", desk.present)
    assert desk.history.is_saved
