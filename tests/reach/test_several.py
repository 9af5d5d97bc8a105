"""Several maps at once are those that each work gives by itself."""

from __future__ import annotations

from functools import partial
from threading import Barrier, current_thread

import numpy as np
import pytest
from shapely import box

from gardenwater.errors import Cancelled
from gardenwater.hydraulics import Line
from gardenwater.reach import prepare, side_by_side, water_reach
from tests.reach.grounds import ground_of

LINE = Line(19, flow_l_min=5.0)


def test_maps_are_the_same_as_one_after_the_other() -> None:
    levels = np.random.default_rng(3).normal(0.0, 0.2, (90, 120))
    on = prepare(ground_of(levels), barriers=[box(30, 20, 45, 60), box(70, 30, 90, 40)])
    works = [partial(water_reach, on, at=(10.5 + 25 * k, 70.5 - 9 * k), water_level_m=1.0, line=LINE) for k in range(5)]
    for mine, alone in zip(side_by_side(works), [work() for work in works], strict=True):
        assert mine.start == alone.start
        for name in ("distance_m", "margin_m", "flow_l_min", "reason", "turns"):
            np.testing.assert_array_equal(getattr(mine, name), getattr(alone, name), name)


@pytest.mark.parametrize("count", [0, 1, 2, 9])
def test_answers_stand_in_the_order_of_the_works(count: int) -> None:
    assert side_by_side([partial(int, number) for number in range(count)]) == tuple(range(count))


def test_two_run_at_the_same_time(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("os.cpu_count", lambda: 2)
    meet = Barrier(2, timeout=10.0)  # each waits for the other: one after the other they would never pass

    def work() -> str:
        meet.wait()
        return current_thread().name

    assert len(set(side_by_side([work, work]))) == 2


def test_an_error_passes_through() -> None:
    def fails() -> int:
        raise Cancelled

    with pytest.raises(Cancelled):
        side_by_side([partial(int, 1), fails, partial(int, 2)])
