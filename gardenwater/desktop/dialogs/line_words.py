"""What the sheet of a line without a map says, as plain values."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from gardenwater.desktop.card.contents import Figure, Table, TableRow
from gardenwater.site.fields import FieldSpec
from gardenwater.units import Quantity, UnitSystem, can_time, long_time, text

if TYPE_CHECKING:
    from gardenwater.hydraulics import BucketTest, Calibrated, Given, Line

SPECS: Mapping[str, FieldSpec] = {
    "head_m": FieldSpec("Head", "From the water level down to the ground at the end.", Quantity.HEIGHT_M, 0.0, 100.0),
    "length_m": FieldSpec("Length", "Of the last piece; those before it have their own.", Quantity.LENGTH_M, 0.0, 2e3),
    "falls_m": FieldSpec(
        "Water falls by", "How far it goes down while the tank is drawn; 0: it stays.", Quantity.HEIGHT_M, 0.0, 10.0
    ),
    "tank_l": FieldSpec("A tank of", "Drawn through this line.", Quantity.VOLUME_L, 1.0, 500_000.0),
    "litres": FieldSpec("Caught", "In the bucket.", Quantity.VOLUME_L, 0.1, 1000.0),
    "seconds": FieldSpec("In seconds", "By the stopwatch.", Quantity.NUMBER, 1.0, 36_000.0),
}
_TOLD = {
    "wall and fittings": "The tests tell wall and fittings.",
    "fittings": "The tests tell the fittings; the wall is kept as it was.",
    "wall": "The test tells the wall; no fittings in range would do.",
    "neither": "No wall and no fittings give what was caught: look at bore, head and length.",
}


def given_figures(given: Given, values: Mapping[str, float], line: Line, units: UnitSystem) -> tuple[Figure, ...]:
    """Flow, time for a can, time for the tank."""
    if given.flow_l_min <= 0:
        return (Figure("nothing", "flows under this head", "fails"),)
    tank_l = values["tank_l"]
    return (
        Figure(text(given.flow_l_min, Quantity.FLOW_L_MIN, units), "with it full open"),
        Figure(can_time(given.can_min * 60.0), "a can"),
        Figure(long_time(60.0 * draw_min(line, values, tank_l)), f"for {text(tank_l, Quantity.VOLUME_L, units)}"),
    )


def draw_min(line: Line, values: Mapping[str, float], tank_l: float) -> float:
    """Minutes to draw a tank through a line, its water falling evenly; infinite where the line runs dry before."""
    from gardenwater.hydraulics import drive_along, flow_l_min

    head, falls = values["head_m"], values["falls_m"]
    if falls <= 0:
        flow = float(flow_l_min(head - line.held_back_m, values["length_m"], line))
        return tank_l / flow if flow > 0 else math.inf
    drive = drive_along(line, end_level_m=0.0, length_m=values["length_m"])
    low = head - falls
    return drive.draw_s(head, low, lambda level: (level - low) / falls * tank_l) / 60.0


def given_table(given: Given, units: UnitSystem) -> Table:
    """Where the head goes."""

    def head(name: str, value_m: float) -> TableRow:
        return TableRow((name, text(value_m, Quantity.HEIGHT_M, units)))

    rows = (
        head("Head that drives", max(given.driving_head_m, 0.0)),
        head("   lost before the last piece and in fittings", given.before_m),
        head("   lost along the line", given.along_m),
        head("   taken at the end", given.end_m),
        head("Pressure at the end", given.end_pressure_m),
        TableRow(("Speed in the line", f"{given.speed_m_s:.2f} m/s, {given.regime}")),
    )
    return Table(("Where the head goes", ""), rows)


def tests_table(tests: Sequence[BucketTest], found: Calibrated | None, units: UnitSystem) -> Table:
    """Each test, with how far the line was off before and is off now."""
    rows = []
    for place, test in enumerate(tests):
        before = "" if found is None else _off(found.off_before[place])
        now = "" if found is None else _off(found.misfits[place])
        shown = (
            text(test.head_m, Quantity.HEIGHT_M, units),
            text(test.length_m, Quantity.LENGTH_M, units),
            text(test.flow_l_min, Quantity.FLOW_L_MIN, units),
        )
        rows.append(TableRow((*shown, before, now)))
    return Table(("Head", "length", "caught", "off before", "off now"), tuple(rows))


def _off(share: float) -> str:
    percent = round(share * 100)
    sign = "+" if percent > 0 else "\u2212" if percent < 0 else ""
    return f"{sign}{abs(percent)}\u00a0%"


def told_words(found: Calibrated, before: Line) -> str:
    """What the tests tell, in a sentence or two."""
    low_k, high_k = found.fittings_k_band
    words = [
        _TOLD[found.told.value],
        f"Fittings {found.line.fittings_k:.1f} ({low_k:.1f} to {high_k:.1f}), were {before.fittings_k:.1f}.",
    ]
    if not math.isclose(found.line.roughness_mm, before.roughness_mm):
        low_mm, high_mm = found.roughness_mm_band
        words.append(f"Wall {found.line.roughness_mm:.3g} mm ({low_mm:.2g} to {high_mm:.2g}).")
    return " ".join(words)
