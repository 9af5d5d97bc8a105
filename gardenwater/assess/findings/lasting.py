"""Findings of Lasting: whether the store lasts, and what keeps water from the beds or fresh in the tanks."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from gardenwater.assess.findings.weather import weather_findings
from gardenwater.assess.lasting import LastingAnswer
from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.site.calendar import day_words
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tank
from gardenwater.weather import has_sky

STANDS_DAYS = 90.0
"""Age of water from which it is called standing: a season without turnover (judgement, no source)."""
LEAST_GAP_M = 0.01
LEAST_GAP_DAYS = 3
LEAST_CANS = 5.0
MOSTLY = 0.5
LEAST_LOSS = 0.2
"""Share of the need that must hang on one tank before it is said."""


def lasting_findings(site: Site, answer: LastingAnswer | None) -> Iterator[Finding]:
    """What is to be said of the weather and of the store."""
    yield from weather_findings(site)
    if answer is None:
        wanted = bool(site.of(Tank)) and bool(site.of(Bed))
        if has_sky(site) and site.settings.latitude_deg is None and wanted:
            yield made("lasting.needs-latitude")
        return
    yield from _whole(answer)
    if answer.limited:
        numbers = {"days": float(answer.limited), "cans": site.settings.cans_a_day}
        yield made("lasting.out-of-hands", numbers=numbers, stake=float(answer.limited))
    yield from _beds(answer)
    yield from _links(answer)
    for tank, (_, oldest) in zip(answer.tanks, answer.turnover_days, strict=True):
        if oldest >= STANDS_DAYS:
            yield made("lasting.water-stands", tank, numbers={"days": round(oldest)}, stake=oldest)
    if answer.made:
        yield made("lasting.made-years", numbers={"years": float(len(answer.years))})


def _whole(answer: LastingAnswer) -> Iterator[Finding]:
    """The headline: short of how much, from when."""
    year, years = answer.figures, float(len(answer.years))
    if year.first_short is None:
        yield made("lasting.lasts", numbers={"years": years, "need_l": year.need_l})
        return
    numbers = {
        "years": years,
        "missing_l": year.missing_l,
        "cans": float(answer.cans_missing),
        "days": float(year.short_days),
        "share": year.share_met_volume,
        "dry_years": float(answer.dry_years),
    }
    case = "some-years" if answer.dry_years > 1 else ""
    words = {"day": day_words(year.first_short)}
    yield made("lasting.runs-dry", case=case, numbers=numbers, words=words, stake=year.missing_l)


def _beds(answer: LastingAnswer) -> Iterator[Finding]:
    """Beds that are mostly carried to."""
    days = answer.answers["driest"].balance
    for at, bed in enumerate(answer.beds):
        by_can, met = float(days.met_can_l[:, at].sum()), float(days.met_l[:, at].sum())
        cans = by_can / answer.can_l
        if cans >= LEAST_CANS and by_can > MOSTLY * met:
            numbers = {
                "cans": float(math.ceil(cans - 1e-9)),
                "share": by_can / met,
                "days": float(np.count_nonzero(days.met_can_l[:, at] > 0)),
            }
            yield made("lasting.bed-by-can", bed, numbers=numbers, stake=by_can)


def _links(answer: LastingAnswer) -> Iterator[Finding]:
    """Links that cannot level in a day."""
    days = answer.answers["driest"].balance
    for at, link in enumerate(days.links):
        gaps = days.link_gap_m[:, at]
        late = int(np.count_nonzero(gaps > LEAST_GAP_M))
        if late >= LEAST_GAP_DAYS:
            yield made("lasting.link-thin", link, numbers={"days": float(late), "gap_m": float(gaps.max())}, stake=late)


def tank_findings(answer: LastingAnswer) -> Iterator[Finding]:
    """Tanks that much hangs on; needs the long runs."""
    if answer.sizes is None:
        return
    for loss in answer.sizes.losses:
        if len(answer.tanks) > 1 and answer.share_met_volume - loss.share_volume >= LEAST_LOSS:
            numbers = {
                "share": loss.share_volume,
                "share_now": answer.share_met_volume,
                "missing_l": loss.missing_l,
            }
            yield made("lasting.one-tank", loss.tank, numbers=numbers, stake=loss.missing_l)
