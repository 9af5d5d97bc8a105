"""Lasting as plain values: every figure of every year; the days themselves go into a table of their own."""

from __future__ import annotations

import dataclasses
from typing import Any

from gardenwater.assess.lasting import LastingAnswer, StoreSizes, YearAnswer
from gardenwater.balance import YearFigures
from gardenwater.site.model import Site
from gardenwater.site.names import name_of

Plain = dict[str, Any]
_L = 1000.0


def lasting_record(site: Site, answer: LastingAnswer) -> Plain:
    """What `assessment.json` says of the store: litres, days, shares from 0 to 1."""
    record = answer.record
    return {
        "weather": answer.source,
        "made_years": answer.made,
        "trust": answer.trust,
        "order_of_the_day": answer.order,
        "first_day": record.start.isoformat(),
        "last_day": record.last.isoformat(),
        "store_l": answer.store_l,
        "usable_now_l": answer.usable_l,
        "draw_l_day": answer.draw_l_day,
        "days_left": answer.days_left,
        "days_short": answer.days_short,
        "longest_run_short_days": answer.longest_dry_run,
        "first_day_short": None if answer.first_dry is None else answer.first_dry.isoformat(),
        "cans_missing": answer.cans_missing,
        "mean_days_short": answer.dry_days,
        "years_short": answer.dry_years,
        "share_met_volume": answer.share_met_volume,
        "share_met_days": answer.share_met_days,
        "days_short_with_water_left": answer.limited,
        "residual_l": record.residual_m3 * _L,
        "moved_l": record.moved_m3 * _L,
        "tanks": [
            {"id": tank, "name": name_of(site, tank), "water_age_mean_days": mean, "water_age_most_days": most}
            for tank, (mean, most) in zip(answer.tanks, answer.turnover_days, strict=True)
        ],
        "named_years": {key: _year(site, year) for key, year in answer.answers.items()},
        "years": [_figures(each) for each in answer.years],
        "sizes": None if answer.sizes is None else _sizes(site, answer.sizes),
    }


def _figures(year: YearFigures) -> Plain:
    plain: Plain = {each.name: getattr(year, each.name) for each in dataclasses.fields(year)}
    for name in ("first", "last", "first_short", "driest_day"):
        plain[name] = None if plain[name] is None else plain[name].isoformat()
    return plain | {"share_met_volume": year.share_met_volume, "share_met_days": year.share_met_days}


def _year(site: Site, year: YearAnswer) -> Plain:
    """A year that has a key of its own, with what each bed and tank comes to."""
    days = year.balance
    return _figures(year.figures) | {
        "made": year.made,
        "beds": [
            {
                "id": bed,
                "name": name_of(site, bed),
                "need_l": float(days.need_l[:, at].sum()),
                "met_gravity_l": float(days.met_gravity_l[:, at].sum()),
                "met_can_l": float(days.met_can_l[:, at].sum()),
            }
            for at, bed in enumerate(days.beds)
        ],
        "tanks": [
            {
                "id": tank,
                "name": name_of(site, tank),
                "inflow_l": float(days.inflow_m3[:, at].sum()) * _L,
                "spill_l": float(days.spill_m3[:, at].sum()) * _L,
                "drawn_l": float(days.drawn_m3[:, at].sum()) * _L,
                "lost_l": float(days.lost_m3[:, at].sum()) * _L,
            }
            for at, tank in enumerate(days.tanks)
        ],
    }


def _sizes(site: Site, sizes: StoreSizes) -> Plain:
    return {
        "wanted_share": sizes.wanted_share,
        "least_store_l": sizes.least_store_l,
        "curves": [
            {each.name: getattr(curve, each.name) for each in dataclasses.fields(curve)} for curve in sizes.curves
        ],
        "without_tank": [
            {"id": loss.tank, "name": name_of(site, loss.tank)}
            | {name: getattr(loss, name) for name in ("missing_l", "short_days", "share_volume")}
            for loss in sizes.losses
        ],
    }
