"""An invented answer of Lasting for any site: a dry summer, watered by threshold, with tanks that run low."""

from __future__ import annotations

import datetime as dt
from types import MappingProxyType

import numpy as np

from gardenwater.assess.answers import LastingAnswer, StoreCurve, StoreSizes, TankLoss, YearAnswer
from gardenwater.balance import ORDER, Balance, year_figures
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Tank

FIRST_YEAR, YEARS = 1999, 4
WANT_EACH_DAYS = 4


def _rain(days: int, seed: int) -> np.ndarray:
    draw = np.random.default_rng(seed)
    season = 1.0 + np.cos(np.arange(days) / 365.25 * 2 * np.pi)
    return np.where(draw.random(days) < 0.08 + 0.14 * season, draw.gamma(0.8, 7.0, days), 0.0)


def made_balance(site: Site, *, years: int = YEARS, seed: int = 3) -> Balance:
    """Tanks that fill with the rain and are drawn by beds that want water each four days in summer."""
    tanks, beds = site.of(Tank), site.of(Bed)
    start = dt.date(FIRST_YEAR, 1, 1)
    days = (dt.date(FIRST_YEAR + years, 1, 1) - start).days
    rain = _rain(days, seed)
    room = np.array([tank.capacity_l / 1000.0 for tank in tanks])
    arrays = {
        name: np.zeros((days, count))
        for names, count in (
            (("volume_m3", "level_m", "inflow_m3", "passed_m3", "spill_m3", "drawn_m3", "lost_m3"), len(tanks)),
            (("wanted_l", "need_l", "met_gravity_l", "met_can_l", "short_l", "depletion_mm"), len(beds)),
        )
        for name in names
    }
    held, dry = room.copy(), np.zeros(len(beds))
    for day in range(days):
        warm = max(0.0, -np.cos((day + 10) / 365.25 * 2 * np.pi))
        caught = rain[day] * 0.02 * room / room.sum()
        held = held + caught
        arrays["inflow_m3"][day] = caught
        arrays["spill_m3"][day] = np.maximum(held - room, 0.0)
        held = np.minimum(held, room)
        dry = np.clip(dry + 5.0 * warm - rain[day], 0.0, 60.0)
        due = (dry > 15.0) & ((day + np.arange(len(beds))) % WANT_EACH_DAYS == 0)
        wanted = np.where(due, dry * np.array([bed.shape.area for bed in beds]) * 0.4, 0.0)
        give = min(1.0, held.sum() * 0.96 * 1000.0 / wanted.sum()) if wanted.sum() > 0 else 0.0
        drawn = wanted.sum() * give / 1000.0
        arrays["drawn_m3"][day] = held / max(held.sum(), 1e-9) * drawn
        held = held - arrays["drawn_m3"][day]
        dry = np.where(due, dry * (1 - give), dry)
        arrays["volume_m3"][day] = held
        arrays["level_m"][day] = [
            100.0 + tank.stand_height_m + tank.height_at_l(volume * 1000.0)
            for tank, volume in zip(tanks, held, strict=True)
        ]
        arrays["wanted_l"][day] = arrays["need_l"][day] = wanted
        arrays["met_gravity_l"][day], arrays["met_can_l"][day] = wanted * give * 0.75, wanted * give * 0.25
        arrays["short_l"][day], arrays["depletion_mm"][day] = wanted * (1 - give), dry
    return Balance(
        start=start,
        tanks=tuple(tank.id for tank in tanks),
        beds=tuple(bed.id for bed in beds),
        links=(),
        pipes=(),
        start_m3=room,
        rain_mm=rain,
        runs_m3=np.zeros((days, 0)),
        foot_m3=np.zeros((days, 0)),
        link_m3=np.zeros((days, 0)),
        link_gap_m=np.zeros((days, 0)),
        round_min=arrays["met_can_l"].sum(axis=1) / 10.0 * 2.0,
        **arrays,
    )


def made_lasting(site: Site, *, made: bool = False, sizes: bool = True) -> LastingAnswer:
    """The answer over the invented years; the second is taken as the driest, the third as the middle one."""
    record = made_balance(site)
    tanks = site.of(Tank)
    figures = []
    for year in range(FIRST_YEAR, FIRST_YEAR + YEARS):
        own = record.slice(dt.date(year, 1, 1), dt.date(year, 12, 31))
        figures.append(year_figures(own, year, et0_mm=700.0, dryness_mm=200.0))
    keyed = {
        key: YearAnswer(key=key, figures=each, balance=record.slice(each.first, each.last), made=made)
        for key, each in (("driest", figures[1]), ("middle", figures[2]))
    }
    store = sum(tank.capacity_l for tank in tanks)
    return LastingAnswer(
        source="invented",
        made=made,
        trust=("The years are made from twelve monthly figures: their dry spells are likely ones, not real ones.",),
        order=ORDER,
        tanks=record.tanks,
        beds=record.beds,
        years=tuple(figures),
        record=record,
        answers=MappingProxyType(keyed),
        days_left=store * 0.6 / 210.0,
        draw_l_day=210.0,
        usable_l=store * 0.6,
        store_l=store,
        can_l=10.0,
        dry_days=9.5,
        turnover_days=tuple((30.0 + 9 * place, 70.0) for place in range(len(tanks))),
        limited=2,
        sizes=_sizes(site, store) if sizes else None,
    )


def _sizes(site: Site, store_l: float) -> StoreSizes:
    factors = (0.25, 0.5, 1.0, 1.5, 2.0, 3.0)
    met = (0.5, 0.62, 0.77, 0.88, 0.97, 1.0)
    more = tuple(min(1.0, share + 0.05) for share in met)

    def curve(what: str, sizes: tuple[float, ...], shares: tuple[float, ...]) -> StoreCurve:
        return StoreCurve(what=what, factors=factors, sizes=sizes, share_volume=shares, share_days=shares)

    litres = tuple(store_l * factor for factor in factors)
    return StoreSizes(
        curves=(
            curve("tanks", litres, met),
            curve("tanks with more roof", litres, more),
            curve("roofs", tuple(120.0 * factor for factor in factors), more),
            curve("beds", tuple(90.0 * factor for factor in factors), tuple(reversed(met))),
        ),
        wanted_share=0.9,
        least_store_l=store_l * 1.6,
        losses=tuple(
            TankLoss(tank=tank.id, missing_l=900.0 + 100 * place, short_days=5.0, share_volume=0.7)
            for place, tank in enumerate(site.of(Tank))
        ),
    )
