"""What things are called, and what undo says."""

from __future__ import annotations

import pytest
from shapely import Point, box

from gardenwater.site.model import Site
from gardenwater.site.names import called, default_name, free_name, kinds_of, name_of, word_of
from gardenwater.site.things import Bed, LevelPeg, Tank

SITE = Site(
    name="Quillet Bank",
    things=(
        Tank(id="tank-1", name="Shed tank", shape=Point(0, 0)),
        Tank(id="tank-2", name="Tank 1", shape=Point(3, 0)),
        LevelPeg(id="level_peg-1", shape=Point(0, 0)),
        LevelPeg(id="level_peg-2", shape=Point(1, 0)),
        Bed(id="bed-1", shape=box(0, 0, 1, 1)),
    ),
)


def test_a_default_name_is_the_word_and_the_next_free_number() -> None:
    assert default_name(Site(), "tank") == "Tank 1"
    assert default_name(SITE, "tank") == "Tank 2"
    assert default_name(SITE, "keep_dry") == "Keep-dry ground 1"


@pytest.mark.parametrize(
    ("wanted", "name"), [("Porch tank", "Porch tank"), ("Shed tank", "Shed tank 2"), ("Tank 1", "Tank 2"), ("", "")]
)
def test_a_free_name(wanted: str, name: str) -> None:
    assert free_name(SITE, wanted) == name


def test_a_free_name_minds_names_about_to_be_taken() -> None:
    assert free_name(SITE, "Shed tank", frozenset({"Shed tank 2"})) == "Shed tank 3"


def test_a_name_in_a_sentence() -> None:
    assert name_of(SITE, "tank-1") == "Shed tank"
    assert name_of(SITE, "bed-1") == "Bed"
    assert name_of(SITE, "level_peg-2") == "Level peg 2"
    assert name_of(SITE, "") == "Quillet Bank"
    assert name_of(SITE, "gone") == "gone"
    assert called(SITE.thing("bed-1", Bed)) == "Bed"


def test_what_a_reference_takes() -> None:
    assert kinds_of("tank") == ("tank",)
    assert kinds_of("taker") == ("pond", "soakaway", "rain_garden", "swale", "ditch")
    assert (word_of("first_flush"), word_of("taker")) == ("first-flush device", "taker of overflow")
