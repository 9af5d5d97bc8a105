"""What leads to what: named, nearest, or nowhere."""

from __future__ import annotations

import pytest
from shapely import LineString, Point, box

from gardenwater.catch import wiring
from gardenwater.site.things import FirstFlush, Link, Overflow, Tap, WateringLine
from tests.catch.made import diverter, gutter, pipe, roof, site_of, tank


def line(kind: type, *corners: tuple[float, float], **fields: object) -> object:
    return kind(**({"id": kind.kind, "shape": LineString(corners)} | fields))


def test_empty_references_are_taken_as_the_nearest_within_reach() -> None:
    site = site_of(
        roof(),
        roof(box(30, 0, 40, 6), id="roof-2"),
        pipe(1, 0, -0.3),
        pipe(2, 30, -0.3),
        gutter(1, (10, 0), (0.4, 0)),
        diverter(1, 0.3, -0.5),
        FirstFlush(id="first_flush-1", shape=Point(29.8, -0.4)),
        tank(1, -1.5, -1.0),
        tank(2, 28.0, -1.0),
        line(Overflow, (-1.5, -1.7), (-8.0, -9.0)),
        line(WateringLine, (28.0, -1.6), (20.0, -20.0)),
        Tap(id="tap", shape=Point(28.5, -3.0)),
        line(Link, (-1.5, -1.0), (28.0, -1.0)),
    )
    found = wiring(site)
    assert found.roof_of == {"downpipe-1": "roof-1", "downpipe-2": "roof-2", "gutter-1": "roof-1"}
    assert found.pipe_of == {"gutter-1": "downpipe-1", "diverter-1": "downpipe-1", "first_flush-1": "downpipe-2"}
    assert found.tank_of == {"diverter-1": "tank-1", "overflow": "tank-1", "watering_line": "tank-2", "tap": "tank-2"}
    assert found.tanks_of == {"link": ("tank-1", "tank-2")}
    assert found.unjoined == ()
    assert len(found.joined) == 12
    assert "Pipe 1 is taken with House, the nearest: 0.30\u00a0m away." in found.notices(site)


def test_what_is_named_counts_however_far() -> None:
    site = site_of(roof(), roof(box(30, 0, 40, 6), id="roof-2"), pipe(1, 0, 0, roof="roof-2"))
    assert wiring(site).roof_of == {"downpipe-1": "roof-2"}
    assert wiring(site).joined == ()


@pytest.mark.parametrize(
    ("thing", "field"),
    [
        (pipe(1, -1.6, 0), "roof"),
        (gutter(1, (10, -0.7), (0, -0.7), downpipe="downpipe-9"), "roof"),
        (diverter(1, 11.6, 0, tank="tank-9"), "downpipe"),
        (diverter(1, 11, -12, downpipe="downpipe-9"), "tank"),
        (line(Overflow, (0, -12.1), (0, -20)), "tank"),
        (Tap(id="tap", shape=Point(0, -16)), "tank"),
    ],
)
def test_nothing_within_reach_is_said(thing: object, field: str) -> None:
    site = site_of(roof(), pipe(9, 10, 0, roof="roof-1"), tank(9, 0, -10, width_m=1.0), thing)
    found = wiring(site)
    (lost,) = found.unjoined
    assert (lost.thing, lost.field, lost.named) == (thing.id, field, "")
    assert f"no {field} within" in found.notices(site)[-1]


def test_a_name_that_leads_nowhere_is_said_and_not_mended_by_the_nearest() -> None:
    site = site_of(roof(), pipe(1, 0, 0, roof="gone"))
    found = wiring(site)
    assert found.roof_of == {}
    assert found.unjoined[0].named == "gone"
    assert found.notices(site) == ("Pipe 1 names something that is not on the plan.",)


def test_a_name_of_the_wrong_kind_leads_nowhere() -> None:
    assert wiring(site_of(roof(), tank(1, 0, -1), pipe(1, 0, 0, roof="tank-1"))).roof_of == {}


def test_of_two_as_near_the_first_counts() -> None:
    site = site_of(roof(box(0, 0, 5, 5)), roof(box(5, 0, 10, 5), id="roof-2"), pipe(1, 5, 0))
    assert wiring(site).roof_of == {"downpipe-1": "roof-1"}


def test_a_link_never_joins_a_tank_to_itself() -> None:
    site = site_of(tank(1, 0, 0), tank(2, 3, 0), line(Link, (0.1, 0), (0.2, 0)))
    assert wiring(site).tanks_of == {}
    assert wiring(site).unjoined[0].field == "tank_b"


def test_diverters_on_a_pipe_come_highest_first_and_only_with_a_tank() -> None:
    site = site_of(
        roof(),
        pipe(1, 0, 0),
        tank(1, -1, -1),
        diverter(1, 0, 0, height_m=1.0),
        diverter(2, 0, 0, height_m=2.0),
        diverter(3, 0, 0, height_m=3.0, tank="gone"),
    )
    assert [each.id for each in wiring(site).diverters_on(site, "downpipe-1")] == ["diverter-2", "diverter-1"]
