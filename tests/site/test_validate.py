"""What cannot be taken is refused, with the thing, the field and the mend."""

from __future__ import annotations

import dataclasses
import math
import warnings
from typing import Any

import pytest
from hypothesis import given, settings
from shapely import LineString, MultiPolygon, Point, Polygon, box

from gardenwater.errors import EditError
from gardenwater.site.fields import references, specs
from gardenwater.site.model import Contour, Settings, Sight, Site, Survey, UsualLine
from gardenwater.site.settle import settled
from gardenwater.site.things import (
    BY_KIND,
    KINDS,
    TRAY_GROUPS,
    Bed,
    Downpipe,
    LevelPeg,
    Link,
    Overflow,
    Path,
    Pond,
    Roof,
    Swale,
    Tank,
    TankForm,
    Tap,
    Thing,
    Wall,
)
from gardenwater.site.validate import check, check_settings, check_site, errors_of
from gardenwater.units import UnitSystem
from tests.strategies import sites, things

SHAPES = {"Point": Point(3, 4), "LineString": LineString([(0, 0), (5, 0)]), "Polygon": box(0, 0, 4, 3)}
TANK = Tank(id="tank-1", name="Shed tank", shape=Point(3, 4))
BED = Bed(id="bed-1", name="Beans", shape=box(0, 0, 4, 3))


def plain_words(error: EditError) -> tuple[str, str, str]:
    return tuple(part.replace("\u00a0", " ") for part in (error.where, error.what, error.mend))  # type: ignore[return-value]


def refusal(thing: Thing, system: UnitSystem = UnitSystem.METRIC) -> tuple[str, str, str]:
    with pytest.raises(EditError) as refused:
        check(thing, system=system)
    return plain_words(refused.value)


def usual(kind: type[Thing], **fields: Any) -> Thing:
    return kind(id=f"{kind.kind}-1", shape=SHAPES[kind.geometry], **fields)


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_can_be_drawn_with_its_usual_fields(kind: type[Thing]) -> None:
    check(usual(kind))
    assert BY_KIND[kind.kind] is kind
    assert sum(kind.kind in group for group in TRAY_GROUPS) == 1


@pytest.mark.parametrize("kind", [*KINDS, Settings, UsualLine])
def test_every_field_has_a_label_and_refers_to_what_there_is(kind: type[Any]) -> None:
    for name, spec in specs(kind).items():
        assert spec.label
        assert spec.label[0].isupper(), name
        assert spec.least <= spec.most
        assert not spec.refers or spec.refers == "taker" or spec.refers in BY_KIND
        assert (spec.caution_over is None) == (not spec.caution)
    assert set(references(kind)) == {name for name, spec in specs(kind).items() if spec.refers}


@pytest.mark.parametrize("kind", KINDS)
def test_every_number_is_held_to_its_range(kind: type[Thing]) -> None:
    for name, spec in specs(kind).items():
        if spec.quantity is None:
            continue
        step = max(abs(spec.least), abs(spec.most)) * 0.01
        for value in (spec.least - step, spec.most + step):
            where, what, mend = refusal(usual(kind, **{name: value}))
            assert where == f"{kind.word}, {spec.label}"
            assert what.startswith(f"{spec.label} is ")
            assert mend.startswith("Give ")
        for value in (math.nan, math.inf, "1", True, 10**400, None):
            if value is None and spec.optional:
                check(usual(kind, **{name: value}))
                continue
            where, what, _ = refusal(usual(kind, **{name: value}))
            assert (where, what) == (f"{kind.word}, {spec.label}", f"{spec.label} is no number.")


@pytest.mark.parametrize("kind", KINDS)
def test_every_choice_is_held_to_its_rows_or_members(kind: type[Thing]) -> None:
    for name, spec in specs(kind).items():
        if spec.table or spec.options:
            for value in ("no such choice", 3, None):
                where, what, mend = refusal(usual(kind, **{name: value}))
                assert where == f"{kind.word}, {spec.label}"
                assert str(value) in what
                assert mend.startswith('Choose one of: "')


@pytest.mark.parametrize("kind", KINDS)
def test_flags_and_words_are_held_to_what_they_are(kind: type[Thing]) -> None:
    declared = {field.name: field.default for field in dataclasses.fields(kind)}
    for name, spec in specs(kind).items():
        if isinstance(declared[name], bool):
            assert refusal(usual(kind, **{name: 1}))[1:] == (
                f"{spec.label} is neither yes nor no.",
                "Choose yes or no.",
            )
        elif isinstance(declared[name], str) and not (spec.table or spec.options):
            assert "is not words" in refusal(usual(kind, **{name: 5}))[1]
            assert "cannot be shown" in refusal(usual(kind, **{name: "a\0b"}))[1]
            assert "cannot be shown" in refusal(usual(kind, **{name: "a\ud800"}))[1]
            longest = 20_000 if name == "note" else 200
            assert refusal(usual(kind, **{name: "x" * (longest + 1)}))[2] == f"Give at most {longest}."


def test_a_note_may_have_lines_and_a_name_may_not() -> None:
    check(dataclasses.replace(TANK, note="one\ntwo\tthree"))
    for name in ("one\ntwo", "one\u2028two", "one\x0btwo"):
        assert "cannot be shown" in refusal(dataclasses.replace(TANK, name=name))[1]


@pytest.mark.parametrize("thing_id", ["", " ", "tank 1", "tank\n1", "t" * 201])
def test_an_id_is_one_short_word(thing_id: str) -> None:
    assert refusal(dataclasses.replace(TANK, id=thing_id))[:2] == ("Shed tank, Id", "Its id cannot be used.")


def line_into_nowhere() -> LineString:
    """shapely warns of the NaN and makes the line all the same."""
    with warnings.catch_warnings(action="ignore"):
        return LineString([(1, 1), (1, math.nan)])


CROSSING = Polygon([(0, 0), (2, 2), (2, 0), (0, 2)])


@pytest.mark.parametrize(
    ("kind", "shape", "what", "mend"),
    [
        (Tank, LineString([(0, 0), (1, 1)]), "is not a spot", "Give one point."),
        (Tank, Point(), "is not a spot", "Give one point."),
        (Tank, "POINT (1 2)", "is not a spot", "Give one point."),
        (Tank, None, "is not a spot", "Give one point."),
        (Tank, Point(math.nan, 1), "A corner is not on the plan.", "finite numbers"),
        (Tank, Point(math.inf, 1), "A corner is not on the plan.", "finite numbers"),
        (Tank, Point(2e8, 1), "A corner is not on the plan.", "finite numbers"),
        (Tank, Point(1, 2, 3), "levels of their own", "Give x and y only"),
        (Wall, Point(1, 2), "is not a line", "two or more points"),
        (Wall, LineString(), "is not a line", "two or more points"),
        (Wall, LineString([(1, 1), (1, 1)]), "all lie on one spot", "two or more points apart"),
        (Wall, line_into_nowhere(), "A corner is not on the plan.", "finite numbers"),
        (Bed, Polygon(), "is not an outline", "three or more corners"),
        (Bed, MultiPolygon([box(0, 0, 1, 1), box(2, 2, 3, 3)]), "is not an outline", "three or more corners"),
        (Bed, CROSSING, "crosses or touches itself near 1.00, 1.00", "Move a corner"),
        (Bed, Polygon([(0, 0), (1, 0), (2, 0)]), "crosses or touches itself|holds no ground", ""),
        (Bed, box(0, 0, 0.005, 0.005), "holds no ground", "three or more corners apart"),
        (Bed, Polygon(box(0, 0, 4, 4).exterior, [box(6, 6, 7, 7).exterior]), "A hole", "Take the hole away."),
        (Bed, Polygon(box(0, 0, 4, 4).exterior, [box(0, 0, 4, 2).exterior]), "hole|itself", ""),
    ],
)
def test_a_shape_that_cannot_be_drawn_is_refused(kind: type[Thing], shape: Any, what: str, mend: str) -> None:
    where, said, told = refusal(kind(id="x-1", name="It", shape=shape))
    assert where in {"It, Place", "It, Outline"}
    assert any(words in said for words in what.split("|")), said
    assert mend in told


def test_a_line_may_cross_itself_and_an_outline_may_have_a_hole() -> None:
    check(Path(id="path-1", shape=LineString([(0, 0), (2, 2), (2, 0), (0, 2)])))
    check(Roof(id="roof-1", shape=Polygon(box(0, 0, 9, 9).exterior, [box(3, 3, 6, 6).exterior])))


def test_what_is_no_kind_of_thing_is_refused() -> None:
    with pytest.raises(EditError, match="Thing is no kind of thing"):
        check(Thing(id="x", shape=Point(0, 0)))


@pytest.mark.parametrize(
    ("fields", "label", "what", "mend"),
    [
        (
            {"depth_m": 1.0},
            "Overflow height",
            "Overflow height, 1.26 m, is over the inside height, 1 m.",
            "Give at most 1 m, or change the inside height first.",
        ),
        (
            {"inlet_height_m": 1.4},
            "Inlet height",
            "Inlet height, 1.4 m, is over the inside height, 1.35 m.",
            "Give at most 1.35 m, or change the inside height first.",
        ),
        (
            {"outlet_height_m": 1.26},
            "Outlet height",
            "Outlet height, 1.26 m, is not below the overflow height, 1.26 m.",
            "Give less than 1.26 m, or change the overflow height first.",
        ),
        (
            {"outlet_height_m": 1.3},
            "Outlet height",
            "Outlet height, 1.3 m, is over the overflow height, 1.26 m.",
            "Give less than 1.26 m, or change the overflow height first.",
        ),
        (
            {"water_l": 1501.0},
            "Water now",
            "Water now, 1501 L, is over the capacity, 1500 L.",
            "Give at most 1500 L, or change the capacity first.",
        ),
        # pi/4 x 1.2^2 x 1.26 m3 = 1,425 L
        (
            {"capacity_l": 15_000.0},
            "Capacity",
            "A tank of this size holds about 1,430 L up to its overflow, not 15,000 L.",
            "Give about 1,430 L, or change its width, length and overflow height first.",
        ),
        (
            {"capacity_l": 100.0, "water_l": 50.0},
            "Capacity",
            "A tank of this size holds about 1,430 L up to its overflow, not 100 L.",
            "Give about 1,430 L, or change its width, length and overflow height first.",
        ),
    ],
)
def test_sizes_of_a_tank_agree(fields: dict[str, float], label: str, what: str, mend: str) -> None:
    assert refusal(dataclasses.replace(TANK, **fields)) == (f"Shed tank, {label}", what, mend)


def test_a_box_is_held_to_its_own_ground() -> None:
    """1.2 x 1.0 x 1.0 m, the pallet tank of 1,000 L (trade facts, section 10)."""
    box_tank = dataclasses.replace(
        TANK,
        form=TankForm.BOX,
        length_m=1.0,
        depth_m=1.0,
        inlet_height_m=1.0,
        overflow_height_m=0.9,
        capacity_l=1000.0,
    )
    check(box_tank)
    check(dataclasses.replace(box_tank, form=TankForm.LYING))
    assert "holds about 540 L" in refusal(dataclasses.replace(box_tank, length_m=0.5))[1]


def test_a_drowned_inlet_is_taken() -> None:
    check(dataclasses.replace(TANK, inlet_height_m=0.1))


def test_words_are_in_the_units_of_the_site() -> None:
    # 1.26 m = 4.133858268 ft, 1 m = 3.280839895 ft
    what = refusal(dataclasses.replace(TANK, depth_m=1.0), UnitSystem.US)[1]
    assert what == "Overflow height, 4.133858268 ft, is over the inside height, 3.280839895 ft."
    assert refusal(dataclasses.replace(TANK, stand_height_m=2.0), UnitSystem.US)[2] == "Give 0 to 4.92 ft."


def test_a_link_joins_two_tanks() -> None:
    link = Link(id="link-1", shape=SHAPES["LineString"], tank_a="tank-1", tank_b="tank-1")
    assert refusal(link)[:2] == ("Link, To", "It joins a tank to itself.")


def test_a_pond_has_no_more_room_than_depth() -> None:
    pond = Pond(id="pond-1", shape=SHAPES["Polygon"], depth_m=0.3, freeboard_m=0.4)
    assert refusal(pond)[1] == "Room above the water, 0.4 m, is over the depth, 0.3 m."


@pytest.mark.parametrize(("x", "y"), [(1.0, None), (None, 1.0)])
def test_a_delivery_spot_has_two_halves(x: float | None, y: float | None) -> None:
    where, what, _ = refusal(dataclasses.replace(BED, deliver_x_m=x, deliver_y_m=y))
    assert where == f"Beans, Delivery spot, {'north' if y is None else 'east'}"
    assert what == "Only one half of the delivery spot is given."


def test_a_delivery_spot_lies_on_its_bed() -> None:
    check(dataclasses.replace(BED, deliver_x_m=4.0, deliver_y_m=3.0))
    assert refusal(dataclasses.replace(BED, deliver_x_m=4.1, deliver_y_m=3.0))[1] == (
        "The delivery spot is not on the bed."
    )


@pytest.mark.parametrize(
    ("thing", "where", "what", "mend"),
    [
        (
            Tap(id="tap-1", shape=Point(0, 0), tank="gone"),
            "Tap, From tank",
            "There is no tank here.",
            "Choose a tank, or leave it empty.",
        ),
        (
            Tap(id="tap-1", name="Yard tap", shape=Point(0, 0), tank="bed-1"),
            "Yard tap, From tank",
            "Beans is no tank.",
            "Choose a tank, or leave it empty.",
        ),
        (
            Overflow(id="overflow-1", shape=SHAPES["LineString"], taker="bed-1"),
            "Overflow, Ends in",
            "Beans is no taker of overflow.",
            "Choose a taker of overflow, or leave it empty.",
        ),
        (
            Downpipe(id="downpipe-1", shape=Point(0, 0), roof="gone"),
            "Downpipe, Roof",
            "There is no roof here.",
            "Choose a roof, or leave it empty.",
        ),
    ],
)
def test_references_lead_to_a_thing_of_the_right_kind(thing: Thing, where: str, what: str, mend: str) -> None:
    with pytest.raises(EditError) as refused:
        check_site(Site(things=(BED, thing)))
    assert plain_words(refused.value) == (where, what, mend)


@pytest.mark.parametrize("taker", ["pond", "soakaway", "rain_garden", "swale", "ditch"])
def test_every_taker_takes_an_overflow(taker: str) -> None:
    overflow = Overflow(id="overflow-1", shape=SHAPES["LineString"], taker=f"{taker}-1")
    check_site(Site(things=(overflow, usual(BY_KIND[taker]))))


@pytest.mark.parametrize(
    ("settings", "where"),
    [
        (Settings(can_l=0.5), "Settings, Can"),
        (Settings(latitude_deg=91.0), "Settings, Latitude"),
        (Settings(soil="mud"), "Settings, Soil"),
        (Settings(units="furlongs"), "Settings, Units"),  # type: ignore[arg-type]
        (Settings(currency="a\nb"), "Settings, Currency"),
        (Settings(line=UsualLine(bore="straw")), "Usual line, Bore"),
        (Settings(line=UsualLine(wanted_l_min=0.0)), "Usual line, Wanted flow"),
    ],
)
def test_settings_are_held_to_their_fields(settings: Settings, where: str) -> None:
    with pytest.raises(EditError) as refused:
        check_settings(settings)
    assert refused.value.where == where
    assert refused.value.mend


PEG = LevelPeg(id="level_peg-1", shape=Point(0, 0))


@pytest.mark.parametrize(
    ("survey", "where"),
    [
        (
            Survey(contours=(Contour(SHAPES["LineString"], 99.0), Contour(SHAPES["LineString"], math.nan))),
            "Contour 2, Level",
        ),
        (Survey(contours=(Contour(SHAPES["LineString"], 1e6),)), "Contour 1, Level"),
        (Survey(contours=(Contour(LineString(), 99.0),)), "Contour 1, Place"),
        (Survey(level_book=(Sight(spot="A", back_m=11.0),)), "Level book, row 1, Back sight"),
        (Survey(level_book=(Sight(spot="A", between_m=math.nan),)), "Level book, row 1, Sight between"),
        (Survey(level_book=(Sight(spot="A", fore_m="x"),)), "Level book, row 1, Fore sight"),  # type: ignore[arg-type]
        (Survey(level_book=(Sight(spot="A", known_level_m=1e5),)), "Level book, row 1, Known level"),
        (Survey(level_book=(Sight(spot="A", peg="bed-1"),)), "Level book, row 1, Peg"),
        (Survey(level_book=(Sight(spot="A\0"),)), "Level book, row 1, Spot"),
    ],
)
def test_a_survey_is_held_to_what_can_be_measured(survey: Survey, where: str) -> None:
    with pytest.raises(EditError) as refused:
        check_site(Site(things=(PEG, BED), survey=survey))
    assert refused.value.where == where
    assert refused.value.mend


def test_a_right_survey_is_taken() -> None:
    book = (Sight(spot="A", back_m=1.2, known_level_m=100.0), Sight(spot="B", fore_m=-0.4, peg=PEG.id))
    check_site(Site(things=(PEG,), survey=Survey(contours=(Contour(SHAPES["LineString"], -5.0),), level_book=book)))


def test_every_error_of_a_site_is_found() -> None:
    bad = dataclasses.replace(TANK, stand_height_m=9.0)
    site = Site(name="a\nb", settings=Settings(can_l=0.0), things=(bad, Tap(id="tap-1", shape=Point(0, 0), tank="x")))
    assert [error.where for error in errors_of(site)] == [
        "Site, Name",
        "Settings, Can",
        "Shed tank, Stand height",
        "Tap, From tank",
    ]


def test_two_things_with_one_id_make_no_site() -> None:
    with pytest.raises(EditError, match="same id"):
        Site(things=(TANK, TANK))


def test_values_are_settled_as_they_are_kept() -> None:
    thing = Tank(id="tank-1", name="  Shed tank ", shape=Point(1, 2, 3), form="box", capacity_l=1000, width_m=1)  # type: ignore[arg-type]
    kept = settled(thing)
    assert kept.name == "Shed tank"
    assert kept.form is TankForm.BOX
    assert not kept.shape.has_z
    assert isinstance(kept.capacity_l, float)
    assert settled(kept) is kept
    assert settled(Settings(can_l=10**400)).can_l == math.inf
    assert settled(Swale(id="s", shape=LineString([(0, 0), (1, 0)]), width_m="wide")).width_m == "wide"  # type: ignore[arg-type]


@given(things())
def test_generated_things_are_valid_and_settled(thing: Thing) -> None:
    check(thing)
    assert settled(thing) == thing


@given(sites())
@settings(max_examples=30)
def test_generated_sites_are_valid(site: Site) -> None:
    check_site(site)
    assert list(errors_of(site)) == []


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"stand_height_m": 3.0}, "Shed tank: Stand height is 3\u00a0m. Give 0 to 1.5\u00a0m."),
        ({"form": "blob"}, 'Shed tank: Form is "blob".'),
        ({"id": ""}, "Shed tank, Id: Its id cannot be used."),
    ],
)
def test_an_error_names_thing_and_field_once(changes: dict[str, Any], told: str) -> None:
    wrong = Tank(**{"id": "tank-1", "name": "Shed tank", "shape": Point(0, 0), **changes})
    with pytest.raises(EditError) as refused:
        check(wrong)
    assert str(refused.value).startswith(told)
