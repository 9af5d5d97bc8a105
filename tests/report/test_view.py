from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.report.view import Margins, View

views = st.builds(
    View,
    st.floats(-1e6, 1e6),
    st.floats(-1e6, 1e6),
    st.floats(1e-3, 100.0),
    st.floats(200, 3000),
    st.floats(200, 3000),
)


@given(views, st.floats(-2000, 4000), st.floats(-2000, 4000))
def test_px_and_map_are_each_other_s_inverse(view: View, px: float, py: float) -> None:
    back = view.to_px(*view.to_map(px, py))
    assert back == pytest.approx((px, py), abs=1e-6 * max(1.0, 1e6 / view.metres_per_px / 1e3))


@given(views, st.floats(0.1, 10.0), st.floats(0, 1000), st.floats(0, 1000))
def test_zooming_leaves_the_map_under_the_pointer(view: View, factor: float, px: float, py: float) -> None:
    under = view.to_map(px, py)
    zoomed = view.zoomed(factor, (px, py))
    assert zoomed.metres_per_px == pytest.approx(view.metres_per_px / factor)
    step = max(view.metres_per_px, zoomed.metres_per_px)
    assert zoomed.to_map(px, py) == pytest.approx(under, abs=1e-6 * step + 1e-9)


def test_moving_the_sheet_takes_the_map_with_it() -> None:
    view = View(10, 20, 0.1, 800, 600)
    x, y = view.to_px(12, 22)
    assert view.moved(30, -40).to_px(12, 22) == pytest.approx((x + 30, y - 40))


def test_the_centre_of_the_map_is_the_middle_of_the_sheet() -> None:
    view = View(10, 20, 0.1, 800, 600, Margins(100, 50, 20, 10))
    sheet = view.sheet
    assert view.to_px(10, 20) == pytest.approx((sheet.x + sheet.width / 2, sheet.y + sheet.height / 2))
    assert (sheet.x, sheet.y, sheet.right, sheet.bottom) == (100, 50, 780, 590)


@given(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5), st.floats(0.5, 5000), st.floats(0.5, 5000))
def test_a_view_of_bounds_shows_all_of_them(west: float, south: float, width: float, height: float) -> None:
    view = View.of((west, south, west + width, south + height), 1000, 700)
    low_x, low_y, high_x, high_y = view.bounds
    slack = 1e-9 * max(abs(west), abs(south), 1.0) + 1e-9
    assert low_x <= west + slack
    assert low_y <= south + slack
    assert high_x >= west + width - slack
    assert high_y >= south + height - slack


def test_bounds_without_size_still_give_a_view() -> None:
    view = View.of((5, 5, 5, 5), 1000, 700)
    assert view.metres_per_px > 0
    assert np.isfinite(view.to_px(5, 5)).all()
