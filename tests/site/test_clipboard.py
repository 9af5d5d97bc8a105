"""Copy and paste, within a site and between two."""

from __future__ import annotations

import dataclasses
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Point, box

from gardenwater.errors import EditError, InputError
from gardenwater.site import clipboard, edits
from gardenwater.site.clipboard import Clip
from gardenwater.site.fields import references
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tank, Tap, Thing, WateringLine
from gardenwater.site.validate import check_site
from tests.strategies import sites

TANK = Tank(id="tank-1", name="Shed tank", shape=Point(2, 2))
TAP = Tap(id="tap-1", name="Yard tap", shape=Point(2.7, 2), tank="tank-1", locked=True)
LINE = WateringLine(id="watering_line-1", shape=LineString([(2, 2), (8, 2)]), tank="tank-1")
BED = Bed(id="bed-1", shape=box(8, 0, 12, 4), deliver_x_m=9.0, deliver_y_m=1.0)
SITE = Site(things=(TANK, TAP, LINE, BED))


def pasted(before: Site, after: Site) -> list[Thing]:
    assert after.things[: len(before.things)] == before.things
    return [thing for thing in after if thing.id not in before]


def test_references_inside_the_clip_lead_to_the_copies() -> None:
    after = clipboard.paste(SITE, clipboard.copy(SITE, ["tank-1", "tap-1", "watering_line-1"]))
    assert [(thing.id, getattr(thing, "tank", None)) for thing in pasted(SITE, after)] == [
        ("tank-2", None),
        ("tap-2", "tank-2"),
        ("watering_line-2", "tank-2"),
    ]


def test_references_outside_the_clip_are_kept_where_the_thing_is() -> None:
    clip = clipboard.copy(SITE, "tap-1")
    (tap,) = pasted(SITE, clipboard.paste(SITE, clip))
    assert isinstance(tap, Tap)
    assert tap.tank == "tank-1"
    (lone,) = pasted(Site(), clipboard.paste(Site(), clip))
    assert isinstance(lone, Tap)
    assert lone.tank == ""


def test_the_same_id_on_another_site_is_another_thing() -> None:
    other = Site(things=(Tank(id="tank-1", name="Butt", shape=Point(0, 0)),))
    (tap,) = pasted(other, clipboard.paste(other, clipboard.copy(SITE, "tap-1")))
    assert isinstance(tap, Tap)
    assert tap.tank == ""


def test_things_keep_their_order_and_come_once() -> None:
    clip = clipboard.copy(SITE, ["bed-1", "tank-1", "bed-1"])
    assert [thing.id for thing in clip.things] == ["tank-1", "bed-1"]
    assert len(clip) == 2
    assert clip.outside == ()


def test_names_stay_different_and_copies_are_unlocked() -> None:
    twice = clipboard.paste(clipboard.paste(SITE, clipboard.copy(SITE, "tap-1")), clipboard.copy(SITE, "tap-1"))
    taps = twice.of(Tap)
    assert [tap.name for tap in taps] == ["Yard tap", "Yard tap 2", "Yard tap 3"]
    assert [tap.locked for tap in taps] == [True, False, False]


def test_two_of_one_name_in_a_clip_get_two_names() -> None:
    two = edits.put(SITE, dataclasses.replace(TANK, id="tank-2", shape=Point(5, 5)))
    after = clipboard.paste(two, clipboard.copy(two, ["tank-1", "tank-2"]))
    assert [tank.name for tank in after.of(Tank)] == ["Shed tank", "Shed tank", "Shed tank 2", "Shed tank 3"]


def test_at_is_where_the_middle_comes_to() -> None:
    clip = clipboard.copy(SITE, ["tank-1", "bed-1"])
    assert clip.middle == (7.0, 2.0)
    tank, bed = pasted(SITE, clipboard.paste(SITE, clip, (107.0, 52.0)))
    assert isinstance(bed, Bed)
    assert tank.shape == Point(102, 52)
    assert bed.shape.bounds == (108.0, 50.0, 112.0, 54.0)
    assert (bed.deliver_x_m, bed.deliver_y_m) == (109.0, 51.0)


def test_without_a_place_things_come_where_they_were() -> None:
    (tank,) = pasted(Site(), clipboard.paste(Site(), clipboard.copy(SITE, "tank-1")))
    assert tank.shape == TANK.shape


def test_an_empty_clip_changes_nothing() -> None:
    assert clipboard.paste(SITE, clipboard.copy(SITE, ())) is SITE
    assert clipboard.paste(SITE, Clip(())) is SITE


def test_what_is_not_there_cannot_be_copied() -> None:
    with pytest.raises(EditError, match="No thing has the id 'gone'"):
        clipboard.copy(SITE, "gone")


def test_a_place_that_is_none_is_refused() -> None:
    with pytest.raises(EditError, match="not on the plan"):
        clipboard.paste(SITE, clipboard.copy(SITE, "tank-1"), (float("nan"), 0.0))


@given(sites(most_things=8), st.data())
@settings(max_examples=30)
def test_a_clip_comes_through_words_unchanged(site: Site, data: st.DataObject) -> None:
    ids = data.draw(
        st.lists(st.sampled_from([thing.id for thing in site]), unique=True) if site.things else st.just([])
    )
    clip = clipboard.copy(site, ids)
    assert Clip.from_text(clip.to_text()) == clip


@given(sites(most_things=8), sites(most_things=8), st.data())
@settings(max_examples=30)
def test_what_is_pasted_is_a_whole_site_and_the_same_things(ours: Site, theirs: Site, data: st.DataObject) -> None:
    ids = data.draw(
        st.lists(st.sampled_from([thing.id for thing in ours]), unique=True) if ours.things else st.just([])
    )
    clip = clipboard.copy(ours, ids)
    after = clipboard.paste(theirs, clip)
    check_site(after)
    news = pasted(theirs, after)
    for old, new in zip(clip.things, news, strict=True):
        own = {"id": old.id, "name": old.name, "locked": old.locked}
        hung = {name: getattr(old, name) for name in references(type(old))}
        assert dataclasses.replace(new, **own, **hung) == old


@pytest.mark.parametrize(
    "words", ["", "hello", "[]", "{}", "null", '{"what": "other"}', "[" * 100_000, '{"what": 1, "things": []}']
)
def test_words_that_are_no_clip_are_refused(words: str) -> None:
    with pytest.raises(InputError, match="no things of a garden") as refused:
        Clip.from_text(words)
    assert refused.value.mend


def clip_with(**changes: object) -> str:
    return json.dumps({**json.loads(clipboard.copy(SITE, ["tank-1"]).to_text()), **changes})


@pytest.mark.parametrize("version", [0, 2, "1", None])
def test_a_clip_of_another_version_is_refused(version: object) -> None:
    with pytest.raises(InputError, match="another version"):
        Clip.from_text(clip_with(version=version))


def test_a_clip_with_wrong_things_is_refused() -> None:
    tank = json.loads(clipboard.copy(SITE, ["tank-1"]).to_text())["things"][0]
    with pytest.raises(InputError, match="same id"):
        Clip.from_text(clip_with(things=[tank, tank]))
    with pytest.raises(EditError, match="Stand height is 9"):
        Clip.from_text(clip_with(things=[{**tank, "stand_height_m": 9.0}]))
    assert Clip.from_text(clip_with(things="none", outside=[3, {"id": "x"}])) == Clip(())
