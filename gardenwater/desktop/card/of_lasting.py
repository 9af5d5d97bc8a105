"""The cards in Lasting: of the question, a tank and a bed, for the year on the strip and the day under its hand."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.desktop.card.of_tank import tank_about
from gardenwater.desktop.lasting_words import serves_words
from gardenwater.report.text import litres
from gardenwater.report.year.bed_words import bed_wants, cans_words, short_of_full
from gardenwater.report.year.day import BedDay, DayState, Dryness
from gardenwater.report.year.of_answers import year_name
from gardenwater.report.year.reading import day_words
from gardenwater.report.year.years import DRIEST
from gardenwater.site.calendar import MONTH_NAMES
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Tank
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, LastingAnswer, YearAnswer
    from gardenwater.balance import Balance

_L = 1000.0
_SOURCES = (
    "Need: FAO-56 dual crop coefficient and root-zone balance, bed by bed.",
    "Driest year: the one with the least rain against its reference evapotranspiration in the warm half of the year.",
    "Store: water levels day by day, yield after spillage (Jenkins 1978; Fewkes and Butler 2000) unless set otherwise.",
)


def year_of(lasting: LastingAnswer, key: str) -> YearAnswer:
    """The year that is shown: the chosen one, or the driest."""
    return lasting.of(key if key in lasting.keys else DRIEST)


def lasting_question(site: Site, answers: Answers, key: str, day: DayState | None) -> Contents:
    """The card of the question. key: of the year on the strip; day: under its hand."""
    lasting = answers.lasting
    if lasting is None:
        return Contents(title="Lasting", place="whole site", about="Working out.")
    units, year = site.settings.units, year_of(lasting, key)
    tables = () if day is None else (_tanks_table(site, day, units),)
    return Contents(
        title="Lasting",
        place="whole site",
        about=f"In the {year_name(lasting, year)}",
        figures=_year_figures(year, lasting),
        tables=(*tables, *_losses_table(site, lasting, units)),
        caution=" ".join(lasting.trust),
        more=_more(site, lasting, year, units),
        sources=(
            *_SOURCES,
            f"Weather: {lasting.source}",
            *(f"{n}. {words}" for n, words in enumerate(lasting.order, 1)),
        ),
    )


def _year_figures(year: YearAnswer, lasting: LastingAnswer) -> tuple[Figure, ...]:
    """Days short, first dry day, cans missing; of a year that lasts how much is met, and the lowest store."""
    figures, balance = year.figures, year.balance
    if figures.first_short is not None:
        days = "1 day" if figures.short_days == 1 else f"{figures.short_days} days"
        cans = math.ceil(figures.missing_l / lasting.can_l - 1e-9)
        return (
            Figure(days, "short of water", "fails"),
            Figure(day_words(figures.first_short), "first dry day"),
            Figure(f"{cans:,} cans" if cans != 1 else "1 can", "missing"),
        )
    lowest = int(np.argmin(balance.store_l)) if balance.days else 0
    return (
        Figure("lasts", "all beds get theirs", "leaf"),
        Figure(day_words(balance.dates()[lowest].item()), "lowest store"),
    )


def _tanks_table(site: Site, day: DayState, units: UnitSystem) -> Table:
    rows = tuple(
        TableRow(
            (name_of(site, tank), litres(held.volume_l, units), serves_words(held).removeprefix("serves ")),
            tank,
            "water",
        )
        for tank, held in day.tanks.items()
    )
    return Table((f"Tanks on {day_words(day.date)}", "in it", "serves"), rows)


def _losses_table(site: Site, lasting: LastingAnswer, units: UnitSystem) -> tuple[Table, ...]:
    """What the loss of each tank costs in a mean year."""
    if lasting.sizes is None or len(lasting.sizes.losses) < 2:
        return ()
    rows = tuple(
        TableRow(
            (
                name_of(site, loss.tank),
                f"+{litres(max(loss.missing_l, 0.0), units)}",
                f"+{max(loss.short_days, 0.0):.0f}",
                text(loss.share_volume, Quantity.SHARE, units),
            ),
            loss.tank,
        )
        for loss in lasting.sizes.losses
    )
    return (Table(("Without one tank", "missing", "days", "met"), rows),)


def _more(site: Site, lasting: LastingAnswer, year: YearAnswer, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The engineers' numbers: of all years, then of this one, then of each tank's water."""
    own = year.figures
    rows = [
        ("Need met, all years", f"{text(lasting.share_met_volume, Quantity.SHARE, units)} of the litres"),
        ("", f"{text(lasting.share_met_days, Quantity.SHARE, units)} of the days"),
        ("Years with a dry day", f"{lasting.dry_years} of {len(lasting.years)}"),
        ("Dry days in a mean year", f"{lasting.dry_days:.1f}"),
        ("Need of this year", litres(own.need_l, units)),
        ("met", litres(own.met_l, units)),
        ("Longest run of dry days", f"{own.longest_short}"),
        ("Rain of this year", text(own.rain_mm, Quantity.RAIN_MM, units)),
        ("Into the tanks", litres(own.inflow_l, units)),
        ("Over their overflows", litres(own.spill_l, units)),
    ]
    if math.isfinite(own.et0_mm):
        rows.append(("Reference evapotranspiration", text(own.et0_mm, Quantity.RAIN_MM, units)))
    rows += [
        (f"Age of water, {name_of(site, tank)}", f"{mean:.0f} days, at most {most:.0f}")
        for tank, (mean, most) in zip(lasting.tanks, lasting.turnover_days, strict=True)
        if math.isfinite(mean)
    ]
    return tuple(rows)


# the sentences under the curve


def lasting_sentences(site: Site, lasting: LastingAnswer, key: str) -> tuple[str, ...]:
    """What the figures come to: how much is met, what helps more, what stands in the tanks now."""
    units = site.settings.units
    return tuple(
        filter(
            None,
            (
                _met_words(lasting, units),
                _helps_words(lasting, units),
                _limited_words(site, lasting, key),
                _left_words(lasting, units),
            ),
        )
    )


def _met_words(lasting: LastingAnswer, units: UnitSystem) -> str:
    share, days = (text(value, Quantity.SHARE, units) for value in (lasting.share_met_volume, lasting.share_met_days))
    count = len(lasting.years)
    over = "Over the one year" if count == 1 else f"Over all {count} years"
    return f"{over} {share} of the need is met, in full on {days} of the days that want water."


def _helps_words(lasting: LastingAnswer, units: UnitSystem) -> str:
    """Another tank, or more roof: what half as much again of either would meet."""
    sizes = lasting.sizes
    tanks, roofs = (None, None) if sizes is None else (sizes.curve("tanks"), sizes.curve("roofs"))
    if tanks is None or roofs is None:
        return ""
    now = float(np.interp(1.0, tanks.factors, tanks.share_volume))
    by_tank, by_roof = (float(np.interp(1.5, each.factors, each.share_volume)) for each in (tanks, roofs))
    if now >= 0.995:
        return ""
    tank_words, roof_words = (text(value, Quantity.SHARE, units) for value in (by_tank, by_roof))
    if max(by_tank, by_roof) - now < 0.01:
        return (
            "Half as much tank or half as much roof again changes little: the water does not get to the beds in time."
        )
    if abs(by_tank - by_roof) < 0.01:
        return f"Half as much tank again would meet {tank_words}, and so would half as much roof again."
    better = "More tank helps more than more roof" if by_tank > by_roof else "More roof helps more than more tank"
    return f"{better}: half as much tank again would meet {tank_words}, half as much roof {roof_words}."


def _limited_words(site: Site, lasting: LastingAnswer, key: str) -> str:
    if not lasting.limited or year_of(lasting, key).key != DRIEST:
        return ""
    cans = f"{site.settings.cans_a_day:.0f} cans a day" if hasattr(site.settings, "cans_a_day") else "the cans"
    days = lasting.figures.short_days
    return (
        f"On {lasting.limited} of its {days} dry days water was left that neither gravity nor {cans} bring to the bed."
    )


def _left_words(lasting: LastingAnswer, units: UnitSystem) -> str:
    """Days left from what stands in the tanks now."""
    held = litres(lasting.usable_l, units)
    if not math.isfinite(lasting.days_left):
        return f"Now {held} can be drawn, and nothing is."
    days = math.floor(lasting.days_left)
    words = "1 day" if days == 1 else f"{days} days"
    return f"Now {held} can be drawn: {words} at {litres(lasting.draw_l_day, units)} a day without rain."


# a tank


def lasting_tank(tank: Tank, site: Site, answers: Answers, key: str, day: DayState | None) -> Contents | None:
    """The card of a tank, less its name line; None while Lasting is not answered."""
    lasting = answers.lasting
    if lasting is None or day is None or tank.id not in day.tanks:
        return None
    units, held = site.settings.units, day.tanks[tank.id]
    balance = year_of(lasting, key).balance
    place = balance.tanks.index(tank.id)
    mean, most = lasting.turnover_days[place]
    figures = [
        Figure(litres(held.volume_l, units), f"on {day_words(day.date)}", "fails" if held.volume_l < 0.5 else "water"),
        _lasts_figure(tank, balance, place, day),
    ]
    if math.isfinite(mean):
        figures.append(Figure(f"{mean:.0f} days", f"its water stands, {most:.0f} at most"))
    reaches = tuple(_served_row(bed, held.serves, site, day) for bed in day.beds.values())
    return Contents(
        icon_role="water",
        about=tank_about(tank, units),
        figures=tuple(figures),
        tables=(Table((f"Drawn for, on {day_words(day.date)}", "reached", "wants"), reaches),) if reaches else (),
        more=_tank_more(balance, place, day, units),
        sources=("Reached: the water stands above the bed's needed level that day.", *_SOURCES),
    )


def _lasts_figure(tank: Tank, balance: Balance, place: int, day: DayState) -> Figure:
    """In how many days it is down to its outlet, in this year."""
    dead_m3 = tank.volume_at_m(tank.outlet_height_m) / _L
    at = balance.index(day.date)
    empty = np.flatnonzero(balance.volume_m3[at:, place] <= dead_m3 + 1e-3)
    if not empty.size:
        return Figure("lasts", "to the year's end", "leaf")
    if empty[0] == 0:
        return Figure("empty", "down to its outlet", "fails")
    return Figure("1 day" if empty[0] == 1 else f"{empty[0]} days", "until it is empty")


def _served_row(bed: BedDay, serves: tuple[str, ...], site: Site, day: DayState) -> TableRow:
    how = "by gravity" if bed.bed in serves else "by can"
    wants = "nothing" if bed.next_day is None else cans_words(bed.next_l, day.can_l)
    if bed.next_day is not None and bed.next_day != day.date:
        wants += f", {bed.next_day.day}\u00a0{MONTH_NAMES[bed.next_day.month - 1][:3]}"
    return TableRow((name_of(site, bed.bed), how, wants), bed.bed, "ink" if bed.bed in serves else "ink_soft")


def _tank_more(balance: Balance, place: int, day: DayState, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    held = next(each for each in day.tanks.values() if each.tank == balance.tanks[place])

    def year(array: np.ndarray) -> str:
        return litres(float(array[:, place].sum()) * _L, units)

    return (
        ("Water level that day", text(held.level_m, Quantity.LEVEL_M, units)),
        ("Came in that day", litres(held.inflow_l, units)),
        ("Drawn that day", litres(held.drawn_l, units)),
        ("Spilled that day", litres(held.spill_l, units)),
        ("Came in this year", year(balance.inflow_m3)),
        ("Drawn this year", year(balance.drawn_m3)),
        ("Spilled this year", year(balance.spill_m3)),
        ("Lost to air, leaks, winter", year(balance.lost_m3)),
    )


# a bed


def lasting_bed(bed: Bed, site: Site, answers: Answers, key: str, day: DayState | None) -> Contents | None:
    """The card of a bed, less its name line; None while Lasting is not answered."""
    lasting = answers.lasting
    if lasting is None or day is None or bed.id not in day.beds:
        return None
    units, state = site.settings.units, day.beds[bed.id]
    balance = year_of(lasting, key).balance
    place = balance.beds.index(bed.id)
    need, met = float(balance.need_l[:, place].sum()), float(balance.met_l[:, place].sum())
    figures = [_wants_figure(state, day)]
    if math.isfinite(state.depletion_mm):
        figures.append(Figure(text(round(state.depletion_mm), Quantity.RAIN_MM, units), "short of full"))
    if need > 0:
        share = min(met / need, 1.0)
        figures.append(Figure(text(share, Quantity.SHARE, units), "met this year", "fails" if share < 0.995 else "ink"))
    crop, soil = table("crops").row(bed.crop).name, table("soils").row(bed.soil).name.lower()
    about = f"{crop}, on {soil}. On {day_words(day.date)} it {bed_wants(state, day.date, day.can_l)}"
    return Contents(
        about=about,
        figures=tuple(figures),
        tables=_ways_table(bed, site, answers, day, units),
        more=_bed_more(balance, place, state, units),
        sources=_SOURCES,
    )


def _wants_figure(state: BedDay, day: DayState) -> Figure:
    if state.dryness is Dryness.DRY:
        return Figure(cans_words(state.short_l, day.can_l), "refused that day", "fails")
    if state.next_day is None:
        return Figure("nothing", "wanted this year")
    days = (state.next_day - day.date).days
    when = "today" if days == 0 else "tomorrow" if days == 1 else f"in {days} days"
    return Figure(cans_words(state.next_l, day.can_l), f"wanted {when}")


def _ways_table(bed: Bed, site: Site, answers: Answers, day: DayState, units: UnitSystem) -> tuple[Table, ...]:
    """Each tank with its level that day, and by how much it stands over or under the bed's needed level."""
    rows = []
    for tank in answers.reach.tanks if answers.reach is not None else ():
        found, held = tank.bed(bed.id), day.tanks.get(tank.tank)
        if found is None or held is None:
            continue
        serves = bed.id in held.serves
        over = held.level_m - found.needed_level_m
        margin = "no way" if math.isnan(over) else text(over, Quantity.HEIGHT_M, units)
        cells = (name_of(site, tank.tank), litres(held.volume_l, units), "by gravity" if serves else "by can", margin)
        rows.append(TableRow(cells, tank.tank, "ink" if serves else "ink_soft"))
    return (
        (Table((f"Tank, on {day_words(day.date)}", "in it", "reaches it", "level over"), tuple(rows)),) if rows else ()
    )


def _bed_more(balance: Balance, place: int, state: BedDay, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    def year(array: np.ndarray) -> str:
        return litres(float(array[:, place].sum()), units)

    missing = max(float(balance.need_l[:, place].sum() - balance.met_l[:, place].sum()), 0.0)
    refused = int(np.count_nonzero(balance.short_l[:, place] > 0.5))
    return (
        ("Wanted that day", litres(state.wanted_l, units)),
        ("Got by gravity", litres(state.met_gravity_l, units)),
        ("Got by can", litres(state.met_can_l, units)),
        ("Root zone that day", short_of_full(state, units) or "not known"),
        ("Need of the year", year(balance.need_l)),
        ("Met by gravity", year(balance.met_gravity_l)),
        ("Met by can", year(balance.met_can_l)),
        ("Missing", litres(missing, units)),
        ("Days refused", str(refused)),
    )
