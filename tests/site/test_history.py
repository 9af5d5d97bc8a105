"""Undo, redo, gestures and the saved point."""

from __future__ import annotations

import pytest

from gardenwater.errors import EditError
from gardenwater.site.history import History
from gardenwater.site.model import Site


def named(name: str) -> Site:
    return Site(name=name)


def started(*names: str) -> History:
    history = History(named("0"))
    for name in names:
        history.do(f"to {name}", lambda _, name=name: named(name))
    return history


def test_a_new_history_has_nothing_to_undo_and_is_saved() -> None:
    history = History(named("0"))
    assert not history.can_undo
    assert not history.can_redo
    assert (history.undo_label, history.redo_label) == ("", "")
    assert history.is_saved
    assert history.changes_since_saved == 0
    assert history.undo() is history.redo() is history.present


def test_undo_and_redo_give_the_very_sites() -> None:
    history = started("1", "2")
    second = history.present
    assert (history.undo_label, history.redo_label) == ("to 2", "")
    assert history.undo().name == "1"
    assert (history.undo_label, history.redo_label) == ("to 1", "to 2")
    assert history.undo().name == "0"
    assert not history.can_undo
    history.redo()
    assert history.redo() is second
    assert not history.can_redo


def test_a_new_edit_lets_go_what_could_be_redone() -> None:
    history = started("1", "2")
    history.undo()
    assert history.do("to 3", lambda _: named("3")).name == "3"
    assert not history.can_redo
    assert history.undo().name == "1"


def test_a_failing_edit_changes_nothing() -> None:
    history = started("1", "2")
    history.undo()

    def fail(site: Site) -> Site:
        raise EditError("No.", where=site.name, mend="Do not.")

    with pytest.raises(EditError):
        history.do("fail", fail)
    assert (history.present.name, history.undo_label, history.redo_label) == ("1", "to 1", "to 2")


def test_an_edit_that_changes_nothing_is_no_step() -> None:
    history = started("1", "2")
    history.undo()
    present = history.present
    history.do("same", lambda site: site)
    history.do("equal", lambda site: named(site.name))
    assert history.present is present
    assert history.redo_label == "to 2"


def test_a_gesture_is_one_step_named_by_its_last_edit() -> None:
    history = started("1")
    for name in "abc":
        history.do(f"drag to {name}", lambda _, name=name: named(name), "drag-1")
    assert history.present.name == "c"
    assert history.undo_label == "drag to c"
    assert history.undo().name == "1"
    assert history.redo().name == "c"


@pytest.mark.parametrize("between", ["undo and redo", "save", "end", "other"])
def test_a_gesture_ends_when_something_else_comes_between(between: str) -> None:
    history = started("1")
    history.do("nudge", lambda _: named("a"), "nudge")
    match between:
        case "undo and redo":
            history.undo()
            history.redo()
        case "save":
            history.mark_saved()
        case "end":
            history.end_gesture()
        case _:
            history.do("nudge other", lambda _: named("x"), "nudge other")
    history.do("nudge", lambda _: named("b"), "nudge")
    assert history.undo().name == ("x" if between == "other" else "a")


def test_edits_without_a_gesture_are_never_merged() -> None:
    history = started("1", "2", "3")
    assert history.undo().name == "2"


def test_a_gesture_that_ends_where_it_began_leaves_no_step() -> None:
    history = started("1")
    history.do("drag", lambda _: named("a"), "drag")
    history.do("drag", lambda _: named("1"), "drag")
    assert (history.present.name, history.undo_label) == ("1", "to 1")
    history.do("drag", lambda _: named("b"), "drag")
    assert history.undo().name == "1"


def test_a_gesture_that_came_back_to_a_saved_site_does_not_go_on_from_it() -> None:
    history = started()
    history.do("nudge", lambda _: named("a"), "nudge")
    history.mark_saved()
    history.do("nudge", lambda _: named("b"), "nudge")
    history.do("nudge", lambda _: named("a"), "nudge")
    assert history.is_saved
    history.do("nudge", lambda _: named("c"), "nudge")
    assert history.undo().name == "a"


def test_changes_since_saved_are_counted_both_ways() -> None:
    history = started("1", "2")
    assert history.changes_since_saved == 2
    history.mark_saved()
    assert history.is_saved
    history.undo()
    history.undo()
    assert (history.is_saved, history.changes_since_saved) == (False, 2)
    history.redo()
    history.redo()
    assert history.is_saved
    history.do("to 3", lambda _: named("3"))
    assert history.changes_since_saved == 1


def test_a_gesture_counts_as_one_change() -> None:
    history = started()
    for name in "abc":
        history.do("drag", lambda _, name=name: named(name), "drag")
    assert history.changes_since_saved == 1


def test_the_saved_site_may_be_on_a_way_that_was_left() -> None:
    history = started("1", "2", "3")
    history.mark_saved()
    history.undo()
    history.undo()
    history.do("to 4", lambda _: named("4"))
    # two undone (3, 2) and one made (4)
    assert (history.is_saved, history.changes_since_saved) == (False, 3)
    history.undo()
    assert (history.is_saved, history.changes_since_saved) == (False, 2)


def test_coming_to_the_saved_site_by_another_way_is_saved() -> None:
    history = started("1")
    history.mark_saved()
    history.undo()
    history.do("again", lambda _: named("1"))
    assert (history.is_saved, history.changes_since_saved) == (True, 0)


def test_the_oldest_steps_are_let_go() -> None:
    history = History(named("0"), most_steps=3)
    history.mark_saved()
    for number in range(1, 11):
        history.do(f"to {number}", lambda _, number=number: named(str(number)))
    assert history.changes_since_saved == 10
    while history.can_undo:
        history.undo()
    assert (history.present.name, history.changes_since_saved, history.is_saved) == ("7", 7, False)
    assert history.redo_label == "to 8"
