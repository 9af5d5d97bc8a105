"""The words of the read-out, exactly; spaces before units are no-break spaces, written here as ~."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from affine import Affine
from shapely import LineString, Point, box

from gardenwater.desktop import pointer_words
from gardenwater.desktop.pointer_words import Words, compass, reading_at, right_words, spot_words
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.overflow import End
from gardenwater.reach import Reason, Spot
from gardenwater.site.model import Settings, Site
from gardenwater.site.things import Downpipe, Roof, Tank
from gardenwater.units import UnitSystem

SITE = Site(
    name="Trial",
    settings=Settings(rain_year_mm=800.0),
    things=(
        Roof(id="roof-1", name="House", shape=box(0, 0, 10, 8)),
        Downpipe(id="downpipe-1", name="North pipe", shape=Point(0, 8), roof="roof-1"),
        Tank(id="tank-1", name="Shed tank", shape=Point(12, 8), water_l=720.0),
    ),
)
SHED = SimpleNamespace(tank="tank-1", line=SimpleNamespace(flow_l_min=1.0))


def plain(words: Words) -> tuple[str, ...]:
    return tuple(part.replace("\u00a0", "~") for part in (words.answer, *words.more))


def said(spot: Spot, at: tuple[float, float] = (0.0, 0.0), *, marginal: bool = False) -> tuple[str, ...]:
    return plain(spot_words(spot, at, SITE, SHED, marginal=marginal))  # type: ignore[arg-type]


def test_in_reach_it_says_how_long_a_can_takes() -> None:
    spot = Spot(reason=Reason.IN_REACH, level_m=98.31, minutes_per_can=2.667, residual_head_m=0.31, distance_m=24.6)
    assert said(spot) == ("2~min~40~s a can", "spare head 0.31~m", "24.6~m of line from Shed tank")
    assert said(spot, marginal=True)[0] == "2~min~40~s a can, marginal"


def test_slow_water_is_called_slow() -> None:
    spot = Spot(reason=Reason.SLOW, level_m=98.0, minutes_per_can=14.0, flow_l_min=0.7, distance_m=31.0)
    assert said(spot) == ("14~min a can", "slow: less than the wanted 1.0~L/min", "31.0~m of line from Shed tank")


def test_too_high_says_by_how_much_and_for_what() -> None:
    spot = Spot(reason=Reason.TOO_HIGH, level_m=99.4, too_high_m=0.15)
    assert said(spot) == ("0.15~m too high for Shed tank at 720~L",)


def test_a_ridge_says_where_it_is() -> None:
    spot = Spot(reason=Reason.RIDGE, level_m=98.0, climb_level_m=99.4, climb_at=(12.0, 0.0))
    assert said(spot) == ("the line would have to climb over 99.40~m, 12.0~m back", "for Shed tank at 720~L")


@pytest.mark.parametrize(
    ("reason", "words"),
    [
        (Reason.TOO_FAR, ("too far for Shed tank at 720~L", "the line loses its head on the way")),
        (Reason.BARRIER, ("no way for a line from Shed tank", "barriers close it off")),
        (Reason.NO_DATA, ("no way for a line from Shed tank", "ground without levels lies between")),
    ],
)
def test_other_reasons(reason: Reason, words: tuple[str, ...]) -> None:
    assert said(Spot(reason=reason, level_m=98.0)) == words


def plane(fall_east: float = 0.0, fall_south: float = 0.0) -> Ground:
    """Forty by thirty cells of 1 m, 100 m at the north-west."""
    rows, cols = np.mgrid[0:30, 0:40]
    return Ground(100.0 - fall_east * cols - fall_south * rows, Affine(1, 0, 0, 0, -1, 30))


def answers(ground: Ground, **more: Any) -> Any:
    of_ground = SimpleNamespace(ground=ground, level_error_m=0.05, uncertainty_m=more.pop("uncertainty_m", None))
    usual = {"reach": None, "catch": None, "overflow": None, "mud": None}
    return SimpleNamespace(ground=of_ground, **{**usual, **more})


def read(at: tuple[float, float] | None, made: Any, question: Question) -> tuple[str, ...]:
    reading = reading_at(at, site=SITE, answers=made, question=question, focus="")
    return tuple(part.replace("\u00a0", "~") for part in (reading.level, reading.answer, *reading.more) if part)


def test_off_the_ground_there_is_no_level() -> None:
    assert read((99.0, 5.0), answers(plane()), Question.REACH) == ("no level here",)
    assert read(None, answers(plane()), Question.REACH) == ()
    assert read((5.0, 5.0), None, Question.REACH) == ()


def test_ground_says_how_it_falls() -> None:
    assert read((20.5, 15.5), answers(plane(fall_south=1 / 24)), Question.GROUND) == (
        "level 99.42~m",  # 100 - 14 / 24
        "falls 1~in~24 to the south",
    )
    assert read((20.5, 15.5), answers(plane()), Question.GROUND) == ("level 100.00~m", "level ground")


def test_ground_says_how_good_the_level_is() -> None:
    errors = np.full((30, 40), 0.12, dtype=np.float32)
    errors[:, :10] = np.nan
    made = answers(plane(), uncertainty_m=errors)
    assert read((20.5, 15.5), made, Question.GROUND)[2:] == ("good to 0.12~m",)
    assert read((3.5, 15.5), made, Question.GROUND)[2:] == ("beyond what was measured",)


@pytest.mark.parametrize(
    ("bearing", "wind"), [(0, "north"), (44, "north-east"), (180, "south"), (337.6, "north"), (270, "west")]
)
def test_eight_winds(bearing: float, wind: str) -> None:
    assert compass(bearing) == wind


def _catch(year: Any) -> Any:
    side = SimpleNamespace(
        roof="roof-1", downpipe="downpipe-1", shape=box(0, 4, 10, 8), area_m2=40.0, fall_bearing_deg=0.0
    )
    other = SimpleNamespace(roof="roof-1", downpipe="", shape=box(0, 0, 10, 4), area_m2=40.0, fall_bearing_deg=180.0)
    wet = SimpleNamespace(pipes={"downpipe-1": SimpleNamespace(runs_l=700.0)}, eaves={"roof-1": 760.0})
    return SimpleNamespace(parts=(side, other), year=year, wet_day=wet)


def test_catch_says_whose_roof_and_pipe_it_is() -> None:
    year = SimpleNamespace(pipes={"downpipe-1": SimpleNamespace(runs_l=26_812.0)}, eaves={"roof-1": 28_000.0})
    made = answers(plane(), catch=_catch(year))
    assert read((5.0, 6.0), made, Question.CATCH)[1:] == ("House, north side", "to North pipe", "26,800~L a year")
    assert read((5.0, 2.0), made, Question.CATCH)[1:] == ("House, south side", "caught by nobody", "28,000~L a year")
    assert read((20.0, 20.0), made, Question.CATCH)[1:] == ()
    wet = answers(plane(), catch=_catch(None))
    assert read((5.0, 6.0), wet, Question.CATCH)[3:] == ("700~L a wet day",)


def _overflow(*, runs_over: bool) -> Any:
    depth = np.zeros((30, 40))
    depth[20, 20] = 0.06
    pool = SimpleNamespace(
        outline=box(20, 9, 21, 10), hours_to_soak=9.0, sources=(0,), runs_over=runs_over, spill_level_m=96.58
    )
    route = SimpleNamespace(line=LineString([(12, 8), (20, 9)]), volume_m3=0.52, sources=(0,), over=-1)
    spill = SimpleNamespace(pools=(pool,), routes=(route,), pool_depth_m=depth)
    return SimpleNamespace(ground=plane(), spill=spill, sources=(SimpleNamespace(owner="tank-1"),), takers=("tank-1",))


def test_overflow_says_how_deep_how_long_and_whose() -> None:
    made = answers(plane(), overflow=_overflow(runs_over=True))
    assert read((20.5, 9.5), made, Question.OVERFLOW)[1:] == (
        "6~cm deep",
        "gone in 9~h",
        "Shed tank’s water",
        "spills over a sill at 96.58~m",
    )
    onward = _overflow(runs_over=True)
    way = SimpleNamespace(
        line=LineString([(21, 9), (25, 5)]), volume_m3=0.1, sources=(0,), over=0, end=End.TAKER, end_index=0
    )
    onward.spill.routes = (*onward.spill.routes, way)
    into = read((20.5, 9.5), answers(plane(), overflow=onward), Question.OVERFLOW)
    assert into[-1] == "spills into Shed tank over a sill at 96.58~m"
    still = answers(plane(), overflow=_overflow(runs_over=False))
    assert read((20.5, 9.5), still, Question.OVERFLOW)[-1] == "Shed tank’s water"
    assert read((14.0, 8.2), made, Question.OVERFLOW)[1:] == ("520~L run by", "Shed tank’s water")
    assert read((3.0, 25.0), made, Question.OVERFLOW)[1:] == ("dry",)


def test_scale_grid_and_error_stand_at_the_right() -> None:
    # 96 px to an inch of 0.0254 m: 13 px to a metre is 1 : 290.7
    words = right_words(13.0, 10.0, 96.0, answers(plane()), UnitSystem.METRIC)
    assert [each.replace("\u00a0", "~") for each in words] == ["1 : 290", "grid 10~m", "levels ± 0.05~m"]
    assert right_words(13.0, 10.0, 96.0, None, UnitSystem.METRIC) == words[:2]


def test_reach_asks_the_chosen_tank_or_the_best() -> None:
    calls: list[str] = []

    def tank(name: str, level: float) -> Any:
        def at(x: float, y: float) -> Spot:
            calls.append(name)
            return Spot(reason=Reason.TOO_HIGH, level_m=100.0, too_high_m=level)

        sureness = np.zeros((30, 40), dtype=np.uint8)
        return SimpleNamespace(
            tank=name, map=SimpleNamespace(at=at), sureness=sureness, water_level_m=level, line=SHED.line
        )

    tanks = (tank("tank-1", 1.0), tank("tank-2", 2.0), tank("tank-3", 0.5))
    index = np.full((30, 40), -1, dtype=np.int16)
    index[0, 0] = 2
    reach = SimpleNamespace(
        ground=plane(), tanks=tanks, best=SimpleNamespace(tank_index=index),
        tank=lambda name: next((each for each in tanks if each.tank == name), None),
    )  # fmt: skip
    site: Any = SITE
    for at, focus in (((0.5, 29.5), ""), ((9.5, 9.5), ""), ((9.5, 9.5), "tank-3"), ((0.5, 29.5), "gone")):
        pointer_words.reach_words(at, site, reach, focus)  # type: ignore[arg-type]
    assert calls == ["tank-3", "tank-2", "tank-3", "tank-3"]
