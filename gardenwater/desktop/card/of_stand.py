"""The card of a place for a tank: what it says, as plain values."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gardenwater.assess import ProposedTank, StandAnswer
from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.findings import sentence
from gardenwater.site.model import Site
from gardenwater.site.names import called, name_of
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, can_time, text

DECIDES = "Local code and a licensed structural engineer decide."
_LEAST_STAND_M = 0.005
_STEADY, _TIPS = 1.5, 2.0
_SOURCES = (
    "Stand: needed level of each bed, less the ground and the height of the water when the asked share is drawn.",
    "Needed level: Darcy-Weisbach with Colebrook's friction factor along the way that the line takes.",
    "Feed: 0.20 m under the eaves (judgement), or the highest diverter; it goes round buildings.",
    "Feeder: falls 1 in 100 (common practice, no source).",
    "Order of spots: most of the beds' area, then the lowest stand (alike within 5 cm), then the shortest feeder.",
    "Spots whose feed clears the inlet by less than the levels are good to come last; the best of each pipe first.",
    "Weight: water at 1 kg a litre, and the tank. Load: spread evenly over its outline.",
    "Presumed bearing: IBC Table 1806.2, clay and silt, 71.8 kPa (1,500 lb/sq ft), seen in public code.",
    "Height over twice the base tips: common practice, no source. Too steep over 1 in 6: judgement.",
    "Lid under 2 m within a child's reach: judgement; accident prevention society on open water.",
)


def pair_of(answer: StandAnswer, rank: int) -> tuple[ProposedTank, ...]:
    """The spot that is looked at, and the next best beside it."""
    order = [each for each in answer.proposals if each.rank >= rank] + list(answer.proposals)
    return tuple(dict.fromkeys(order))[:2]


def stand_words(stand_m: float, units: UnitSystem) -> str:
    """A stand in words: "none" where there is none."""
    return "none" if stand_m < _LEAST_STAND_M else text(stand_m, Quantity.HEIGHT_M, units)


def stand_contents(answer: StandAnswer | None, rank: int, site: Site) -> Contents:
    """The card above its fields. rank: of the spot that is looked at."""
    if answer is None:
        return Contents(icon_role="mark", title="A place for a tank", about="Working out.")
    units = site.settings.units
    shown = pair_of(answer, rank)
    about = _about(answer, site)
    if not shown:
        return Contents(
            icon_role="mark",
            title="A place for a tank",
            place="no spot",
            about=about,
            needs=no_spot_words(answer, site),
            sources=_SOURCES,
        )
    first = shown[0]
    return Contents(
        icon_role="mark",
        title="A place for a tank",
        place=f"{len(answer.proposals)} of {answer.of} spots",
        about=about,
        figures=_figures(answer, first, units),
        tables=(_compared(answer, shown, site), safety_table(shown, units)),
        caution=DECIDES,
        more=_more(answer, first, site),
        sources=_SOURCES,
    )


def _about(answer: StandAnswer, site: Site) -> str:
    units = site.settings.units
    tank, known = answer.model, site.get(answer.model.id)
    whose = "" if known is None else f"{called(known)}, "
    share = "half" if math.isclose(answer.ask.share, 0.5) else text(answer.ask.share, Quantity.SHARE, units)
    beds = name_of(site, answer.beds[0]) if len(answer.beds) == 1 else f"{len(answer.beds)} beds"
    litres = text(tank.capacity_l, Quantity.VOLUME_L, units)
    return f"{whose}{litres}, {tank.form.value}; {share} of its litres for {beds}"


def _figures(answer: StandAnswer, first: ProposedTank, units: UnitSystem) -> tuple[Figure, ...]:
    stand = "no stand" if first.stand_m < _LEAST_STAND_M else text(first.stand_m, Quantity.HEIGHT_M, units)
    caption = f"for spot {first.rank}" if stand == "no stand" else f"stand, spot {first.rank}"
    served = f"{len(first.spot.beds)} of {len(answer.beds)}"
    return (
        Figure(stand, caption),
        Figure(served, "beds served"),
        Figure(text(first.safety.weight_kg, Quantity.MASS_KG, units), "when full"),
    )


def _compared(answer: StandAnswer, shown: Sequence[ProposedTank], site: Site) -> Table:
    """What the spots give, side by side."""
    units = site.settings.units
    hardest = shown[0].hardest

    def row(name: str, cells: Sequence[str], role: str = "ink") -> TableRow:
        return TableRow((name, *cells), role=role)

    rows = [
        row("Stand", [stand_words(each.stand_m, units) for each in shown]),
        row("Beds served", [f"{len(each.spot.beds)} of {len(answer.beds)}" for each in shown]),
        row("Share of their area", [text(each.spot.share, Quantity.SHARE, units) for each in shown]),
        row(f"A can at {name_of(site, hardest)}", [_can(each.minutes_at(hardest)) for each in shown]),
        row("Feed over the inlet", [text(each.clears_m, Quantity.HEIGHT_M, units) for each in shown]),
        row("Feeder", [text(each.spot.feeder_m, Quantity.LENGTH_M, units) for each in shown]),
        row("From", [name_of(site, each.pipe) for each in shown]),
    ]
    if not any(math.isnan(each.pipe_l) for each in shown):
        rows.append(row("Down it in a year", [text(each.pipe_l, Quantity.VOLUME_L, units) for each in shown]))
    return Table(("", *(each.name for each in shown)), tuple(rows))


def _can(minutes: float) -> str:
    return "out" if math.isnan(minutes) else can_time(minutes * 60)


def safety_table(shown: Sequence[ProposedTank], units: UnitSystem) -> Table:
    """What would stand there, in figures with what they mean."""

    def row(name: str, cells: Sequence[str]) -> TableRow:
        return TableRow((name, *cells))

    safe = [each.safety for each in shown]
    rows = (
        row("Weight when full", [text(each.weight_kg, Quantity.MASS_KG, units) for each in safe]),
        row("On its base", [_load(each.pressure_kpa, each.bearing_kpa, units) for each in safe]),
        row("Ground bears, presumed", [text(each.bearing_kpa, Quantity.PRESSURE_KPA, units) for each in safe]),
        row("Height to base", [_slender(each.height_to_base) for each in safe]),
        row("Base", [_base(each.base_fall_m, units) for each in safe]),
        row("From a building", [_away(each.building_m, units) for each in safe]),
        row("From a wall", [_away(each.wall_m, units) for each in safe]),
        row("Children", ["lock the lid" if each.lid_m < 2.0 else "lid out of reach" for each in safe]),
    )
    return Table(("Safe to stand there?", *(each.name for each in shown)), rows)


def _load(pressure_kpa: float, bearing_kpa: float, units: UnitSystem) -> str:
    words = text(pressure_kpa, Quantity.PRESSURE_KPA, units)
    return f"{words}, too much" if pressure_kpa > bearing_kpa else words


def _slender(ratio: float) -> str:
    word = "steady" if ratio <= _STEADY else "slender" if ratio <= _TIPS else "tips"
    return f"{ratio:.1f}, {word}"


def _base(fall_m: float, units: UnitSystem) -> str:
    return "level" if fall_m < _LEAST_STAND_M else f"dig {text(fall_m, Quantity.HEIGHT_M, units)}"


def _away(distance_m: float, units: UnitSystem) -> str:
    return text(distance_m, Quantity.LENGTH_M, units) if math.isfinite(distance_m) else "none near"


def _more(answer: StandAnswer, first: ProposedTank, site: Site) -> tuple[tuple[str, str], ...]:
    units = site.settings.units
    return (
        ("Feed at the tank", text(first.spot.feed_level_m, Quantity.LEVEL_M, units)),
        ("Needed level", text(first.needed_level_m, Quantity.LEVEL_M, units)),
        ("Diverter over the ground", text(first.diverter.height_m, Quantity.HEIGHT_M, units)),
        ("Highest stand taken", text(answer.map.limits.most_stand_m, Quantity.HEIGHT_M, units)),
        ("East", text(first.spot.at[0], Quantity.LENGTH_M, units)),
        ("North", text(first.spot.at[1], Quantity.LENGTH_M, units)),
    )


def no_spot_words(answer: StandAnswer, site: Site) -> str:
    """Why no spot works, bed by bed."""
    told = [
        sentence(finding, lambda thing: name_of(site, thing), site.settings.units).whole
        for finding in answer.findings
        if finding.code in {"stand.bed-not-served", "stand.no-spot"}
    ]
    return " ".join(told[:3])


def put_words(answer: StandAnswer, proposed: ProposedTank, site: Site) -> str:
    """The words of the button that puts a tank on a spot."""
    tank = site.get(answer.model.id)
    return f"{'Move it to' if isinstance(tank, Tank) else 'Put a tank on'} spot {proposed.rank}"
