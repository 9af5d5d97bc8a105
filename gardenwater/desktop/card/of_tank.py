"""The card of a tank: what it reaches, catches or spills, by the question that is asked."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from gardenwater.assess import Status
from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.findings import Question
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, can_time, long_time, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, BedReach, TankReach
    from gardenwater.assess.answers import EndFlow

WATER_KG_M3 = 999.1
"""At 15 C; CoolProp, as the hydraulics take it."""

_SHARES = {1.0: "full", 0.5: "half full", 0.1: "nearly empty"}
_SEVERAL = 2

_SOURCES = (
    "Reach: Darcy-Weisbach with Colebrook's friction factor, laminar below Re 2000, along the way that the line takes.",
    "Usable: litres above the bed's needed level, which is found from the bed back to the tank.",
    "Drawn in: outflow at each level of the tank through the whole line, with all its losses, full open.",
    "Margin: head left at the tightest point of the way, at the wanted flow; spare head is what is left at the bed.",
    "Area: share of the bed's area that the water comes to at the wanted flow.",
    "All ends open: the global gradient method (Todini and Pilati 1988) over the lines that are drawn from the tank.",
)


def tank_about(tank: Tank, units: UnitSystem) -> str:
    """What it is, in one line."""
    stands = "on the ground"
    if tank.stand_height_m > 0:
        stands = f"on a {text(tank.stand_height_m, Quantity.HEIGHT_M, units)} stand"
    light = "" if tank.opaque else ", lets light in"
    return f"{text(tank.capacity_l, Quantity.VOLUME_L, units)}, {tank.form.value}{light}, {stands}"


def tank_figures(tank: Tank, site: Site, answers: Answers | None, question: Question) -> tuple[Figure, ...]:
    """Three figures of the question."""
    full = _full_figure(tank, site.settings.units)
    if answers is None:
        return (full,)
    if question is Question.OVERFLOW and answers.overflow is not None:
        return _spill_figures(tank, answers, site.settings.units)
    reach = answers.reach.tank(tank.id) if answers.reach is not None else None
    if question is Question.REACH and reach is not None:
        return (*reach_figures(reach, site), full)
    return (*_weight_figures(tank, site.settings.units), full)


def _full_figure(tank: Tank, units: UnitSystem) -> Figure:
    share = text(tank.water_l / tank.capacity_l, Quantity.SHARE, units)
    return Figure(share, f"full: {text(tank.water_l, Quantity.VOLUME_L, units)}")


def full_weight_kg(tank: Tank) -> float:
    """Weight when full to the overflow, kg."""
    return tank.empty_kg + tank.capacity_l * WATER_KG_M3 / 1000.0


def _weight_figures(tank: Tank, units: UnitSystem) -> tuple[Figure, ...]:
    weight = full_weight_kg(tank)
    pressure = weight * 9.80665 / 1000.0 / tank.footprint.area
    return (
        Figure(text(weight, Quantity.MASS_KG, units), "when full"),
        Figure(text(pressure, Quantity.PRESSURE_KPA, units), "on its base"),
    )


def reach_figures(reach: TankReach, site: Site) -> tuple[Figure, ...]:
    """How many beds a tank reaches, and the slowest can of those that are sure."""
    figures = [Figure(f"{reach.beds_reached} of {len(reach.beds)}", "beds reached")]
    sure = [bed for bed in reach.beds if bed.status is Status.SURE and not math.isnan(bed.minutes_per_can)]
    if sure:
        slowest = max(sure, key=lambda bed: bed.minutes_per_can)
        figures.append(Figure(can_time(slowest.minutes_per_can * 60), f"a can at {name_of(site, slowest.bed)}"))
    return tuple(figures)


def _spill_figures(tank: Tank, answers: Answers, units: UnitSystem) -> tuple[Figure, ...]:
    overflow = answers.overflow
    assert overflow is not None
    spilled_l = sum(1000 * source.volume_m3 for source in overflow.sources if source.owner == tank.id)
    figures = [
        Figure(text(spilled_l, Quantity.VOLUME_L, units), "spills on the wet day", "spill" if spilled_l else "ink")
    ]
    ends = [end for end in overflow.ends if end.owner == tank.id and end.volume_l > 0]
    if ends:
        figures.append(Figure(end_word(ends[0].end.name), "is where it ends first"))
    return (*figures, _full_figure(tank, units))


def end_word(end: str) -> str:
    """The end of a route in two words at most."""
    return {"POOL": "a pool", "TAKER": "a taker", "OFF_SITE": "off the site", "SOAKED": "soaked up"}.get(
        end, end.lower().replace("_", " ")
    )


def bed_cell(bed: BedReach, units: UnitSystem) -> tuple[str, str, str]:
    """Time for a can, spare head, usable litres: the cells of a bed's row."""
    spare = text(bed.margin_m, Quantity.HEIGHT_M, units)
    if bed.status is Status.OUT:
        return "out", "no way" if math.isnan(bed.margin_m) else spare, "none"
    word = {Status.MARGINAL: "marginal", Status.SLOW: "slow"}.get(bed.status)
    litres = "none" if bed.usable_l < 0.5 else text(bed.usable_l, Quantity.VOLUME_L, units)
    return word or can_time(bed.minutes_per_can * 60), spare, litres


def bed_table(reach: TankReach, site: Site) -> Table:
    """Each bed with what this tank does for it, the quickest first, out of reach last."""
    units = site.settings.units
    rows = []
    for bed in _in_order(reach):
        time, spare, _ = bed_cell(bed, units)
        cells = (name_of(site, bed.bed), time, spare, text(bed.share_in_reach, Quantity.SHARE, units))
        rows.append(TableRow(cells, bed.bed, _role(bed)))
    return Table(("Bed", "a can takes", "margin", "area"), tuple(rows))


def drawn_table(reach: TankReach, site: Site) -> Table:
    """What the water at this level still gives each bed: litres by gravity, what is left for cans, how long it runs."""
    units = site.settings.units
    rows = []
    for bed in _in_order(reach):
        _, _, litres = bed_cell(bed, units)
        cans = "none" if bed.cans_l < 0.5 else text(bed.cans_l, Quantity.VOLUME_L, units)
        cells = (name_of(site, bed.bed), litres, cans, _drawn_in(bed))
        rows.append(TableRow(cells, bed.bed, _role(bed)))
    return Table(("From this level", "usable", "for cans", "drawn in"), tuple(rows))


def _drawn_in(bed: BedReach) -> str:
    """How long the usable litres run; while the tank is moved that is not worked out."""
    if bed.usable_l < 0.5:
        return "\u2013"
    return "\u2026" if math.isnan(bed.draw_s) else long_time(bed.draw_s)


def _in_order(reach: TankReach) -> list[BedReach]:
    """The quickest bed first, out of reach last."""
    order = {Status.SURE: 0, Status.MARGINAL: 1, Status.SLOW: 2, Status.OUT: 3}
    return sorted(reach.beds, key=lambda bed: (order[bed.status], -_or_last(bed.margin_m)))


def _role(bed: BedReach) -> str:
    return "ink_soft" if bed.status is Status.OUT else "ink"


def level_table(tank: Tank, reach: TankReach, units: UnitSystem) -> Table:
    """What the tank does for the beds as it empties."""
    rows = tuple(
        TableRow(
            (
                _SHARES.get(level.share, f"{level.share:.0%} full"),
                text(level.water_l, Quantity.VOLUME_L, units),
                text(level.water_level_m - reach.floor_level_m - tank.outlet_height_m, Quantity.HEIGHT_M, units),
                f"{len(level.beds)} of {len(reach.beds)}",
            ),
            role="ink" if level.beds else "ink_soft",
        )
        for level in reach.at_levels
    )
    return Table(("The tank", "holds", "over the outlet", "beds"), rows)


def ends_table(ends: Sequence[EndFlow], site: Site) -> tuple[Table, ...]:
    """What each line of a tank gives at its end, alone and with all of them open; nothing for one line or none."""
    units = site.settings.units
    if len(ends) < _SEVERAL:
        return ()
    rows = [
        TableRow(
            (
                name_of(site, end.line),
                text(end.alone_l_min, Quantity.FLOW_L_MIN, units),
                text(end.together_l_min, Quantity.FLOW_L_MIN, units),
            ),
            end.line,
        )
        for end in ends
    ]
    whole = sum(end.together_l_min for end in ends)
    rows.append(TableRow(("All of them", "", text(whole, Quantity.FLOW_L_MIN, units))))
    return (Table(("Line, full open", "alone", "all open"), tuple(rows)),)


def _or_last(value: float) -> float:
    return -math.inf if math.isnan(value) else value


def _more(tank: Tank, reach: TankReach | None, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    rows = [("Weight when full", text(full_weight_kg(tank), Quantity.MASS_KG, units))]
    if reach is not None:
        line = reach.line
        rows += [
            ("Water level", text(reach.water_level_m, Quantity.LEVEL_M, units)),
            ("Outlet level", text(reach.outlet_level_m, Quantity.LEVEL_M, units)),
            ("Line", f"bore {text(line.bore_mm, Quantity.BORE_MM, units)}, K {line.fittings_k:.2f}"),
            ("Roughness of the bore", f"{line.roughness_mm:g} mm"),
            ("Wanted flow", text(line.flow_l_min, Quantity.FLOW_L_MIN, units)),
        ]
    return tuple(rows)


def _tables(tank: Tank, reach: TankReach, site: Site) -> tuple[Table, ...]:
    return (
        bed_table(reach, site),
        drawn_table(reach, site),
        level_table(tank, reach, site.settings.units),
        *ends_table(reach.together, site),
    )


def tank_contents(tank: Tank, site: Site, answers: Answers | None, question: Question) -> Contents:
    """The whole card of a tank, less its name line."""
    units = site.settings.units
    reach = answers.reach.tank(tank.id) if answers is not None and answers.reach is not None else None
    shows_reach = question is Question.REACH and reach is not None and bool(reach.beds)
    return Contents(
        icon_role="water",
        about=tank_about(tank, units),
        figures=tank_figures(tank, site, answers, question),
        tables=_tables(tank, reach, site) if shows_reach and reach is not None else (),
        caution="Not for drinking. A full tank is heavy: local code and a licensed practitioner decide on its base.",
        more=_more(tank, reach, units),
        sources=_SOURCES,
    )
