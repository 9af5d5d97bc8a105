"""A bed's days: crop, soil, place and watering brought together before the first day is run."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.curve import BARE_KC, climate_lift
from gardenwater.demand.figures import crops_of
from gardenwater.demand.ground_store import available_mm, roots_take, surface_of
from gardenwater.demand.growth import growth_of
from gardenwater.demand.model import BedDays, Growth
from gardenwater.demand.place import CommonSky, Place, common_sky, place_of
from gardenwater.demand.records_zone import BED, DAY, STATE, Asks, Records
from gardenwater.demand.seasons import Season, seasons_of
from gardenwater.errors import InputError
from gardenwater.site.things import Bed, WateringRule
from gardenwater.tables import Cover, Soil, table
from gardenwater.weather.model import Weather

Floats = NDArray[np.float64]

_ENDLESS_M = 100.0
_P_CHANGE = 0.04
_P_AT_MM = 5.0
_P_RANGE = (0.1, 0.8)


def _asks(bed: Bed, seasons: tuple[Season, ...], days: int) -> NDArray[np.int64]:
    """What the bed asks on each day: in season only, by its rule; fixed days are counted from the season's first."""
    asks = np.full(days, Asks.NOTHING, dtype=np.int64)
    how = {WateringRule.FIXED_DAYS: Asks.FILL_UP, WateringRule.FIXED_CANS: Asks.FIXED}.get(bed.watering, Asks.WHEN_DRY)
    every = 1 if how is Asks.WHEN_DRY else round(bed.every_days)
    for season in seasons:
        begin = season.first if season.first >= 0 else season.first % every
        asks[begin : min(season.last, days) : every] = how
    return asks


def zone_days(grown: Growth, place: Place, soil: Soil, *, passes: float, deepest_m: float) -> tuple[Records, Floats]:
    """The records `DAY` (days,) of what stands in a place, and the share of the soil under leaves, float64 (days,).

    passes: the share of evaporation that the mulch lets by. deepest_m: of all roots that the bed ever has. FAO-56
    equations 69 to 76, 82 and 83; nothing is asked for yet.
    """
    kcb = grown.kcb
    days = np.zeros(kcb.size, dtype=DAY)
    kc_max = np.maximum(1.2 + climate_lift(place.wind_m_s, place.humidity_pct, grown.height_m), kcb + 0.05)
    leaves = np.maximum(kcb - BARE_KC, 0.0) / (kc_max - BARE_KC)
    covered = np.minimum(leaves ** (1.0 + 0.5 * grown.height_m), 0.99)
    single_mm = (kcb + grown.wetness * passes) * place.et0_mm
    p = np.clip(grown.depletion_p + _P_CHANGE * (_P_AT_MM - single_mm), *_P_RANGE)
    days["water_mm"] = place.water_mm
    days["transpiration_mm"] = kcb * place.et0_mm
    days["drying_mm"] = (kc_max - kcb) * place.et0_mm * passes
    days["drying_bare_mm"] = kc_max * place.et0_mm * passes
    days["bare"] = 1.0 - covered
    days["available_mm"] = available_mm(soil, grown.root_m)
    days["readily_mm"] = p * days["available_mm"]
    days["roots_take"] = roots_take(grown.root_m, deepest_m)
    return days, covered


def _record(kind: Any, **fields: float) -> Records:
    made: Records = np.zeros((), dtype=kind)
    for name, value in fields.items():
        made[name] = value
    made.flags.writeable = False
    return made


def _check(weather: Weather, et0_mm: Floats) -> None:
    if et0_mm.shape != (weather.days,):
        raise InputError("It has not one figure for each day.", where="et0_mm", mend="Take weather.reference_et.")
    for name, values in (("rain_mm", weather.rain_mm), ("et0_mm", et0_mm)):
        if np.isnan(values).any():
            raise InputError("A day is not known.", where=name, mend="Fill the gaps of the weather first.")


def bed_days(
    bed: Bed,
    weather: Weather,
    et0_mm: Floats,
    *,
    latitude_deg: float,
    altitude_m: float = 0.0,
    soil: Soil | None = None,
    can_l: float = 10.0,
    sky: CommonSky | None = None,
) -> BedDays:
    """What a bed's days are, worked out beforehand: all of its balance that does not depend on its state.

    et0_mm: reference evapotranspiration, float64 (days,), as `weather.reference_et` gives it. latitude_deg: south is
    negative, and shifts the usual sowing days by half a year. soil: instead of the row of the bed's own. can_l: of the
    rule of fixed cans. sky: what all beds share (`common_sky`), so that it is worked out once for all of them.

    FAO-56 chapters 6 to 8, 10 and 11 (Allen and others, 1998). Readily available water goes by the crop's
    evapotranspiration of the day with the single coefficient (Table 22, footnote 2), so that it does not depend on how
    wet the surface is. Raises InputError where rain or evapotranspiration is NaN.
    """
    _check(weather, et0_mm)
    soil = soil or table("soils").row(bed.soil)
    cover: Cover = table("covers").row(bed.cover)
    sky = sky or common_sky(weather, et0_mm, latitude_deg=latitude_deg, altitude_m=altitude_m)
    place, crops = place_of(bed, sky), crops_of(bed)
    seasons = seasons_of(bed, crops, start=weather.start, days=weather.days, latitude_deg=latitude_deg)
    grown = growth_of(crops, seasons, place)
    depth_m = bed.soil_depth_m or _ENDLESS_M
    area_m2 = float(bed.shape.area) * bed.planted_share
    surface = surface_of(soil, cover, bed.cover_share, depth_m)
    grown = replace(
        grown,
        kcb=grown.kcb * (1.0 + cover.transpiration_rise * bed.cover_share),
        root_m=np.minimum(grown.root_m, depth_m),
    )
    deepest_m = float(grown.root_m.max())
    days, covered = zone_days(grown, place, soil, passes=surface.passes, deepest_m=deepest_m)
    days["asks"] = _asks(bed, seasons, weather.days)
    days.flags.writeable = False
    return BedDays(
        bed=bed.id,
        start=weather.start,
        area_m2=area_m2,
        table=days,
        soil=_record(
            BED,
            evaporable_mm=surface.evaporable_mm,
            readily_evaporable_mm=surface.readily_evaporable_mm,
            by_hand=bed.wetted_share,
            fixed_mm=bed.cans_each * can_l / area_m2,
        ),
        state=_record(
            STATE,
            surface_mm=bed.used_at_start * surface.evaporable_mm,
            root_mm=bed.used_at_start * float(days["available_mm"][0]),
            deep_mm=bed.used_at_start * float(available_mm(soil, deepest_m - grown.root_m[0])),
            wetted=1.0,
        ),
        et0_mm=place.et0_mm,
        covered=covered,
        grown=grown,
        sources=tuple(dict.fromkeys((*(crop.source for crop in crops if crop), soil.source, cover.source))),
    )
