"""Values as people read them: every line of the look's table of numbers (look, section 14)."""

from __future__ import annotations

import math

import pytest

from gardenwater.units import (
    PLAIN,
    Marks,
    Quantity,
    UnitSystem,
    can_time,
    decimals,
    exact_text,
    long_time,
    range_text,
    step,
    text,
    unit_word,
)

METRIC, US = UnitSystem.METRIC, UnitSystem.US
NBSP, MINUS = "\u00a0", "\u2212"

# Expected words follow from the look, section 14; conversions from the foot (0.3048 m), the US gallon (3.785411784 L),
# the inch (25.4 mm) and the pound (0.45359237 kg), which are exact by definition.
SHOWN = [
    (98.314, Quantity.LEVEL_M, "98.31 m", "322.55 ft"),
    (0.2, Quantity.HEIGHT_M, "0.20 m", "0.66 ft"),
    (-0.045, Quantity.HEIGHT_M, f"{MINUS}0.05 m", f"{MINUS}0.15 ft"),
    (2.5, Quantity.LENGTH_M, "2.50 m", "8.2 ft"),
    (9.996, Quantity.LENGTH_M, "10.0 m", "32.8 ft"),
    (24.63, Quantity.LENGTH_M, "24.6 m", "80.8 ft"),
    (12.34, Quantity.AREA_M2, "12.3 m²", "133 sq ft"),
    (99.96, Quantity.AREA_M2, "100 m²", "1,076 sq ft"),
    (456.7, Quantity.AREA_M2, "457 m²", "4,916 sq ft"),
    (99.4, Quantity.VOLUME_L, "99 L", "26.3 US gal"),
    (10.0, Quantity.VOLUME_L, "10 L", "2.6 US gal"),
    (724.0, Quantity.VOLUME_L, "720 L", "191 US gal"),
    (9_996.0, Quantity.VOLUME_L, "10,000 L", "2,641 US gal"),
    (26_849.0, Quantity.VOLUME_L, "26,800 L", "7,093 US gal"),
    (4.26, Quantity.FLOW_L_MIN, "4.3 L/min", "1.13 US gal/min"),
    (1.34, Quantity.FLOW_L_S, "1.3 L/s", "21.24 US gal/min"),
    (0.056, Quantity.FLOW_L_S, "0.06 L/s", "0.89 US gal/min"),
    (0.104, Quantity.DEPTH_M, "10 cm", "4.1 in"),
    (9.96, Quantity.RAIN_MM, "10 mm", "0.39 in"),
    (2.44, Quantity.RAIN_MM, "2.4 mm", "0.10 in"),
    (24.4, Quantity.RAIN_MM, "24 mm", "0.96 in"),
    (12.7, Quantity.BORE_MM, "12.7 mm", "0.50 in"),
    (68.0, Quantity.BORE_MM, "68 mm", "2.68 in"),
    (112.0, Quantity.SMALL_MM, "112 mm", "4.4 in"),
    (15.0, Quantity.SOAK_MM_H, "15 mm/h", "0.59 in/h"),
    (0.36, Quantity.SOAK_MM_H, "0.36 mm/h", "0.01 in/h"),
    (160.0, Quantity.TIME_S, "2 min 40 s", "2 min 40 s"),
    (9.04, Quantity.HOURS, "9 h", "9 h"),
    (35.0, Quantity.ANGLE_DEG, "35°", "35°"),
    (-1.25, Quantity.PLACE_DEG, f"{MINUS}1.25°", f"{MINUS}1.25°"),
    (24.3, Quantity.ONE_IN, "1 in 24", "1 in 24"),
    (7.52, Quantity.ONE_IN, "1 in 7.5", "1 in 7.5"),
    (math.inf, Quantity.ONE_IN, "level", "level"),
    (0.354, Quantity.SHARE, "35 %", "35 %"),
    (0.0015, Quantity.NUMBER, "0.0015", "0.0015"),
    (15.0, Quantity.TEMPERATURE_C, "15 °C", "59 °F"),
    (15.24, Quantity.AIR_C, "15.2 °C", "59 °F"),
    (2.0, Quantity.WARMING_K, "2.0 °C", "3.6 °F"),
    (-40.0, Quantity.TEMPERATURE_C, f"{MINUS}40 °C", f"{MINUS}40 °F"),
    (999.4, Quantity.MASS_KG, "999 kg", "2,200 lb"),
    (2_640.0, Quantity.MASS_KG, "2.6 t", "5,820 lb"),
    (8.66, Quantity.PRESSURE_KPA, "8.7 kPa", "180 lb/sq ft"),
]


@pytest.mark.parametrize(("value", "quantity", "metric", "us"), SHOWN)
def test_a_value_reads_as_the_look_says(value: float, quantity: Quantity, metric: str, us: str) -> None:
    assert text(value, quantity, METRIC) == metric.replace(" ", NBSP)
    assert text(value, quantity, US) == us.replace(" ", NBSP)


def test_every_quantity_is_in_the_table_above() -> None:
    assert {row[1] for row in SHOWN} == set(Quantity)


@pytest.mark.parametrize("system", UnitSystem)
@pytest.mark.parametrize("quantity", [each for each in Quantity if each is not Quantity.TIME_S])
def test_without_its_unit_a_value_is_digits_alone(quantity: Quantity, system: UnitSystem) -> None:
    digits = text(12.0, quantity, system, unit=False, marks=Marks(group=""))
    assert digits.replace(".", "").isdigit()
    word = unit_word(quantity, system)
    whole = text(12.0, quantity, system, marks=Marks(group="")).replace(NBSP, " ")
    assert whole in {f"{digits} {word}".rstrip(), f"{digits}{word}", f"1 in {digits}"}


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (0.0, "under 10 s"),
        (4.9, "under 10 s"),
        (5.0, "10 s"),
        (44.0, "40 s"),
        (56.0, "1 min"),
        (160.0, "2 min 40 s"),
        (594.9, "9 min 50 s"),
        (595.0, "10 min"),
        (640.0, "11 min"),
        (1_800.0, "30 min"),
        (1_800.1, "over 30 min"),
        (math.inf, "over 30 min"),
        (math.nan, "not known"),
    ],
)
def test_time_for_a_can(seconds: float, words: str) -> None:
    assert can_time(seconds).replace(NBSP, " ") == words


def test_what_is_not_known_says_so() -> None:
    assert text(math.nan, Quantity.LEVEL_M, METRIC) == "not known"
    assert text(-math.inf, Quantity.VOLUME_L, US) == "not known"
    assert exact_text(math.nan, Quantity.LEVEL_M, METRIC) == "not known"


def test_minus_nothing_is_nothing() -> None:
    assert text(-0.004, Quantity.LEVEL_M, METRIC) == f"0.00{NBSP}m"


def test_halves_round_away_from_nothing() -> None:
    """98.125 and 98.135 both go up: rounding to even would send one of two equal steps the other way."""
    assert text(98.125, Quantity.LEVEL_M, METRIC, unit=False) == "98.13"
    assert text(98.135, Quantity.LEVEL_M, METRIC, unit=False) == "98.14"


def test_other_marks() -> None:
    assert text(1234.5, Quantity.LEVEL_M, METRIC, unit=False, marks=Marks(",", ".")) == "1.234,50"
    assert text(1234.5, Quantity.LEVEL_M, METRIC, unit=False, marks=Marks(",", NBSP)) == f"1{NBSP}234,50"
    assert Marks() == PLAIN


def test_the_largest_number_is_shown_and_not_a_crash() -> None:
    assert text(1e300, Quantity.LEVEL_M, METRIC, unit=False).replace(",", "") == "1" + "0" * 300 + ".00"


def test_exact_text_shows_all_that_was_typed() -> None:
    assert exact_text(1234.56789, Quantity.LEVEL_M, METRIC) == f"1234.56789{NBSP}m"
    assert exact_text(1125.0, Quantity.VOLUME_L, METRIC, unit=False) == "1125"
    assert exact_text(0.3048, Quantity.HEIGHT_M, US) == f"1{NBSP}ft"
    assert exact_text(-1.5, Quantity.HEIGHT_M, METRIC, unit=False) == f"{MINUS}1.5"


@pytest.mark.parametrize(
    ("least", "most", "quantity", "metric", "us"),
    [
        # 1.5 m is 4.9213 ft and 0.3 m is 0.9843 ft: ends are rounded inwards, so that both may be typed.
        (0.0, 1.5, Quantity.HEIGHT_M, "0 to 1.5 m", "0 to 4.92 ft"),
        (0.3, 15.0, Quantity.HEIGHT_M, "0.3 to 15 m", "0.99 to 49.21 ft"),
        (10.0, 500_000.0, Quantity.VOLUME_L, "10 to 500,000 L", "2.7 to 132,086 US gal"),
        (0.0, 1.0, Quantity.SHARE, "0 to 100 %", "0 to 100 %"),
        (1.0, math.inf, Quantity.ONE_IN, "at least 1", "at least 1"),
        (-math.inf, 5.0, Quantity.LEVEL_M, "up to 5 m", "up to 16.4 ft"),
        (-math.inf, math.inf, Quantity.LEVEL_M, "", ""),
    ],
)
def test_a_range_in_words(least: float, most: float, quantity: Quantity, metric: str, us: str) -> None:
    assert range_text(least, most, quantity, METRIC).replace(NBSP, " ") == metric
    assert range_text(least, most, quantity, US).replace(NBSP, " ") == us


def test_the_last_place_shown_is_the_step() -> None:
    assert step(Quantity.HEIGHT_M, METRIC) == 0.01
    assert step(Quantity.HEIGHT_M, US) == pytest.approx(0.003048)
    assert step(Quantity.VOLUME_L, METRIC) == 1.0
    assert step(Quantity.VOLUME_L, METRIC, at=1500.0) == 10.0
    assert step(Quantity.VOLUME_L, METRIC, at=26_800.0) == 100.0
    assert step(Quantity.SHARE, METRIC) == 0.01
    assert step(Quantity.LENGTH_M, METRIC, at=24.6) == 0.1


def test_decimals() -> None:
    assert decimals(Quantity.HEIGHT_M, METRIC) == 2
    assert decimals(Quantity.LENGTH_M, METRIC, at=24.6) == 1
    assert decimals(Quantity.VOLUME_L, METRIC, at=26_800.0) == 0
    assert decimals(Quantity.RAIN_MM, US) == 2


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(10.0, "1 min"), (1500.0, "25 min"), (7200.0, "2.0 h"), (172_800.0, "2 days"), (float("inf"), "never")],
)
def test_long_times(seconds: float, words: str) -> None:
    assert long_time(seconds).replace("\u00a0", " ") == words
    assert long_time(float("nan")) == "not known"
