"""The cards of what catches: roofs, downpipes, diverters, and Catch for the whole site."""

from __future__ import annotations

from typing import TYPE_CHECKING

from gardenwater.desktop.card.contents import Contents, Figure, Table, TableRow
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Diverter, Downpipe, Roof
from gardenwater.tables import table
from gardenwater.units import Quantity, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, CatchAnswer
    from gardenwater.catch import Yields

SOURCES = (
    "Litres: plan area x rain x surface coefficient x filter, less first flush (EN 16941-1 form, read second-hand).",
    "Capacity: EN 12056-3:2000 (read second-hand), for roof area driven by wind.",
)


def _period(catch: CatchAnswer) -> tuple[Yields, str]:
    """The yields that are shown, and what they are of: a year where its rain is known, else the wet day."""
    return (catch.year, "a year") if catch.year is not None else (catch.wet_day, "a wet day")


def _litres(litres: float, site: Site) -> str:
    return text(litres, Quantity.VOLUME_L, site.settings.units)


def catching_contents(thing: Roof | Downpipe | Diverter, site: Site, answers: Answers | None) -> Contents:
    """The card of a roof, a downpipe or a diverter."""
    catch = answers.catch if answers is not None else None
    if isinstance(thing, Roof):
        return _roof(thing, site, catch)
    pipe = thing.id if isinstance(thing, Downpipe) else (catch.wires.pipe_of.get(thing.id, "") if catch else "")
    about = _diverter_about(thing, site) if isinstance(thing, Diverter) else _pipe_about(thing, site)
    if catch is None:
        return Contents(about=about)
    return Contents(about=about, figures=_pipe_figures(thing, pipe, site, catch), tables=(pipes_table(site, catch),),
                    sources=SOURCES)  # fmt: skip


def _pipe_about(pipe: Downpipe, site: Site) -> str:
    bore = text(pipe.bore_mm, Quantity.BORE_MM, site.settings.units)
    foot = "its foot leads to a drain" if pipe.drained else "its foot lets water out on the ground"
    return f"{bore} bore; {foot}"


def _diverter_about(diverter: Diverter, site: Site) -> str:
    tank = name_of(site, diverter.tank) if diverter.tank else "no tank"
    return f"{diverter.form.value.capitalize()}; feeds {tank}"


def _pipe_figures(thing: Downpipe | Diverter, pipe: str, site: Site, catch: CatchAnswer) -> tuple[Figure, ...]:
    units = site.settings.units
    shown, period = _period(catch)
    got = shown.pipes.get(pipe)
    if got is None:
        return ()
    led = shown.diverters.get(thing.id, 0.0) if isinstance(thing, Diverter) else got.led_l
    caught = "led aside" if isinstance(thing, Diverter) or led > 0 else "led to nobody"
    figures = [
        Figure(_litres(led if led > 0 else got.rest_l, site), f"{period}, {caught}", "ink" if led > 0 else "watch"),
        Figure(text(got.area_m2, Quantity.AREA_M2, units), "of roof"),
    ]
    capacity = catch.capacities.pipes.get(pipe)
    if capacity is not None:
        words = f"{capacity.sends_l_s:.1f} of {capacity.carries_l_s:.1f} L/s"
        figures.append(Figure(words, "in the design rain", "ink" if capacity.enough else "fails"))
    return tuple(figures)


def _roof(roof: Roof, site: Site, catch: CatchAnswer | None) -> Contents:
    units = site.settings.units
    surface = table("surfaces").row(roof.surface)
    pitch = text(roof.pitch_deg, Quantity.ANGLE_DEG, units)
    about = f"{surface.name}, {roof.form.value}, {pitch}"
    figures = [Figure(text(roof.shape.area, Quantity.AREA_M2, units), "on the plan")]
    if catch is None:
        return Contents(about=about, figures=tuple(figures))
    shown, period = _period(catch)
    parts = [part for part in catch.parts if part.roof == roof.id]
    share = {part.downpipe: 0.0 for part in parts}
    for part in parts:
        share[part.downpipe] += part.area_m2
    rows, total = [], 0.0
    for pipe, area in share.items():
        got = shown.pipes.get(pipe)
        litres = got.runs_l * area / got.area_m2 if got is not None and got.area_m2 > 0 else 0.0
        total += litres
        word = name_of(site, pipe) if pipe else "drips off"
        role = "ink" if got is not None and got.led_l > 0 else "watch"
        rows.append(TableRow((word, text(area, Quantity.AREA_M2, units), _litres(litres, site)), pipe, role))
    figures.append(Figure(_litres(total, site), period))
    return Contents(
        about=about,
        figures=tuple(figures),
        tables=(Table(("Downpipe", "roof", f"litres {period}"), tuple(rows)),),
        caution="Work on roofs and gutters is work at height.",
        sources=(*SOURCES, f"Surface coefficient {surface.yield_coefficient:g}: {surface.source}"),
    )


def pipes_table(site: Site, catch: CatchAnswer) -> Table:
    """Each downpipe with its roof, what it leads to tanks, and whether gutter and pipe are enough."""
    shown, period = _period(catch)
    rows = []
    for pipe in site.of(Downpipe):
        got = shown.pipes.get(pipe.id)
        if got is None:
            continue
        capacity = catch.capacities.pipes.get(pipe.id)
        word = "-" if capacity is None else "enough" if capacity.enough else "too small"
        area = text(got.area_m2, Quantity.AREA_M2, site.settings.units)
        role = "fails" if word == "too small" else "watch" if pipe.id in catch.uncaught else "ink"
        rows.append(TableRow((name_of(site, pipe.id), area, _litres(got.runs_l, site), word), pipe.id, role))
    return Table(("Downpipe", "roof", f"litres {period}", "pipe"), tuple(rows))


def catch_question(site: Site, answers: Answers) -> Contents:
    """Catch for the whole site: what is led to tanks, what is lost and to whom."""
    catch = answers.catch
    if catch is None:
        return Contents(title="Catch", place="whole site", about="Working out.")
    shown, period = _period(catch)
    runs = sum(pipe.runs_l for pipe in shown.pipes.values())
    nobody = sum(shown.pipes[pipe].runs_l for pipe in catch.uncaught if pipe in shown.pipes)
    rain = text(shown.rain_mm, Quantity.RAIN_MM, site.settings.units)
    figures = (
        Figure(_litres(shown.led_l, site), "led to tanks"),
        Figure(_litres(runs, site), "down the pipes"),
        Figure(_litres(nobody, site), "to nobody", "watch" if nobody > 0 else "ink"),
    )
    lost = Table(
        ("Rain on the roofs", ""),
        (
            TableRow(("Falls on the roofs", _litres(shown.fallen_l, site))),
            TableRow(("   stays on the roofs", _litres(shown.stays_l, site)), role="ink_soft"),
            TableRow(("   turned away by filters", _litres(shown.filter_l, site)), role="ink_soft"),
            TableRow(("   kept by first flush", _litres(shown.first_flush_l, site)), role="ink_soft"),
            TableRow(("   drips off the eaves", _litres(shown.eaves_l, site)), role="ink_soft"),
            TableRow(("   led to tanks", _litres(shown.led_l, site)), role="ink_soft"),
            TableRow(("   out at the pipes' feet", _litres(shown.rest_l, site)), role="ink_soft"),
        ),
    )
    return Contents(
        title="Catch",
        place="whole site",
        about=f"{rain} of rain {period}",
        figures=figures,
        tables=(pipes_table(site, catch), lost),
        sources=(*SOURCES, *shown.notices),
    )
