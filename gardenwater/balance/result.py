"""What a balance says: every litre of every day, for each tank and bed."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.errors import InputError

Floats = NDArray[np.float64]

_L = 1000.0

ORDER: tuple[str, ...] = (
    "What each bed wants is seen in the morning, and decided from the water of the evening before.",
    "Rain runs off the roofs into the tanks, first flush and what diverters cannot pass taken off.",
    "Linked tanks level; water above the lowest overflow spills, into the next tank where one takes it.",
    "The beds are served, by gravity while the water stands high enough, by can below that.",
    "Open tanks evaporate, leaks run, float valves fill, and linked tanks level again.",
)
"""The day's order of events, as people read it (yield after spillage)."""

ORDER_AFTER_RAIN: tuple[str, ...] = (
    "Rain runs off the roofs into the tanks, first flush and what diverters cannot pass taken off.",
    "What each bed wants is decided from the water that stands there then, before any of it spills, and is served.",
    "Linked tanks level; water above the lowest overflow spills, into the next tank where one takes it.",
    "Open tanks evaporate, leaks run, float valves fill, and linked tanks level again.",
)
"""The same with yield before spillage."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Balance:
    """Every litre of a run of days. All arrays are float64 and read-only; the state is that of the day's end.

    start: the first day. tanks, beds, links, pipes (downpipes): ids, in the order of the arrays' second axis.
    start_m3: (tanks,), what each tank held before the first day.
    rain_mm: (days,). runs_m3: (days, pipes), what runs down each pipe after its first flush; foot_m3: (days, pipes),
    what of it no diverter leads to a tank, so that it runs out at the foot.

    Tanks, (days, tanks): volume_m3 and level_m (of the water, m above the datum; the floor's when empty); inflow_m3
    from diverters; passed_m3 from other tanks, net (links, float valves, overflows: negative when it gives); spill_m3
    over its own overflow (with what runs on into another tank); drawn_m3 for beds; lost_m3 to the air, to leaks and
    drained in winter. volume[d] = volume[d - 1] + inflow + passed - spill - drawn - lost.

    Beds, (days, beds): wanted_l, what it wants that day; need_l, what of that is new, which is wanted for the first
    time (what was refused yesterday and is asked for again counts once; what plants would have used and could not for
    want of water counts as need too); met_gravity_l, met_can_l: what it gets; short_l: wanted and not given that day.
    depletion_mm: what is missing in its root zone to be full; NaN for a bed whose need was given.
    link_m3: (days, links), through each link from its first tank to its second, negative the other way.
    link_gap_m: (days, links), how far the levels at its ends still differ above the link at the day's end, 0 when
    level.
    round_min: (days,), minutes of that day's watering, all beds one after another.
    """

    start: dt.date
    tanks: tuple[str, ...]
    beds: tuple[str, ...]
    links: tuple[str, ...]
    pipes: tuple[str, ...]
    start_m3: Floats
    rain_mm: Floats
    runs_m3: Floats
    foot_m3: Floats
    volume_m3: Floats
    level_m: Floats
    inflow_m3: Floats
    passed_m3: Floats
    spill_m3: Floats
    drawn_m3: Floats
    lost_m3: Floats
    wanted_l: Floats
    need_l: Floats
    met_gravity_l: Floats
    met_can_l: Floats
    short_l: Floats
    depletion_mm: Floats
    link_m3: Floats
    link_gap_m: Floats
    round_min: Floats

    @property
    def days(self) -> int:
        """How many days."""
        return int(self.rain_mm.size)

    @property
    def last(self) -> dt.date:
        """The last day."""
        return self.start + dt.timedelta(days=self.days - 1)

    def dates(self) -> NDArray[np.datetime64]:
        """The days, datetime64[D] (days,)."""
        return np.datetime64(self.start, "D") + np.arange(self.days)

    def index(self, day: dt.date) -> int:
        """The place of a day in the arrays. Raises InputError for a day that is not in it."""
        at = (day - self.start).days
        if not 0 <= at < self.days:
            raise InputError(f"{day} is not in the balance.", where="day", mend=f"It runs {self.start} to {self.last}.")
        return at

    def slice(self, first: dt.date, last: dt.date) -> Balance:
        """The days from `first` to `last`, both included, as views. Raises InputError for days that are not in it."""
        begin, end = self.index(first), self.index(last) + 1
        if end <= begin:
            raise InputError("The last day is before the first.", where="first, last")
        before = self.start_m3 if begin == 0 else self.volume_m3[begin - 1]
        arrays = {name: getattr(self, name)[begin:end] for name in DAILY}
        named = {name: getattr(self, name) for name in ("tanks", "beds", "links", "pipes")}
        return Balance(start=first, start_m3=before, **named, **arrays)

    @property
    def store_l(self) -> Floats:
        """Litres in all tanks at each day's end, float64 (days,)."""
        total: Floats = self.volume_m3.sum(axis=1) * _L
        return total

    @property
    def met_l(self) -> Floats:
        """Litres that each bed gets, by gravity and by can, float64 (days, beds)."""
        return self.met_gravity_l + self.met_can_l

    @property
    def is_short(self) -> NDArray[np.bool_]:
        """Whether some bed is refused water, bool (days,): over half a litre and over half a hundredth of its want."""
        refused = (self.short_l > 0.5) & (self.short_l > 0.005 * self.wanted_l)
        some: NDArray[np.bool_] = np.asarray(np.any(refused, axis=1), dtype=np.bool_)
        return some

    @property
    def share_met_volume(self) -> float:
        """Litres given over litres needed, 0 to 1; 1 where nothing is needed."""
        need = float(self.need_l.sum())
        return min(float(self.met_l.sum()) / need, 1.0) if need > 0 else 1.0

    @property
    def share_met_days(self) -> float:
        """Of the days on which some bed wants water, the share on which all get what they want; 1 where none wants."""
        wanting = (self.wanted_l > 0).any(axis=1)
        days = int(np.count_nonzero(wanting))
        return 1.0 - float(np.count_nonzero(self.is_short & wanting)) / days if days else 1.0

    @property
    def missing_l(self) -> float:
        """Litres needed and never given."""
        return max(float(self.need_l.sum()) - float(self.met_l.sum()), 0.0)

    @property
    def moved_m3(self) -> float:
        """All water that moved: into tanks, between them, out of them, and past them."""
        parts = (self.runs_m3, self.inflow_m3, np.abs(self.passed_m3), self.spill_m3, self.drawn_m3, self.lost_m3)
        return float(sum(part.sum() for part in parts))

    @property
    def residual_m3(self) -> float:
        """Water that is not accounted for, recomputed from the arrays: the sum of what each account is off each day.

        The accounts: each tank's, each day's rain in the pipes, each day's water of the beds, and what tanks pass to
        each other.
        """
        before = np.vstack([self.start_m3[None, :], self.volume_m3[:-1]])
        change = self.inflow_m3 + self.passed_m3 - self.spill_m3 - self.drawn_m3 - self.lost_m3
        tanks = np.abs(self.volume_m3 - before - change).sum()
        pipes = np.abs(self.runs_m3.sum(axis=1) - self.foot_m3.sum(axis=1) - self.inflow_m3.sum(axis=1)).sum()
        beds = np.abs(self.drawn_m3.sum(axis=1) - self.met_l.sum(axis=1) / _L).sum()
        return float(tanks + pipes + beds)


DAILY: tuple[str, ...] = (
    "rain_mm", "runs_m3", "foot_m3",
    "volume_m3", "level_m", "inflow_m3", "passed_m3", "spill_m3", "drawn_m3", "lost_m3",
    "wanted_l", "need_l", "met_gravity_l", "met_can_l", "short_l", "depletion_mm",
    "link_m3", "link_gap_m", "round_min",
)  # fmt: skip
"""The arrays of a balance that have one row for each day."""
