"""Values as people type them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.units import Marks, Quantity, UnitSystem, exact_text, parse, step, text

METRIC, US = UnitSystem.METRIC, UnitSystem.US

# Conversions: foot 0.3048 m, inch 25.4 mm, US gallon 3.785411784 L, imperial gallon 4.54609 L, pound 0.45359237 kg, all
# exact by definition.
TYPED = [
    ("0.45", Quantity.HEIGHT_M, METRIC, 0.45),
    ("1.5", Quantity.HEIGHT_M, US, 0.4572),
    ("45 cm", Quantity.HEIGHT_M, METRIC, 0.45),
    ("45cm", Quantity.HEIGHT_M, US, 0.45),
    ("1' 6\"", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("1'6", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("1 ft 6 in", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("1\u2032 6\u2033", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("1' 6''", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("18 in", Quantity.HEIGHT_M, METRIC, 0.4572),
    ("0.45 m", Quantity.HEIGHT_M, US, 0.45),
    ("0,45", Quantity.HEIGHT_M, METRIC, 0.45),
    (",5", Quantity.HEIGHT_M, METRIC, 0.5),
    ("1.", Quantity.HEIGHT_M, METRIC, 1.0),
    ("1 m 20 cm", Quantity.LENGTH_M, METRIC, 1.2),
    ("\u22123", Quantity.LEVEL_M, METRIC, -3.0),
    ("-3 ft", Quantity.LEVEL_M, METRIC, -0.9144),
    ("+2", Quantity.LEVEL_M, METRIC, 2.0),
    ("3 gal", Quantity.VOLUME_L, METRIC, 11.356235352),
    ("3 US gallons", Quantity.VOLUME_L, METRIC, 11.356235352),
    ("3 imp gal", Quantity.VOLUME_L, METRIC, 13.63827),
    ("1.2 m3", Quantity.VOLUME_L, METRIC, 1200.0),
    ("1,500", Quantity.VOLUME_L, METRIC, 1500.0),
    ("26,800 L", Quantity.VOLUME_L, METRIC, 26_800.0),
    ("1,234,567.5", Quantity.VOLUME_L, METRIC, 1_234_567.5),
    ("120 sq ft", Quantity.AREA_M2, METRIC, 11.1483648),
    ("12 m²", Quantity.AREA_M2, US, 12.0),
    ("2 gpm", Quantity.FLOW_L_MIN, METRIC, 7.570823568),
    ("90 L/min", Quantity.FLOW_L_S, METRIC, 1.5),
    ("10 cm", Quantity.DEPTH_M, METRIC, 0.1),
    ("1 in", Quantity.RAIN_MM, METRIC, 25.4),
    ("5/8 in", Quantity.BORE_MM, METRIC, 15.875),
    ("1 1/2 in", Quantity.BORE_MM, METRIC, 38.1),
    ("3/4", Quantity.BORE_MM, US, 19.05),
    ("0.5 in/h", Quantity.SOAK_MM_H, METRIC, 12.7),
    ("2 min 40 s", Quantity.TIME_S, METRIC, 160.0),
    ("90 min", Quantity.HOURS, METRIC, 1.5),
    ("35°", Quantity.ANGLE_DEG, METRIC, 35.0),
    ("47° 30' 36\" N", Quantity.PLACE_DEG, METRIC, 47.51),
    ("12.5 W", Quantity.PLACE_DEG, METRIC, -12.5),
    ("12.5 S", Quantity.PLACE_DEG, METRIC, -12.5),
    ("1:40", Quantity.ONE_IN, METRIC, 40.0),
    ("1 in 40", Quantity.ONE_IN, METRIC, 40.0),
    ("2.5 %", Quantity.ONE_IN, METRIC, 40.0),
    ("40", Quantity.ONE_IN, METRIC, 40.0),
    ("35 %", Quantity.SHARE, METRIC, 0.35),
    ("35", Quantity.SHARE, METRIC, 0.35),
    ("0.0015", Quantity.NUMBER, METRIC, 0.0015),
    ("59 °F", Quantity.TEMPERATURE_C, METRIC, 15.0),
    ("59", Quantity.TEMPERATURE_C, US, 15.0),
    ("59.5 °F", Quantity.AIR_C, METRIC, 27.5 / 1.8),
    ("3.6", Quantity.WARMING_K, US, 2.0),
    ("3.6 °F", Quantity.WARMING_K, METRIC, 2.0),
    ("-2 °C", Quantity.WARMING_K, US, -2.0),
    ("-4 c", Quantity.TEMPERATURE_C, US, -4.0),
    ("1.2 t", Quantity.MASS_KG, US, 1200.0),
    ("10 lb", Quantity.MASS_KG, METRIC, 4.5359237),
    ("0.2 bar", Quantity.PRESSURE_KPA, METRIC, 20.0),
    ("1 psi", Quantity.PRESSURE_KPA, METRIC, 6.894757293168),
]


@pytest.mark.parametrize(("words", "quantity", "system", "value"), TYPED)
def test_what_people_type_is_read(words: str, quantity: Quantity, system: UnitSystem, value: float) -> None:
    assert parse(words, quantity, system) == pytest.approx(value, rel=1e-13)


def test_what_is_typed_comes_back_the_same() -> None:
    """0.01 x 35 is 0.35000000000000003 in binary; the field would then show a change that nobody made."""
    assert parse("35 %", Quantity.SHARE, METRIC) == 0.35


@pytest.mark.parametrize("quantity", Quantity)
@pytest.mark.parametrize(
    "words",
    [
        "",
        "  ",
        "many",
        "1 2",
        "1 m 2 m",
        "3 stone",
        "1/0",
        "--1",
        "1,2,3",
        "6 in 1 ft",
        "1 in",
        "m",
        "0 %",
        "1e3",
        "nan",
        "inf",
        "1 m2m",
    ],
)
def test_what_is_no_value_is_refused_with_words(words: str, quantity: Quantity) -> None:
    taken = {("0 %", Quantity.SHARE)} | {("1 in", each) for each in Quantity if each.value.endswith(("_m", "_mm"))}
    if (words, quantity) in taken:
        assert parse(words, quantity, METRIC) >= 0.0
        return
    with pytest.raises(InputError) as refused:
        parse(words, quantity, METRIC)
    assert refused.value.where
    assert refused.value.mend.startswith("Type a number")
    assert refused.value.what == ("Nothing was typed." if not words.strip() else refused.value.what)
    assert words.strip() in refused.value.what or not words.strip()


def test_the_mend_shows_how_to_type_it() -> None:
    with pytest.raises(InputError) as refused:
        parse("tall", Quantity.HEIGHT_M, METRIC)
    assert str(refused.value).replace("\u00a0", " ") == (
        'height: "tall" is no height. Type a number, or one with its unit: "0.45 m" or "1.48 ft".'
    )


def test_marks_decide_what_a_comma_is() -> None:
    german = Marks(",", ".")
    assert parse("1.500", Quantity.VOLUME_L, METRIC, marks=german) == 1500.0
    assert parse("1,500", Quantity.LEVEL_M, METRIC, marks=german) == 1.5
    assert parse("1.234,5", Quantity.LEVEL_M, METRIC, marks=german) == 1234.5
    assert parse("0.45", Quantity.LEVEL_M, METRIC, marks=german) == 0.45
    assert parse("0,450", Quantity.LEVEL_M, METRIC) == 0.45


@st.composite
def _values(draw: st.DrawFn) -> tuple[float, Quantity, UnitSystem, Marks]:
    quantity = draw(st.sampled_from([each for each in Quantity if each is not Quantity.TIME_S]))
    least = {Quantity.ONE_IN: 1.0, Quantity.SHARE: 0.0}.get(quantity, -1e5)
    value = draw(st.floats(least, 1e5, allow_nan=False) | st.floats(max(least, -2.0), 2.0))
    marks = draw(st.sampled_from([Marks(), Marks(group=""), Marks(",", "."), Marks(",", "")]))
    return value, quantity, draw(st.sampled_from(UnitSystem)), marks


@given(_values())
def test_what_is_shown_can_be_typed_and_differs_by_no_more_than_the_last_place(
    case: tuple[float, Quantity, UnitSystem, Marks],
) -> None:
    value, quantity, system, marks = case
    again = parse(text(value, quantity, system, marks=marks), quantity, system, marks=marks)
    place = step(quantity, system, at=value)
    if quantity is Quantity.MASS_KG and system is METRIC and abs(value) >= 999.0:
        place = 100.0  # shown in tonnes, to a tenth
    assert abs(again - value) <= place * 0.5 * (1 + 1e-9) + 1e-9


@given(_values())
def test_what_a_field_holds_in_full_comes_back_to_ten_digits(case: tuple[float, Quantity, UnitSystem, Marks]) -> None:
    value, quantity, system, _ = case
    again = parse(exact_text(value, quantity, system), quantity, system)
    assert again == pytest.approx(value, rel=6e-10, abs=1e-7)


@given(_values())
def test_what_is_shown_again_is_the_same_words(case: tuple[float, Quantity, UnitSystem, Marks]) -> None:
    value, quantity, system, marks = case
    words = text(value, quantity, system, marks=marks)
    assert text(parse(words, quantity, system, marks=marks), quantity, system, marks=marks) == words
