"""Words of Overflow's own card: the rain hand, the waters and their steps, the mends. Values in, values out."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gardenwater.assess.event import event_of
from gardenwater.desktop.card.contents import Figure, Table, TableRow
from gardenwater.desktop.card.pick_rows import PickRow
from gardenwater.desktop.card.rain_hand import HandMark, HandWords
from gardenwater.findings import Finding, Severity
from gardenwater.report.overflow_words import mend_figures, mend_title, step_words
from gardenwater.report.text import litres
from gardenwater.site.model import Site
from gardenwater.site.names import called, name_of
from gardenwater.site.things import Path
from gardenwater.units import Quantity, UnitSystem, text

if TYPE_CHECKING:
    from gardenwater.assess import Answers, OverflowAnswer, WaterAccount
    from gardenwater.assess.following import Step
    from gardenwater.assess.mends import Mends
    from gardenwater.assess.rising import Beginning

_LEAST_L = 0.5
_FROM_SHARE = 0.03
"""What begins earlier begins with hardly any rain, and needs no mark."""
_BEGINS = {
    "overflow.pool-on-path": "{name} wet from {rain}",
    "overflow.crosses-path": "{name} crossed from {rain}",
    "overflow.towards-building": "towards {name} from {rain}",
    "overflow.over-sill": "over {name} from {rain}",
    "overflow.on-keep-dry": "{name} wet from {rain}",
    "overflow.taker-full": "{name} full from {rain}",
    "overflow.leaves-site": "off the site from {rain}",
}
_ROLES = {Severity.UNSAFE: "unsafe", Severity.FAILS: "fails", Severity.WATCH: "watch"}


def overflow_figures(site: Site, findings: tuple[Finding, ...], overflow: OverflowAnswer) -> tuple[Figure, ...]:
    """The three figures: litres where they do harm (else all that is spilled), how long they stand, what leaves."""
    units, account = site.settings.units, overflow.account
    pools = overflow.spill.pools
    hours = max((pool.hours_to_soak for pool in pools if math.isfinite(pool.hours_to_soak)), default=0.0)
    figures = [_on_path(site, findings, overflow) or Figure(litres(account.spilled_l, units), "spilled")]
    if pools:
        figures.append(Figure(text(hours, Quantity.HOURS, units), "until gone"))
    if account.over_boundary_l > account.off_site_l:
        figures.append(Figure(litres(account.over_boundary_l, units), "over boundary"))
    else:
        figures.append(Figure(litres(account.off_site_l, units), "off the site"))
    return tuple(figures)


def _on_path(site: Site, findings: tuple[Finding, ...], overflow: OverflowAnswer) -> Figure | None:
    """What stands on the path that is told of first, as it is now: findings are those of the last exact answer."""
    found = next((each for each in findings if each.code == "overflow.pool-on-path"), None)
    path = site.get(found.subject) if found is not None else None
    if not isinstance(path, Path):
        return None
    on_it = [pool for pool in overflow.spill.pools if pool.outline.intersects(path.band)]
    volume_l = 1000.0 * math.fsum(pool.volume_m3 for pool in on_it)
    return Figure(litres(volume_l, site.settings.units), f"on {called(path)}", "fails" if on_it else "ink")


def account_table(account: WaterAccount, units: UnitSystem) -> Table:
    """Every litre of the rain on the roofs, as rows that add up; rows without any water are left out."""
    rows = [
        ("Rain on the roofs", account.rain_l, True),
        ("   stays on the roofs", account.stays_on_roofs_l, False),
        ("   kept by first flush", account.kept_by_first_flush_l, False),
        ("   taken by tanks", account.taken_by_tanks_l, False),
        ("   into drains", account.into_drains_l, False),
        ("   spilled by others", account.not_followed_l, False),
        ("Spilled", account.spilled_l, True),
        ("   rain on the ground besides", account.ground_rain_l, False),
        ("   soaked on the way", account.soaked_l, False),
        ("   into takers", account.takers_l, False),
        ("   pooled", account.pooled_l, False),
        ("   off the site", account.off_site_l, False),
    ]
    return Table(
        ("Water of the wet day", ""),
        tuple(
            TableRow((name, litres(volume_l, units)), role="ink" if first else "ink_soft")
            for name, volume_l, first in rows
            if first or volume_l > _LEAST_L
        ),
    )


def hand_words(site: Site, share: float, beginnings: tuple[Beginning, ...]) -> HandWords:
    """What stands about the rain hand: so much of the event's rain (or of the typed litres), in its hours."""
    units, event = site.settings.units, event_of(site)
    typed, all_of_it = event.litres is not None, event.rain_mm if event.litres is None else event.litres
    quantity = Quantity.VOLUME_L if typed else Quantity.RAIN_MM
    whole = text(all_of_it, quantity, units)
    marks = tuple(
        HandMark(
            each.share,
            _BEGINS[each.code].format(
                name=name_of(site, each.subject), rain=text(all_of_it * each.share, quantity, units, unit=False)
            ),
            _ROLES.get(each.severity, "ink_soft"),
        )
        for each in beginnings
        if each.share >= _FROM_SHARE
    )
    hours = text(event.hours, Quantity.HOURS, units)
    now = f"{text(all_of_it * share, quantity, units)} of {whole}, in {hours}"
    return HandWords("Litres" if typed else "Rain", now, "0", whole, marks)


def water_rows(answers: Answers) -> tuple[tuple[str, ...], tuple[PickRow, ...]]:
    """The owners of spilled water, most first, and a row for each: where its way ends."""
    overflow, site = answers.overflow, answers.site
    if overflow is None:
        return (), ()
    from gardenwater.assess.following import follow

    units = site.settings.units
    owners, rows = [], []
    order = sorted(range(len(overflow.sources)), key=lambda number: -overflow.sources[number].volume_m3)
    for number in order:
        source = overflow.sources[number]
        if source.owner in owners or source.volume_m3 <= 0.0:
            continue
        last = follow(site, overflow, number)[-1]
        owners.append(source.owner)
        figure = litres(1000.0 * source.volume_m3, units)
        rows.append(PickRow(name_of(site, source.owner), step_words(last, site, units)[0], figure))
    return tuple(owners), tuple(rows)


def step_rows(steps: tuple[Step, ...], site: Site) -> tuple[PickRow, ...]:
    """The steps of a water that is followed."""
    units = site.settings.units
    rows = []
    for step in steps:
        first, second = step_words(step, site, units)
        rows.append(PickRow(first[:1].upper() + first[1:], second))
    return tuple(rows)


def mend_rows(mends: Mends, site: Site) -> tuple[PickRow, ...]:
    """The mends, each with its sizes and what remains."""
    units = site.settings.units
    several = len(mends.trouble.others) + bool(mends.trouble.subject) > 2
    return tuple(
        PickRow(
            mend_title(mend, site),
            mend_figures(mend, units, site if several else None),
            litres(mend.remains_l, units),
            "ink" if mend.remains_l < 1.0 else "watch",
        )
        for mend in mends.mends
    )


def mends_head(trouble: Finding, mends: Mends, site: Site) -> tuple[str, str]:
    """The head over mends, and what their figures are."""
    from gardenwater.assess.mends import place_of

    place = place_of(site, trouble)
    head = f"Mends for {name_of(site, place)}" if place else "Mends for the boundary"
    return head, f"remains of {litres(mends.before_l, site.settings.units)}"
