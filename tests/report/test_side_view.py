from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.assess.answers import Feed, TankChain
from gardenwater.report.drawing import Mark, Shape, Text
from gardenwater.report.side_view import Delivery, side_view, spread
from gardenwater.report.typeface import measure
from gardenwater.units import UnitSystem
from tests.report.made import every_mark, points_in, unknown_roles

FEED = Feed(
    diverter="d",
    downpipe="p",
    roof="r",
    eaves_level_m=102.40,
    diverter_level_m=101.95,
    length_m=1.6,
    fall_m=0.23,
)
CHAIN = TankChain(
    tank="t",
    ground_level_m=100.0,
    floor_level_m=100.4,
    outlet_level_m=100.60,
    water_level_m=101.53,
    overflow_level_m=101.65,
    inlet_level_m=101.72,
    feeds=(FEED,),
)


def drawn(chain: TankChain = CHAIN, delivery: Delivery | None = None, *, height: float = 168.0) -> list[Mark]:
    return list(
        every_mark(side_view(chain, delivery, width_px=312, height_px=height, units=UnitSystem.METRIC, measure=measure))
    )


def said(marks: list[Mark]) -> list[str]:
    return [mark.words.replace("\u00a0", " ") for mark in marks if isinstance(mark, Text)]


def test_all_levels_stand_in_the_column_with_their_numbers() -> None:
    words = said(drawn())
    for name, level in (("eaves", "102.40"), ("diverter", "101.95"), ("inlet", "101.72"), ("outlet", "100.60")):
        assert name in words
        assert level in words
    assert "stand 0.40 m" in words


def test_drops_are_written_where_the_height_leaves_room() -> None:
    assert "0.45 m down" not in said(drawn(height=120))
    assert {"0.45 m down", "0.23 m down", "0.07 m down", "0.12 m down", "0.93 m down"} <= set(said(drawn(height=215)))


def test_the_picture_is_to_scale_in_height() -> None:
    marks = drawn(height=215)
    dashes = next(
        mark for mark in marks if isinstance(mark, Shape) and mark.pen is not None and mark.pen.role == "rule"
    )
    heights = [part.points[0, 1] for part in dashes.path]
    levels = [102.40, 101.95, 101.72, 101.65, 101.53, 100.60]
    per_m = (heights[-1] - heights[0]) / (levels[0] - levels[-1])
    assert heights == pytest.approx([heights[0] + (levels[0] - level) * per_m for level in levels])


def test_a_broken_link_is_in_the_colour_of_what_fails_with_its_gap() -> None:
    assert not any(mark.role == "fails" for mark in drawn() if isinstance(mark, Text))
    low = replace(FEED, diverter_level_m=101.57, fall_m=-0.15)
    marks = drawn(replace(CHAIN, feeds=(low,)))
    assert "0.15 m too high" in said(marks)
    assert any(isinstance(m, Shape) and m.pen is not None and m.pen.role == "fails" and m.pen.dash for m in marks)


def test_a_delivery_shows_the_head_that_is_left_or_missing() -> None:
    assert "spare 0.67 m" in said(drawn(delivery=Delivery(name="Beans", level_m=99.6, spare_head_m=0.67)))
    marks = drawn(delivery=Delivery(name="Beans", level_m=102.0, spare_head_m=-0.36))
    assert "0.36 m missing" in said(marks)
    assert "Beans" in said(marks)


def test_ground_without_a_level_shows_nothing() -> None:
    assert drawn(replace(CHAIN, ground_level_m=np.nan)) == []


def test_a_tank_that_nothing_feeds_is_shown_by_itself() -> None:
    words = said(drawn(replace(CHAIN, feeds=())))
    assert "inlet" in words
    assert "eaves" not in words


levels = st.floats(99.0, 104.0)


@given(levels, levels, levels, levels, levels, st.floats(100, 260))
def test_words_of_the_column_never_collide(
    eaves: float, diverter: float, inlet: float, overflow: float, outlet: float, height: float
) -> None:
    feed = replace(FEED, eaves_level_m=eaves, diverter_level_m=diverter, fall_m=diverter - inlet)
    chain = replace(CHAIN, inlet_level_m=inlet, overflow_level_m=overflow, outlet_level_m=outlet, feeds=(feed,))
    marks = drawn(chain, height=height)
    names = ("eaves", "diverter", "inlet", "overflow", "water level", "outlet")
    rows = sorted(mark.y for mark in marks if isinstance(mark, Text) and mark.words in names)
    assert len(rows) == 6
    assert min(np.diff(rows)) >= min(15.5, (height - 22) / 5) - 1e-6
    assert 0 < rows[0] < rows[-1] < height
    assert unknown_roles(marks) == set()
    assert all(np.isfinite(points_in(mark)).all() for mark in marks)


@given(st.lists(st.floats(0, 200), max_size=12), st.floats(1, 30))
def test_spread_places_keep_their_order_and_distance(wanted: list[float], least: float) -> None:
    placed = spread(sorted(wanted), least, 10, 190)
    if len(placed) > 1:
        assert min(np.diff(placed)) >= min(least, 180 / (len(placed) - 1)) - 1e-9
    assert all(10 - 1e-9 <= place <= 190 + 1e-9 for place in placed)
