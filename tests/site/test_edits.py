"""Edits give a new site and leave the old one as it is."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import pytest
from shapely import LineString, Point, Polygon, box

from gardenwater.errors import EditError
from gardenwater.site import edits
from gardenwater.site.fields import specs
from gardenwater.site.model import Contour, GroundHandle, GroundKind, Settings, Sight, Site, Survey, Underlay, UsualLine
from gardenwater.site.things import (
    BY_KIND,
    Bed,
    Diverter,
    Downpipe,
    Gutter,
    LevelPeg,
    Roof,
    Tank,
    TankForm,
    Tap,
    WateringLine,
)
from gardenwater.tables import table
from gardenwater.units import UnitSystem

TANK = Tank(id="tank-1", name="Shed tank", shape=Point(12.0, 1.0))
TAP = Tap(id="tap-1", shape=Point(30.0, 30.0), tank="tank-1")
BED = Bed(id="bed-1", name="Beans", shape=box(20, 0, 24, 2))
PEG = LevelPeg(id="level_peg-1", shape=Point(0, 0))
SITE = Site(things=(TANK, TAP, BED, PEG))
LOCKED = edits.lock(SITE, "tank-1", locked=True)


def refused(call: Any, *args: Any, **kwargs: Any) -> EditError:
    with pytest.raises(EditError) as caught:
        call(*args, **kwargs)
    assert caught.value.what
    assert caught.value.where
    assert caught.value.mend
    return caught.value


def test_put_adds_new_things_last_and_replaces_known_ones_in_place() -> None:
    roof = Roof(id="roof-1", shape=box(0, 0, 4, 4))
    higher = dataclasses.replace(TANK, stand_height_m=0.5)
    after = edits.put(SITE, roof, higher)
    assert after.things == (higher, TAP, BED, PEG, roof)
    assert SITE.things == (TANK, TAP, BED, PEG)


def test_things_put_together_may_refer_to_each_other_in_any_order() -> None:
    gutter = Gutter(id="gutter-1", shape=LineString([(4, 0), (0, 0)]), roof="roof-1", downpipe="downpipe-1")
    downpipe = Downpipe(id="downpipe-1", shape=Point(0, 0), roof="roof-1")
    after = edits.put(Site(), gutter, downpipe, Roof(id="roof-1", shape=box(0, 0, 4, 4)))
    assert [thing.id for thing in after] == ["gutter-1", "downpipe-1", "roof-1"]


def test_put_settles_what_is_typed_loosely() -> None:
    after = edits.put(Site(), Tank(id="tank-1", name=" Butt ", shape=Point(1, 2, 3), form="box", capacity_l=1500))  # type: ignore[arg-type]
    tank = after.thing("tank-1", Tank)
    assert (tank.name, tank.form, tank.shape.has_z, type(tank.capacity_l)) == ("Butt", TankForm.BOX, False, float)


def test_put_refuses_what_cannot_stand() -> None:
    assert "id is that of Shed tank, a tank" in refused(edits.put, SITE, Bed(id="tank-1", shape=BED.shape)).what
    other = dataclasses.replace(BED, id="bed-2")
    assert "same id" in refused(edits.put, SITE, other, other).what
    assert "There is no tank here" in refused(edits.put, Site(), TAP).what
    assert refused(edits.put, SITE, dataclasses.replace(TANK, stand_height_m=3.0)).where == "Shed tank, Stand height"


def test_an_edit_that_changes_nothing_gives_the_same_site() -> None:
    assert edits.put(SITE, TANK) is SITE
    assert edits.put(SITE) is SITE
    assert edits.change(SITE, "tank-1", stand_height_m=TANK.stand_height_m) is SITE
    assert edits.move(SITE, "tank-1", 0.0, 0.0) is SITE
    assert edits.move(SITE, (), 1.0, 0.0) is SITE
    assert edits.turn(SITE, "bed-1", 360.0) is SITE
    assert edits.turn(SITE, (), 3.0) is SITE
    assert edits.remove(SITE, ()) is SITE
    assert edits.reorder(SITE, "tank-1", to=0) is SITE
    assert edits.raise_(SITE, (), 1.0) is SITE
    assert edits.settings(SITE, can_l=10) is SITE
    assert edits.set_ground(SITE, None) is SITE
    assert edits.set_underlay(SITE, None) is SITE
    assert edits.set_survey(SITE, Survey()) is SITE
    assert edits.rename_site(SITE, "Garden") is SITE


def test_remove_clears_the_references_to_what_is_gone() -> None:
    book = (Sight(spot="A", peg="level_peg-1"), Sight(spot="B"))
    site = SITE.replace(survey=Survey(level_book=book))
    after = edits.remove(site, ["tank-1", "level_peg-1"])
    assert after.things == (dataclasses.replace(TAP, tank=""), BED)
    assert [sight.peg for sight in after.survey.level_book] == ["", ""]
    assert site.survey.level_book == book
    assert edits.remove(site, "bed-1").survey is site.survey


def test_change_gives_each_of_several_things_the_value() -> None:
    two = edits.put(SITE, dataclasses.replace(TANK, id="tank-2", name="Porch tank"))
    after = edits.change(two, ["tank-1", "tank-2"], stand_height_m=0.4, opaque=False)
    assert [(tank.stand_height_m, tank.opaque) for tank in after.of(Tank)] == [(0.4, False)] * 2


def test_change_takes_an_option_by_its_word() -> None:
    assert edits.change(SITE, "tank-1", form="lying").thing("tank-1", Tank).form is TankForm.LYING


def test_change_refuses_fields_that_are_none() -> None:
    error = refused(edits.change, SITE, "tank-1", colour="green")
    assert "A tank has no field 'colour'" in error.what
    assert "stand_height_m" in error.mend
    for field in ("shape", "id", "kind"):
        assert f"no field '{field}'" in refused(edits.change, SITE, "tank-1", **{field: "x"}).what
    assert "no field" in refused(edits.change, SITE, ["tank-1", "bed-1"], stand_height_m=0.3).what
    assert "neither yes nor no" in refused(edits.change, SITE, "tank-1", locked=1).what


def test_an_id_that_no_thing_has_is_refused_by_every_edit() -> None:
    calls = [
        (edits.remove, "gone"),
        (edits.change, "gone"),
        (edits.rename, "gone", "Name"),
        (edits.move, "gone", 1.0, 1.0),
        (edits.turn, "gone", 90.0),
        (edits.reshape, "gone", Point(0, 0)),
        (edits.raise_, "gone", 0.1),
    ]
    for edit, *args in calls:
        assert "No thing has the id 'gone'" in refused(edit, SITE, *args).what
    assert "No thing has the id 'gone'" in refused(edits.reorder, SITE, ["tank-1", "gone"], to=0).what


def test_a_smaller_capacity_pours_out_what_is_over() -> None:
    after = edits.change(SITE, "tank-1", capacity_l=700.0).thing("tank-1", Tank)
    assert (after.capacity_l, after.water_l) == (700.0, 700.0)
    assert edits.change(SITE, "tank-1", capacity_l=1000.0).thing("tank-1", Tank).water_l == TANK.water_l
    both = refused(edits.change, SITE, "tank-1", capacity_l=700.0, water_l=720.0)
    assert both.where == "Shed tank, Water now"


def test_capacity_goes_with_the_height_of_the_overflow() -> None:
    half = edits.change(SITE, "tank-1", overflow_height_m=0.42).thing("tank-1", Tank)
    # a third of 1.26 m holds a third of 1,500 L, and the 750 L in it no longer fit
    assert (half.capacity_l, half.water_l) == pytest.approx((500.0, 500.0))
    assert refused(edits.change, SITE, "tank-1", overflow_height_m="low").where == "Shed tank, Overflow height"
    assert refused(edits.change, SITE, "tank-1", overflow_height_m=0.0).where == "Shed tank, Outlet height"


def test_capacity_takes_the_measure_of_the_tank_when_it_no_longer_fits() -> None:
    slim = edits.change(SITE, "tank-1", width_m=0.8).thing("tank-1", Tank)
    # pi/4 x 0.8^2 x 1.26 m3 = 633 L, and to the next ten
    assert (slim.capacity_l, slim.water_l) == (630.0, 630.0)
    assert edits.change(SITE, "tank-1", width_m=1.3).thing("tank-1", Tank).capacity_l == TANK.capacity_l
    # 1.2 x 1.2 x 1.26 m3 = 1,814 L still fits 1,500 L
    assert edits.change(SITE, "tank-1", form="box").thing("tank-1", Tank).capacity_l == TANK.capacity_l
    assert edits.change(SITE, "tank-1", width_m=0.8, capacity_l=600.0).thing("tank-1", Tank).capacity_l == 600.0
    for field in ("width_m", "length_m"):
        for value in ("wide", -1.0, math.nan):
            assert field[:5] in refused(edits.change, SITE, "tank-1", **{field: value}).where.lower()
    assert refused(edits.change, SITE, "tank-1", form="blob").where == "Shed tank, Form"


def test_one_half_of_a_delivery_spot_brings_the_other() -> None:
    east = edits.change(SITE, "bed-1", deliver_x_m=21.0)
    bed = east.thing("bed-1", Bed)
    assert (bed.deliver_x_m, bed.deliver_y_m) == (21.0, 1.0)
    assert edits.change(SITE, "bed-1", deliver_y_m=0.5).thing("bed-1", Bed).deliver_x_m == 22.0
    north = edits.change(east, "bed-1", deliver_y_m=1.5).thing("bed-1", Bed)
    assert (north.deliver_x_m, north.deliver_y_m) == (21.0, 1.5)
    assert edits.change(east, "bed-1", deliver_x_m=None).thing("bed-1", Bed).deliver_y_m is None


def test_rename_and_lock() -> None:
    assert edits.rename(SITE, "tank-1", "  Butt ").thing("tank-1", Tank).name == "Butt"
    assert LOCKED.thing("tank-1", Tank).locked
    assert edits.lock(LOCKED, "tank-1", locked=False) == SITE
    assert edits.change(LOCKED, "tank-1", stand_height_m=0.4).thing("tank-1", Tank).stand_height_m == 0.4


def test_what_is_locked_stays_where_it_is() -> None:
    for edit, *args in (
        (edits.move, 1.0, 0.0),
        (edits.turn, 90.0),
        (edits.reshape, Point(0, 0)),
        (edits.remove,),
    ):
        error = refused(edit, LOCKED, "tank-1", *args)
        assert (error.what, error.where, error.mend) == ("It is locked.", "Shed tank", "Unlock it first.")


def test_reorder() -> None:
    ids = [thing.id for thing in edits.reorder(SITE, ["bed-1", "tank-1"], to=1)]
    assert ids == ["tap-1", "tank-1", "bed-1", "level_peg-1"]
    assert [thing.id for thing in edits.reorder(SITE, "tank-1", to=3)][-1] == "tank-1"
    assert "no place 4" in refused(edits.reorder, SITE, "tank-1", to=4).what
    assert "no place -1" in refused(edits.reorder, SITE, "tank-1", to=-1).what


def test_move_moves_and_nothing_else() -> None:
    after = edits.move(SITE, ["tank-1", "bed-1"], 1.5, -2.0)
    assert after.thing("tank-1", Tank).shape == Point(13.5, -1.0)
    assert after.thing("bed-1", Bed).shape.equals(box(21.5, -2, 25.5, 0))
    assert (after.get("tap-1"), after.get("level_peg-1")) == (TAP, PEG)


def test_a_delivery_spot_goes_with_its_bed() -> None:
    site = edits.change(SITE, "bed-1", deliver_x_m=21.0, deliver_y_m=1.0)
    bed = edits.move(site, "bed-1", 10.0, 5.0).thing("bed-1", Bed)
    assert (bed.deliver_x_m, bed.deliver_y_m) == (31.0, 6.0)


@pytest.mark.parametrize("number", [math.nan, math.inf])
def test_a_move_by_what_is_no_number_is_refused(number: float) -> None:
    assert "dx_m is no number" in refused(edits.move, SITE, "tank-1", number, 0.0).what
    assert "degrees is no number" in refused(edits.turn, SITE, "tank-1", number).what
    assert "by_m is no number" in refused(edits.raise_, SITE, "tank-1", number).what


def test_turn_is_clockwise_and_turns_bearings() -> None:
    roof = Roof(id="roof-1", shape=box(0, 0, 4, 2), fall_deg=300.0)
    tank = dataclasses.replace(TANK, bearing_deg=350.0)
    after = edits.turn(Site(things=(roof, tank)), ["roof-1", "tank-1"], 90.0, about=(0.0, 0.0))
    turned = after.thing("roof-1", Roof)
    # a quarter turn clockwise sends east (1, 0) to south (0, -1)
    assert turned.shape.equals_exact(Polygon([(2, 0), (0, 0), (0, -4), (2, -4)]), 1e-9, normalize=True)
    assert turned.fall_deg == 30.0
    assert after.thing("tank-1", Tank).bearing_deg == 80.0
    assert after.thing("tank-1", Tank).shape.equals_exact(Point(1.0, -12.0), 1e-9)


def test_turn_is_about_the_middle_of_the_common_box() -> None:
    after = edits.turn(SITE, "bed-1", 90.0).thing("bed-1", Bed)
    assert after.shape.equals_exact(box(21, -1, 23, 3), 1e-9, normalize=True)


def test_four_quarter_turns_bring_everything_back() -> None:
    site = edits.change(SITE, "bed-1", deliver_x_m=21.0, deliver_y_m=1.0)
    after = site
    for _ in range(4):
        after = edits.turn(after, ["bed-1", "tank-1"], 90.0, about=(3.0, 3.0))
    bed = after.thing("bed-1", Bed)
    assert bed.shape.equals_exact(BED.shape, 1e-9)
    assert (bed.deliver_x_m, bed.deliver_y_m) == pytest.approx((21.0, 1.0))
    assert after.thing("tank-1", Tank).bearing_deg == pytest.approx(TANK.bearing_deg)


def test_reshape_takes_a_shape_of_the_same_type() -> None:
    assert edits.reshape(SITE, "bed-1", box(0, 0, 1, 1)).thing("bed-1", Bed).shape == box(0, 0, 1, 1)
    assert "is not an outline" in refused(edits.reshape, SITE, "bed-1", Point(0, 0)).what
    crossing = Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])
    assert "crosses or touches itself" in refused(edits.reshape, SITE, "bed-1", crossing).what
    spot = edits.change(SITE, "bed-1", deliver_x_m=21.0, deliver_y_m=1.0)
    assert "is not an outline" in refused(edits.reshape, spot, "bed-1", None).what


def test_reshape_leaves_out_a_delivery_spot_that_is_no_longer_on_the_bed() -> None:
    site = edits.change(SITE, "bed-1", deliver_x_m=21.0, deliver_y_m=1.0)
    kept = edits.reshape(site, "bed-1", box(20, 0, 22, 2)).thing("bed-1", Bed)
    lost = edits.reshape(site, "bed-1", box(22, 0, 24, 2)).thing("bed-1", Bed)
    assert (kept.deliver_x_m, lost.deliver_x_m, lost.deliver_y_m) == (21.0, None, None)


@pytest.mark.parametrize("kind", BY_KIND)
def test_raise_changes_the_height_of_the_kinds_that_have_one(kind: str) -> None:
    shapes = {"Point": Point(0, 0), "LineString": LineString([(0, 0), (5, 0)]), "Polygon": box(0, 0, 4, 3)}
    thing = BY_KIND[kind](id="x", shape=shapes[BY_KIND[kind].geometry])
    site = Site(things=(thing,))
    name = edits.RAISED_FIELD.get(kind)
    if name is None:
        error = refused(edits.raise_, site, "x", 0.05)
        assert error.what == f"A {thing.word.lower()} has no height to raise."
        return
    assert name in specs(type(thing))
    raised = edits.raise_(site, "x", 0.05)
    assert getattr(raised.get("x"), name) == pytest.approx(getattr(thing, name) + 0.05)
    assert edits.raise_(raised, "x", -0.05) == site


def test_raise_stops_at_the_ends_of_the_range() -> None:
    top = edits.raise_(SITE, "tank-1", 9.0)
    assert top.thing("tank-1", Tank).stand_height_m == 1.5
    assert edits.raise_(top, "tank-1", 0.05) is top
    assert edits.raise_(SITE, "tank-1", -9.0).thing("tank-1", Tank).stand_height_m == 0.0


def test_raising_step_by_step_gathers_no_dust() -> None:
    site = SITE
    for _ in range(7):
        site = edits.raise_(site, "tank-1", 0.1)
    assert site.thing("tank-1", Tank).stand_height_m == 0.9


def test_settings() -> None:
    after = edits.settings(SITE, can_l=9, units="us", latitude_deg=51.5)
    assert (after.settings.can_l, after.settings.units, after.settings.latitude_deg) == (9.0, UnitSystem.US, 51.5)
    assert type(after.settings.can_l) is float
    assert refused(edits.settings, SITE, can_l=0.0).where == "Settings, Can"
    assert "There is no field 'colour'" in refused(edits.settings, SITE, colour=1).what
    assert "There is no field 'line'" in refused(edits.settings, SITE, line=None).what


def test_usual_line() -> None:
    after = edits.usual_line(SITE, bore="hose-13", lift_m=1)
    assert (after.settings.line.bore, after.settings.line.lift_m) == ("hose-13", 1.0)
    assert refused(edits.usual_line, SITE, bore="straw").where == "Usual line, Bore"
    assert "There is no field 'tank'" in refused(edits.usual_line, SITE, tank="").what


def test_another_end_of_a_line_brings_its_fittings() -> None:
    tap = table("line_ends").row("tap-over-can")
    line = WateringLine(id="watering_line-1", shape=LineString([(0, 0), (5, 0)]))
    after = edits.change(Site(things=(line,)), line.id, end="tap-over-can").thing(line.id, WateringLine)
    assert (after.fittings_k, after.lift_m, after.least_head_m) == (tap.fittings_k, tap.lift_m, tap.least_head_m)
    usual = edits.usual_line(SITE, end="tap-over-can").settings.line
    assert (usual.fittings_k, usual.lift_m) == (tap.fittings_k, tap.lift_m)
    own = dataclasses.replace(line, fittings_k=4.0)
    kept = edits.change(Site(things=(own,)), line.id, end="tap-over-can", lift_m=0.6).thing(line.id, WateringLine)
    assert (kept.fittings_k, kept.lift_m) == (4.0, 0.6)
    assert refused(edits.change, Site(things=(line,)), line.id, end="geyser").where == "Watering line, End"


def test_a_new_line_has_the_fittings_of_its_end() -> None:
    line = UsualLine()
    row = table("line_ends").row(line.end)
    assert (line.fittings_k, line.lift_m, line.least_head_m) == (row.fittings_k, row.lift_m, row.least_head_m)


def test_errors_speak_the_units_of_the_site() -> None:
    site = edits.settings(SITE, units=UnitSystem.US)
    assert refused(edits.change, site, "tank-1", stand_height_m=2.0).mend.replace("\u00a0", " ") == "Give 0 to 4.92 ft."


GROUND = GroundHandle(
    digest="abc",
    source="slope.tif",
    kind=GroundKind.BARE_EARTH,
    rows=2,
    cols=2,
    transform=(1.0, 0.0, 0.0, 0.0, -1.0, 2.0),
    crs="EPSG:2154",
    payload=None,
)


def test_the_first_ground_brings_its_map_reference() -> None:
    placed = edits.set_ground(SITE, GROUND)
    assert (placed.ground, placed.crs) == (GROUND, "EPSG:2154")
    assert edits.set_ground(placed, None).crs == "EPSG:2154"
    bare = dataclasses.replace(GROUND, crs="")
    assert edits.set_ground(placed, bare).crs == "EPSG:2154"


def test_a_ground_with_another_map_reference_is_refused_unless_told() -> None:
    site = SITE.replace(crs="EPSG:28355")
    assert "another map reference" in refused(edits.set_ground, site, GROUND).what
    assert edits.set_ground(site, GROUND, crs="EPSG:2154").crs == "EPSG:2154"


def test_underlay() -> None:
    picture = Underlay(
        digest="d", source="p.png", rows=2, cols=2, transform=(1.0, 0.0, 0.0, 0.0, -1.0, 0.0), payload=None
    )
    assert edits.set_underlay(SITE, picture).underlay is picture
    for opacity in (-0.1, 1.1, math.nan):
        assert "Opacity" in refused(edits.set_underlay, SITE, dataclasses.replace(picture, opacity=opacity)).what


def test_survey() -> None:
    survey = Survey(contours=(Contour(LineString([(0, 0), (1, 1)]), 99.0),), level_book=(Sight(spot="A", peg=PEG.id),))
    assert edits.set_survey(SITE, survey).survey is survey
    assert refused(edits.set_survey, Site(), survey).where == "Level book, row 1, Peg"


def test_name_and_log_of_the_site() -> None:
    after = edits.rename_site(SITE, " Quillet Bank ", about="A slope.\nInvented.")
    assert (after.name, after.about) == ("Quillet Bank", "A slope.\nInvented.")
    assert edits.rename_site(after, "Other").about == after.about
    assert "no name" in refused(edits.rename_site, SITE, " ").what
    assert refused(edits.rename_site, SITE, "a\nb").where == "Site, Name"
    logged = edits.add_log(SITE, when="2024-05-03T18:00:00+02:00", what=" Cleaned the filter. ")
    assert [entry.what for entry in logged.log] == ["Cleaned the filter."]
    assert "Nothing was written" in refused(edits.add_log, SITE, when="2024-05-03", what=" ").what
    assert refused(edits.add_log, SITE, when="a\nb", what="x").where == "Log, When"


def test_a_failing_edit_of_several_things_changes_none() -> None:
    small = dataclasses.replace(TANK, id="tank-2", depth_m=1.0, inlet_height_m=0.9, overflow_height_m=0.9)
    two = edits.put(SITE, dataclasses.replace(small, capacity_l=1000.0))
    before = two.things
    refused(edits.change, two, ["tank-1", "tank-2"], overflow_height_m=1.2)
    assert two.things is before


def test_settings_are_a_value_of_their_own() -> None:
    assert SITE.settings == Settings()


def test_a_diverter_hangs_on_what_there_is() -> None:
    pipe = Downpipe(id="downpipe-1", shape=Point(0, 0))
    diverter = Diverter(id="diverter-1", shape=Point(0, 0), downpipe="downpipe-1", tank="tank-1")
    site = edits.put(SITE, pipe, diverter)
    assert edits.remove(site, ["tank-1", "downpipe-1"]).thing("diverter-1", Diverter) == dataclasses.replace(
        diverter, tank="", downpipe=""
    )
