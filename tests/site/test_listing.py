"""Rows of a table with a number each, held as words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString

from gardenwater.errors import EditError, InputError
from gardenwater.site import edits
from gardenwater.site.listing import items_of, text_of
from gardenwater.site.model import Site
from gardenwater.site.things import WateringLine
from gardenwater.tables import table

KEYS = st.sampled_from([row.key for row in table("line_fittings")])


@given(st.lists(st.tuples(KEYS, st.integers(1, 50)), max_size=6))
def test_what_was_listed_is_read_again(items: list[tuple[str, int]]) -> None:
    assert items_of(text_of(items)) == tuple((key, float(number)) for key, number in items)


@pytest.mark.parametrize("text", ["elbow", "elbow two", "3", "elbow nan", "; elbow"])
def test_words_that_are_no_list_are_refused(text: str) -> None:
    with pytest.raises(InputError, match="no row with its number"):
        items_of(text)


def line_of(**fields: object) -> WateringLine:
    site = edits.put(Site(), WateringLine(id="line-1", shape=LineString([(0, 0), (9, 0)])))
    return edits.change(site, "line-1", **fields).thing("line-1", WateringLine)


def test_named_fittings_make_the_loss() -> None:
    # end 1.0, two elbows of 0.72, a ball valve of 0.07, a sharp inlet of 0.5
    assert line_of(fittings="sharp-inlet 1; ball-valve 1; elbow 2").fittings_k == pytest.approx(3.01)
    tap = line_of(fittings="sharp-inlet 1", end="tap-over-can")
    assert tap.fittings_k == pytest.approx(9.0)
    assert tap.lift_m == 0.45
    assert line_of(fittings="elbow 1", fittings_k=7.0).fittings_k == 7.0  # what was measured stands


def test_the_wall_and_the_emitters_have_their_companions() -> None:
    assert line_of(wall="old-plastic").roughness_mm == 0.05
    drip = line_of(end="low-head-drip", emitters=30)
    # 30 of 4 L/h at 10 m; at the least head of 1 m each gives 4 / sqrt(10) = 1.265 L/h
    assert line_of(emitters=30, least_head_m=1.0).wanted_l_min == pytest.approx(30 * 1.2649 / 60, abs=1e-3)
    assert drip.least_head_m == 1.0


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"fittings": "whistle 2"}, "not in its table"),
        ({"fittings": "elbow 0"}, "Fittings is"),
        ({"pieces": "pe-32"}, "no row with its number"),
        ({"pieces": "pe-32 5000"}, "Pieces before the last is"),
    ],
)
def test_what_cannot_be_listed_is_refused(fields: dict[str, str], words: str) -> None:
    with pytest.raises(EditError, match=words):
        line_of(**fields)
