"""A bed's days: crop, soil, place and watering brought together before the first day is run."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.demand.curve import BARE_KC, climate_lift, standing
from gardenwater.demand.figures import ROOTS_AT_FIRST_M, CropFigures, crops_of
from gardenwater.demand.ground_store import available_mm, roots_take, surface_of
from gardenwater.demand.model import BedDays, Stage
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


@dataclass(slots=True)
class _Growth:
    """What stands on a bed on each day, while it is being put together. depletion_p: of Table 22, at 5 mm a day."""

    kcb: Floats
    wetness: Floats
    height_m: Floats
    root_m: Floats
    depletion_p: Floats
    stage: NDArray[np.uint8]
    crop: NDArray[np.uint8]


def _between_seasons(days: int, crop: CropFigures | None) -> _Growth:
    """All days as they are without a season: bare, or a perennial at rest, with the least of its coefficients."""
    rests = crop is not None and crop.perennial
    kcb = min(crop.kcb[0], crop.kcb[2]) if crop is not None and rests else 0.0
    return _Growth(
        kcb=np.full(days, kcb),
        wetness=np.zeros(days),
        height_m=np.full(days, crop.height_m if crop is not None and rests else 0.0),
        root_m=np.full(days, crop.root_m if crop is not None and rests else ROOTS_AT_FIRST_M),
        depletion_p=np.full(days, crop.depletion_p if crop is not None and rests else 0.5),
        stage=np.full(days, Stage.DORMANT if rests else Stage.NONE, dtype=np.uint8),
        crop=np.full(days, 1 if rests else 0, dtype=np.uint8),
    )


def _growth(crops: tuple[CropFigures | None, CropFigures | None], seasons: tuple[Season, ...], place: Place) -> _Growth:
    made = _between_seasons(place.et0_mm.size, crops[0])
    for season in seasons:
        crop = crops[season.crop - 1]
        if crop is None:
            continue
        here = standing(crop, season.first, season.last, place.wind_m_s, place.humidity_pct)
        at = slice(max(season.first, 0), max(season.first, 0) + here.kcb.size)
        made.kcb[at], made.wetness[at], made.stage[at] = here.kcb, here.wetness, here.stage
        made.height_m[at], made.root_m[at] = here.height_m, here.root_m
        made.depletion_p[at], made.crop[at] = crop.depletion_p, season.crop
    return made


def _asks(bed: Bed, seasons: tuple[Season, ...], days: int) -> NDArray[np.int64]:
    """What the bed asks on each day: in season only, by its rule; fixed days are counted from the season's first."""
    asks = np.full(days, Asks.NOTHING, dtype=np.int64)
    how = {WateringRule.FIXED_DAYS: Asks.FILL_UP, WateringRule.FIXED_CANS: Asks.FIXED}.get(bed.watering, Asks.WHEN_DRY)
    every = 1 if how is Asks.WHEN_DRY else round(bed.every_days)
    for season in seasons:
        begin = season.first if season.first >= 0 else season.first % every
        asks[begin : min(season.last, days) : every] = how
    return asks


def _table(
    grown: _Growth, place: Place, soil: Soil, passes: float, kcb: Floats, deepest_m: float
) -> tuple[Records, Floats]:
    """The records of the days, and the share of the soil under leaves. FAO-56 equations 69 to 76, 82 and 83."""
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
    grown = _growth(crops, seasons, place)
    depth_m = bed.soil_depth_m or _ENDLESS_M
    grown.root_m = np.minimum(grown.root_m, depth_m)
    deepest_m = float(grown.root_m.max())
    surface = surface_of(soil, cover, bed.cover_share, depth_m)
    kcb = grown.kcb * (1.0 + cover.transpiration_rise * bed.cover_share)
    days, covered = _table(grown, place, soil, surface.passes, kcb, deepest_m)
    days["asks"] = _asks(bed, seasons, weather.days)
    made = BedDays(
        bed=bed.id,
        start=weather.start,
        area_m2=float(bed.shape.area),
        table=days,
        soil=np.zeros((), dtype=BED),
        state=np.zeros((), dtype=STATE),
        et0_mm=place.et0_mm,
        kcb=kcb,
        covered=covered,
        roots_m=grown.root_m,
        stage=grown.stage,
        crop=grown.crop,
        sources=tuple(dict.fromkeys((*(crop.source for crop in crops if crop), soil.source, cover.source))),
    )
    made.soil["evaporable_mm"], made.soil["readily_evaporable_mm"] = (
        surface.evaporable_mm,
        surface.readily_evaporable_mm,
    )
    made.soil["by_hand"], made.soil["fixed_mm"] = bed.wetted_share, bed.cans_each * can_l / made.area_m2
    made.state["surface_mm"] = bed.used_at_start * surface.evaporable_mm
    made.state["root_mm"] = bed.used_at_start * days["available_mm"][0]
    made.state["deep_mm"] = bed.used_at_start * available_mm(soil, deepest_m - grown.root_m[0])
    made.state["wetted"] = 1.0
    for array in (made.table, made.soil, made.state, made.kcb, made.covered, made.roots_m, made.stage, made.crop):
        array.flags.writeable = False
    return made
