"""Results are kept by key, up to a budget, whoever asks."""

from __future__ import annotations

import threading
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from gardenwater.assess.store import Store, arrays_in
from gardenwater.errors import Cancelled

KILO = 1_000_000  # so large that what an entry itself counts for does not matter


@dataclass(frozen=True, slots=True)
class Held:
    """Something with arrays in it."""

    grid: NDArray[np.uint8]
    others: tuple[NDArray[np.uint8], ...] = ()


def kilos(count: int) -> Held:
    return Held(np.zeros(count * KILO, dtype=np.uint8))


def test_a_result_is_worked_out_once() -> None:
    store, calls = Store(100 * KILO), []
    for _ in range(3):
        assert store.get("key", lambda: calls.append(1) or len(calls)) == 1  # type: ignore[func-returns-value]
    assert calls == [1]


def test_what_is_held_can_be_asked_without_working_it_out() -> None:
    store = Store(100 * KILO)
    assert not store.holds("key")
    store.get("key", lambda: 1)
    assert store.holds("key")
    store.get("large", lambda: kilos(200))
    assert not store.holds("large")


def test_each_array_counts_once_and_a_view_as_what_it_looks_into() -> None:
    grid = np.zeros(10 * KILO, dtype=np.uint8)
    assert sum(arrays_in(Held(grid)).values()) == 10 * KILO
    assert sum(arrays_in(Held(grid, (grid, grid[5:]))).values()) == 10 * KILO
    assert sum(arrays_in(Held(grid[: 2 * KILO])).values()) == 10 * KILO
    assert sum(arrays_in({"a": grid, "b": (grid.copy(),)}).values()) == 20 * KILO
    assert arrays_in("words") == {}


def test_results_that_share_an_array_are_counted_once() -> None:
    store = Store(35 * KILO)
    grid = np.zeros(20 * KILO, dtype=np.uint8)
    for number in range(10):
        store.get(number, lambda: Held(grid))
    assert len(store) == 10
    assert store.held_bytes < 30 * KILO
    store.get("other", lambda: kilos(20))
    assert len(store) == 1  # to make room for it the array had to go, and so all that held it
    assert store.held_bytes < 21 * KILO


def test_the_least_recently_used_goes_first() -> None:
    store = Store(35 * KILO)
    for key in "abc":
        store.get(key, lambda: kilos(10))
    store.get("a", lambda: pytest.fail("a is still there"))
    store.get("d", lambda: kilos(10))
    assert len(store) == 3
    store.get("a", lambda: pytest.fail("a was used after b"))
    worked: list[str] = []
    store.get("b", lambda: worked.append("b") or kilos(10))  # type: ignore[func-returns-value]
    assert worked == ["b"]


def test_the_budget_is_never_passed() -> None:
    store = Store(25 * KILO)
    for number in range(20):
        store.get(number, lambda size=1 + number % 9: kilos(size))
        assert store.held_bytes <= 25 * KILO
    assert len(store) > 1


def test_a_result_larger_than_the_budget_is_given_but_not_kept() -> None:
    store = Store(5 * KILO)
    store.get("small", lambda: kilos(2))
    assert store.get("large", lambda: kilos(50)).grid.size == 50 * KILO
    assert len(store) == 1
    store.get("small", lambda: pytest.fail("the small one is still there"))


def test_what_fails_is_not_kept() -> None:
    store = Store(5 * KILO)

    def cancelled() -> int:
        raise Cancelled

    with pytest.raises(Cancelled):
        store.get("key", cancelled)
    assert store.get("key", lambda: 7) == 7


def test_two_threads_work_at_the_same_time_and_neither_waits_for_the_other() -> None:
    store = Store(100 * KILO)
    both = threading.Barrier(2, timeout=20)
    got: list[int] = []

    def work() -> int:
        both.wait()  # passes only when the other thread is at work too
        return 7

    threads = [threading.Thread(target=lambda: got.append(store.get("key", work))) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert got == [7, 7]
    assert len(store) == 1
