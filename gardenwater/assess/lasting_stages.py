"""The stages of Lasting: the sky, each bed's days, the store over all years, and the long runs of other sizes."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from gardenwater.assess.answers import ReachAnswer
from gardenwater.assess.inputs import Hashed
from gardenwater.assess.lasting import LastingAnswer, StoreSizes, YearAnswer
from gardenwater.assess.lasting_figures import Now, limited_days, now_of, trust_words, turnover
from gardenwater.assess.lasting_sizes import sizes_of
from gardenwater.assess.lasting_years import YearSpan, driest, middle, rows_of, whole_years, year_spans
from gardenwater.assess.stages import SiteStages
from gardenwater.assess.store_system import services, system_of
from gardenwater.balance import (
    ORDER,
    ORDER_AFTER_RAIN,
    Balance,
    Course,
    System,
    YearFigures,
    course,
    run_course,
    year_figures,
)
from gardenwater.demand import BedDays, CommonSky, bed_days, common_sky, open_water_mm
from gardenwater.ground import level_at
from gardenwater.site.storing import YieldRule
from gardenwater.site.things import Bed, Link, Overflow, Tank, Tap
from gardenwater.weather import Sky, Weather, has_sky, make_days, monthly_of, reference_et, sky

MADE_BESIDE = 100
"""Years that are made beside a record, of which the driest is kept."""
_SEED = 1


@dataclass(frozen=True, slots=True, eq=False)
class Years:
    """The days that a site is run over, and the years that they fall into."""

    sky: Sky
    common: CommonSky
    spans: tuple[YearSpan, ...]

    @property
    def weather(self) -> Weather:
        """The days."""
        return self.common.weather


@dataclass(frozen=True, slots=True, eq=False)
class Stored:
    """The store over all days: what was run, over which days, and what became of each."""

    system: System
    course: Course
    balance: Balance


class LastingStages:
    """Lasting of one site. reach: what the tanks reach, or None; it says what each bed gets by gravity."""

    def __init__(self, stages: SiteStages, reach: ReachAnswer | None) -> None:
        self._stages = stages
        self._bench = stages.bench
        self._site = stages.site
        self._reach = reach

    @property
    def has_days(self) -> bool:
        """Whether there are days to run on: weather and latitude."""
        return has_sky(self._site) and self._site.settings.latitude_deg is not None

    @property
    def can_answer(self) -> bool:
        """Whether there is what the question needs: weather, latitude, a tank and a bed."""
        return self.has_days and bool(self._site.of(Tank)) and bool(self._site.of(Bed))

    @cached_property
    def _latitude_deg(self) -> float:
        return self._site.settings.latitude_deg or 0.0

    @cached_property
    def _altitude_m(self) -> float:
        return self._site.settings.altitude_m or 0.0

    @cached_property
    def _sky_key(self) -> Hashable:
        return Hashed(self._bench.inputs.weather(self._site))

    @cached_property
    def years(self) -> Years:
        """The days of the record, or of made years."""
        return self._bench.kept("sky", self._sky_key, self._years)

    def _years(self) -> Years:
        found = sky(self._site)
        assert found is not None
        return self._of_weather(found.weather, found)

    def _of_weather(self, weather: Weather, found: Sky) -> Years:
        et0 = reference_et(weather, latitude_deg=self._latitude_deg, altitude_m=self._altitude_m)
        common = common_sky(weather, et0, latitude_deg=self._latitude_deg, altitude_m=self._altitude_m)
        return Years(found, common, year_spans(weather, et0, south=self._latitude_deg < 0))

    @cached_property
    def made(self) -> Years | None:
        """The driest of many years made from the record's monthly figures, with the year before it; None of a made sky.

        The year before gives the tanks the water that they begin with.
        """
        if self.years.weather.made:
            return None
        return self._bench.kept("made sky", self._sky_key, self._made)

    def _made(self) -> Years:
        weather = make_days(monthly_of(self.years.weather), MADE_BESIDE, _SEED)
        every = self._of_weather(weather, self.years.sky)
        dry = driest([span for span in every.spans if span.whole][1:])
        before = next(span for span in every.spans if span.year == dry.year - 1)
        return self._of_weather(weather.slice(before.first, dry.last), self.years.sky)

    # beds and store

    def _bed(self, bed: Bed, years: Years, name: str) -> BedDays:
        can_l = self._site.settings.can_l
        key = (self._sky_key, name, self._bench.inputs.thing(bed), can_l)

        def work() -> BedDays:
            common = years.common
            return bed_days(
                bed,
                common.weather,
                common.et0_mm,
                latitude_deg=common.latitude_deg,
                altitude_m=common.altitude_m,
                can_l=can_l,
                sky=common,
            )

        found = self._bench.kept("bed days", key, work)
        return replace(found, bed=bed.id)

    def days_of(self, bed: Bed) -> BedDays:
        """A bed's days of the sky."""
        return self._bed(bed, self.years, "sky")

    @cached_property
    def _served(self) -> tuple[tuple[object, ...], ...]:
        return services(self._site, self._reach)

    @cached_property
    def _store_key(self) -> Hashable:
        site, inputs = self._site, self._bench.inputs
        things = inputs.of(site, Tank, Bed, Tap, Link, Overflow)
        return Hashed(
            (self._sky_key, inputs.catch(site), things, site.settings, self._stages.levels.digest, repr(self._served))
        )

    def _store(self, years: Years, name: str) -> Stored:
        return self._bench.kept("store", (self._store_key, name), lambda: self._stored(years, name))

    def _stored(self, years: Years, name: str) -> Stored:
        site, stages = self._site, self._stages
        taps = {tap.id: level_at(stages.built, tap.shape.x, tap.shape.y) + tap.height_m for tap in site.of(Tap)}
        system = system_of(
            site,
            stages.chains,
            stages.wires,
            stages.roof_parts,
            services(site, self._reach),
            {bed.id: self._bed(bed, years, name) for bed in site.of(Bed)},
            {tap: level for tap, level in taps.items() if not np.isnan(level)},
        )
        days = course(
            system,
            years.weather,
            runoff_mm=years.common.water_mm,
            evaporation_mm=open_water_mm(years.common.et0_mm),
            seasons=rows_of(years.spans, years.weather),
        )
        balance = run_course(system, days, cancel=self._bench.cancel, progress=self._bench.progress)
        return Stored(system, days, balance)

    @cached_property
    def store(self) -> Stored:
        """The store over all days of the sky."""
        return self._store(self.years, "sky")

    # answers

    def answer(self, *, sizes: bool) -> LastingAnswer:
        """Whether the store lasts. sizes: with the long runs of other sizes, which take some tenths of a second."""
        found = self._bench.kept("lasting", self._store_key, self._answer)
        return replace(found, sizes=self.sizes) if sizes else found

    def _figures(self, stored: Stored, span: YearSpan) -> tuple[YearFigures, Balance]:
        days = stored.balance.slice(span.first, span.last)
        return year_figures(days, span.year, et0_mm=span.et0_mm, dryness_mm=span.dryness_mm), days

    def _named(self, key: str, stored: Stored, span: YearSpan, *, made: bool) -> YearAnswer:
        figures, days = self._figures(stored, span)
        return YearAnswer(key=key, figures=figures, balance=days, made=made)

    def _answer(self) -> LastingAnswer:
        years, stored, settings = self.years, self.store, self._site.settings
        whole = whole_years(years.spans)
        made = years.weather.made
        answers = {
            "driest": self._named("driest", stored, driest(whole), made=made),
            "middle": self._named("middle", stored, middle(whole), made=made),
        }
        if self.made is not None:
            answers["made"] = self._named("made", self._store(self.made, "made"), self.made.spans[-1], made=True)
        figures = tuple(self._figures(stored, span)[0] for span in whole)
        now: Now = now_of(stored.system, stored.balance, settings.draw_l_day)
        after_rain = settings.yield_rule is YieldRule.BEFORE_SPILL
        return LastingAnswer(
            source=years.weather.source,
            made=made,
            trust=trust_words(years.sky, len(whole)),
            order=ORDER_AFTER_RAIN if after_rain else ORDER,
            tanks=stored.balance.tanks,
            beds=stored.balance.beds,
            years=figures,
            record=stored.balance,
            answers=answers,
            days_left=now.days_left,
            draw_l_day=now.draw_l_day,
            usable_l=now.usable_l,
            store_l=stored.system.capacity_m3 * 1000.0,
            can_l=settings.can_l,
            dry_days=float(np.mean([each.short_days for each in figures])),
            turnover_days=turnover(stored.balance, middle(whole)),
            limited=limited_days(stored.system, answers["driest"].balance),
        )

    @cached_property
    def sizes(self) -> StoreSizes:
        """Curves of the share met, the least store, and what the loss of each tank costs."""
        return self._bench.kept("store sizes", self._store_key, self._sizes, has_arrays=False)

    def _sizes(self) -> StoreSizes:
        stored, site, stages = self.store, self._site, self._stages
        led = {gather.id for gather in stored.system.gathers if gather.feeds}
        whole = whole_years(self.years.spans)
        return sizes_of(
            stored.system,
            stored.course,
            roof_m2=sum(part.area_m2 for part in stages.roof_parts if part.downpipe in led),
            wanted_share=site.settings.wanted_share,
            whole=[row for row, span in enumerate(self.years.spans) if span in whole],
            cancel=self._bench.cancel,
            progress=self._bench.progress,
        )
