"""The card of a watering line: what it gives at its end, how soon a can is full, the pressure that is left there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.desktop.card.of_tank import ends_table
from gardenwater.report.ways import line_profile
from gardenwater.site.listing import items_of
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import WateringLine
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, can_time, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.assess.answers import EndFlow
    from gardenwater.reach import WayProfile

KPA_PER_M = 9.80665 * 0.9991
"""Of water at 15 C, 999.1 kg/m3 (CoolProp, as the hydraulics take it) under standard gravity."""

_SOURCES = (
    "Flow full open: head and losses along the line as it is drawn; what it climbs over on its way is a finding.",
    "All ends open: the global gradient method (Todini and Pilati 1988) over the lines that are drawn from the tank.",
    "Losses: Darcy-Weisbach with Colebrook's friction factor, laminar below Re 2000; fittings by their coefficients.",
)


def line_contents(line: WateringLine, site: Site, answers: Answers | None) -> Contents | None:
    """The card of a line that leads from a tank, once Reach is answered; None of any other."""
    wires = None if answers is None or answers.catch is None else answers.catch.wires
    tank = "" if wires is None else wires.tank_of.get(line.id, "")
    reach = None if answers is None or answers.reach is None else answers.reach.tank(tank)
    side = None if answers is None else line_profile(answers, line)
    if reach is None or side is None:
        return None
    own = next((end for end in reach.together if end.line == line.id), None)
    return Contents(
        about=_about(line, site, tank),
        figures=_figures(own, side, site),
        tables=_tables(line, reach.together, site),
        more=_more(line, side, site.settings.units),
        sources=_SOURCES,
    )


def _about(line: WateringLine, site: Site, tank: str) -> str:
    """Bore, end, and whose water it is."""
    bore, end = table("line_bores").row(line.bore).name, table("line_ends").row(line.end).name
    return f"{bore}, {end[:1].lower()}{end[1:]}; from {name_of(site, tank)} as it stands"


def _figures(end: EndFlow | None, side: WayProfile, site: Site) -> tuple[Figure, ...]:
    units = site.settings.units
    spare = Figure(text(side.spare_head_m, Quantity.HEIGHT_M, units), "spare head at its end")
    if end is None:
        return (Figure(text(side.length_m, Quantity.LENGTH_M, units), "long"), spare)
    flow = text(end.alone_l_min, Quantity.FLOW_L_MIN, units)
    if not end.alone_l_min > 0.0:
        return (Figure("no water", "comes to its end", "fails"), spare)
    time = can_time(60.0 * site.settings.can_l / end.alone_l_min)
    return (Figure(time, "a can"), Figure(flow, "full open"), spare)


def _tables(line: WateringLine, ends: Sequence[EndFlow], site: Site) -> tuple[Table, ...]:
    """Its pieces, where it has several; what all ends of its tank give at once, where there are several."""
    units, found = site.settings.units, []
    pieces = items_of(line.pieces)
    if pieces:
        bores = table("line_bores")
        laid = sum(length_m for _, length_m in pieces)
        rows = [TableRow((bores.row(key).name, text(length_m, Quantity.LENGTH_M, units))) for key, length_m in pieces]
        last_m = max(line.shape.length - laid, 0.0)
        rows.append(TableRow((bores.row(line.bore).name, text(last_m, Quantity.LENGTH_M, units))))
        found.append(Table(("Piece, from the tank on", "long"), tuple(rows)))
    return (*found, *ends_table(ends, site))


def _more(line: WateringLine, side: WayProfile, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Pressure, losses, levels."""
    static_m = max(side.water_level_m - side.end_level_m, 0.0)
    spare_m = max(side.spare_head_m, 0.0)
    return (
        ("Pressure at its end, shut", text(static_m * KPA_PER_M, Quantity.PRESSURE_KPA, units)),
        ("At the wanted flow", text(spare_m * KPA_PER_M, Quantity.PRESSURE_KPA, units)),
        ("Wanted flow", text(line.wanted_l_min, Quantity.FLOW_L_MIN, units)),
        ("Length as drawn", text(side.length_m, Quantity.LENGTH_M, units)),
        ("Level where it delivers", text(side.end_level_m, Quantity.LEVEL_M, units)),
        ("Loss of all fittings", f"K {line.fittings_k:.2f}"),
        ("Roughness of the bore", f"{line.roughness_mm:g} mm"),
    )
