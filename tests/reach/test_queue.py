"""The bucket queue hands out what was put in, lowest bucket first, however far apart the keys lie."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.reach.queue import empty_queue, grown


@given(st.lists(st.floats(0.0, 3e5), min_size=1, max_size=200), st.floats(0.5, 3.0))
def test_all_come_out_once_and_in_order_of_buckets(keys: list[float], width: float) -> None:
    from gardenwater.reach.kernels_queue import put, room, take, turn_over

    queue = empty_queue(width=width, slots=2)
    key, waits = np.array(keys), np.ones(len(keys), dtype=np.uint8)
    for cell, value in enumerate(keys):
        if room(queue) == 0:
            queue = grown(queue)
        put(queue, cell, value)
    found: list[int] = []
    while True:
        cell = int(take(queue))
        if cell >= 0:
            waits[cell] = 0
            found.append(cell)
        elif not turn_over(queue, key, waits, 1):
            break
    assert sorted(found) == list(range(len(keys)))
    # 8,191 buckets before the last: up to there no key is out of order by more than one bucket's width
    taken = key[found]
    assert (np.maximum.accumulate(taken) - taken <= width * (1 + 1e-9)).all()
    assert room(queue) == queue.slot_cell.size


@pytest.mark.parametrize("waiting", [True, False])
def test_what_no_longer_waits_is_passed_over(waiting: bool) -> None:
    from gardenwater.reach.kernels_queue import put, take, turn_over

    queue = empty_queue(width=1.0, slots=4)
    put(queue, 0, 1e6)  # beyond the last bucket
    assert take(queue) == -1
    state = np.array([int(waiting)], dtype=np.uint8)
    assert turn_over(queue, np.array([1e6]), state, 1) is waiting
    assert take(queue) == (0 if waiting else -1)
