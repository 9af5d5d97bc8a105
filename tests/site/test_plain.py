"""Things through JSON and back, without loss; and what is said of JSON that is none."""

from __future__ import annotations

import contextlib
import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point, Polygon, box

from gardenwater.errors import EditError, GardenwaterError, InputError
from gardenwater.site import plain
from gardenwater.site.things import Bed, Tank, TankForm, Thing
from tests.strategies import things


def through_json(value: Any) -> Any:
    return json.loads(json.dumps(value, allow_nan=False))


@given(things())
def test_a_thing_comes_back_the_same(thing: Thing) -> None:
    assert plain.thing_from_plain(through_json(plain.thing_to_plain(thing))) == thing


def test_a_thing_in_plain_values_is_what_a_person_expects() -> None:
    told = plain.thing_to_plain(Tank(id="tank-1", name="Butt", shape=Point(1.5, 2.0), form=TankForm.BOX))
    assert (told["kind"], told["id"], told["name"], told["form"]) == ("tank", "tank-1", "Butt", "box")
    assert told["shape"] == {"type": "Point", "coordinates": [1.5, 2.0]}
    assert type(told["form"]) is str
    hole = Polygon(box(0, 0, 3, 3).exterior, [box(1, 1, 2, 2).exterior])
    assert len(plain.shape_to_plain(hole)["coordinates"]) == 2
    assert plain.shape_to_plain(LineString([(0, 0), (1, 2)]))["coordinates"] == [[0.0, 0.0], [1.0, 2.0]]


def test_fields_that_are_missing_take_their_usual_value() -> None:
    told = {"kind": "tank", "id": "tank-1", "shape": {"type": "Point", "coordinates": [1, 2]}}
    assert plain.thing_from_plain(told) == Tank(id="tank-1", shape=Point(1, 2))


GOOD = plain.thing_to_plain(Bed(id="bed-1", shape=box(0, 0, 2, 2)))


@pytest.mark.parametrize(
    ("told", "error", "what"),
    [
        (None, InputError, "no kind of thing"),
        ([], InputError, "no kind of thing"),
        ({}, InputError, "no kind of thing"),
        ({**GOOD, "kind": "volcano"}, InputError, "no kind of thing 'volcano'"),
        ({**GOOD, "kind": ["bed"]}, InputError, "no kind of thing"),
        ({**GOOD, "colour": "red"}, InputError, 'There is no field "colour"'),
        ({"kind": "bed", "id": "bed-1"}, InputError, "A field is missing"),
        ({"kind": "bed", "shape": GOOD["shape"]}, InputError, "A field is missing"),
        ({**GOOD, "shape": None}, InputError, "It is no shape"),
        ({**GOOD, "shape": 3}, InputError, "It is no shape"),
        ({**GOOD, "shape": {}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Point"}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Point", "coordinates": ["a", "b"]}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Point", "coordinates": [1, float("nan")]}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Point", "coordinates": [1, 10**400]}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Star", "coordinates": [1, 2]}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "Polygon", "coordinates": [[[0, 0], [1, 1]]]}}, InputError, "It is no shape"),
        ({**GOOD, "shape": {"type": "MultiPoint", "coordinates": [[1, 2]]}}, InputError, "It is a MultiPoint"),
        ({**GOOD, "shape": {"type": "Point", "coordinates": [1, 2]}}, EditError, "not an outline"),
        ({**GOOD, "raised_m": 9.0}, EditError, "Raised by is 9"),
        ({**GOOD, "crop": "gold"}, EditError, 'Crop is "gold"'),
        ({**GOOD, "name": 5}, EditError, "Name is not words"),
        ({**GOOD, "locked": "no"}, EditError, "Locked is neither yes nor no"),
        ({**GOOD, "id": 5}, EditError, "id cannot be used"),
        ({**GOOD, "raised_m": 10**400}, EditError, "Raised by is no number"),
    ],
)
def test_what_is_no_thing_is_refused_with_words(told: Any, error: type[GardenwaterError], what: str) -> None:
    with pytest.raises(error) as refused:
        plain.thing_from_plain(told)
    assert what in refused.value.what.replace("\u00a0", " ")
    assert refused.value.where
    assert refused.value.mend


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=8,
)


@given(st.sampled_from(sorted(GOOD)), _JSON)
def test_a_field_with_any_value_is_taken_or_refused_and_never_a_crash(name: str, value: Any) -> None:
    with contextlib.suppress(GardenwaterError):
        thing = plain.thing_from_plain({**GOOD, name: value})
        assert plain.thing_from_plain(through_json(plain.thing_to_plain(thing))) == thing
