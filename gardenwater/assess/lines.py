"""The line that a tank waters through."""

from __future__ import annotations

from collections.abc import Mapping

from gardenwater.catch import Wiring
from gardenwater.hydraulics import Line
from gardenwater.site.model import Site
from gardenwater.site.things import LineFields, WateringLine
from gardenwater.tables import table


def drawn_lines(site: Site, wires: Wiring) -> Mapping[str, WateringLine]:
    """The first watering line that is drawn from each tank, by the tank's id."""
    first: dict[str, WateringLine] = {}
    for line in site.of(WateringLine):
        first.setdefault(wires.tank_of.get(line.id, ""), line)
    return first


def line_of(site: Site, drawn: WateringLine | None) -> Line:
    """The line of a tank: the one that is drawn from it, else the site's usual line.

    Raises InputError for a line that the friction law was not made for (a wall rougher than a twentieth of its bore).
    """
    return _line(drawn or site.settings.line)


def _line(fields: LineFields) -> Line:
    return Line(
        bore_mm=table("line_bores").row(fields.bore).bore_mm,
        roughness_mm=fields.roughness_mm,
        fittings_k=fields.fittings_k,
        lift_m=fields.lift_m,
        line_height_m=fields.line_height_m,
        flow_l_min=fields.wanted_l_min,
        least_head_m=fields.least_head_m,
    )
