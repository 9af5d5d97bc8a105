"""One day of one bed's soil: the root-zone balance and the drying surface of FAO-56 chapters 7 and 8.

Allen and others, 1998. The depletion of the root zone is what it lacks to field capacity; the surface has an account of
its own, for its share that is bare and wetted, of water that the root zone has lost as well. Under the roots lies the
deep soil that later roots reach, with its own depletion; what passes the roots fills it before it is lost.

All stress is by the depletion at the START of the day: transpiration (Ks, equation 84) by that of the root zone,
evaporation (Kr, equation 74) by that of the surface. Then rain and watering fill, and what was given off is taken.
FAO-56 holds the depletion at the wilting point by force; here nothing is given off beyond it, so that every drop is
accounted: depletion at the end = at the start - water - irrigation + evaporated + transpired + passed, root zone and
deep soil together.
"""

from __future__ import annotations

from gardenwater.demand.records_zone import Asks, Number, Records
from gardenwater.work import kernel, kernel_inline

_NOTHING, _WHEN_DRY, _FIXED = int(Asks.NOTHING), int(Asks.WHEN_DRY), int(Asks.FIXED)
_WETTING_RAIN_MM = 3.0
"""Rain that wets all of the surface: FAO-56 chapter 7, page 149, seen in public code."""
_LEAST_BARE = 0.01
"""FAO-56 equation 75."""


@kernel_inline
def moved(today: Records, now: Records) -> Number:
    """Depletion that comes to the root zone from the deep soil as the roots grow today, mm; negative: that goes."""
    return today["roots_take"] * (now["deep_mm"] if today["roots_take"] > 0.0 else now["root_mm"])


@kernel_inline
def need(days: Records, beds: Records, state: Records, at: int, bed: int) -> Number:
    """Depth of water that a bed asks for at the start of a day, mm, before the day's rain.

    days: `DAY` (days, beds). beds: `BED` (beds,). state: `STATE` (beds,).
    """
    today = days[at, bed]
    if today["asks"] == _NOTHING:
        return 0.0
    if today["asks"] == _FIXED:
        return beds[bed]["fixed_mm"]
    depletion = state[bed]["root_mm"] + moved(today, state[bed])
    if today["asks"] == _WHEN_DRY and depletion < today["readily_mm"]:
        return 0.0
    return depletion


@kernel_inline
def day(
    days: Records, beds: Records, state: Records, at: int, bed: int, irrigation_mm: float
) -> tuple[float, float, float]:
    """Carry one bed over one day: `state[bed]` is changed in place.

    days: `DAY` (days, beds). beds: `BED` (beds,). state: `STATE` (beds,). irrigation_mm: depth given today, over the
    whole bed. Returns what evaporated, what was transpired, and what passed below the deepest roots, mm. In one piece:
    all of it shares the day's values.
    """
    today, soil, now = days[at, bed], beds[bed], state[bed]
    come = moved(today, now)
    surface, root, deep = now["surface_mm"], now["root_mm"] + come, now["deep_mm"] - come

    if today["water_mm"] >= _WETTING_RAIN_MM:
        now["wetted"] = 1.0
    elif irrigation_mm > 0.0:
        now["wetted"] = soil["by_hand"]
    exposed = max(min(today["bare"], now["wetted"]), _LEAST_BARE)

    evaporated = today["drying_mm"]
    if surface > soil["readily_evaporable_mm"]:
        evaporated *= (soil["evaporable_mm"] - surface) / (soil["evaporable_mm"] - soil["readily_evaporable_mm"])
    evaporated = min(evaporated, exposed * today["drying_bare_mm"])
    transpired = today["transpiration_mm"]
    if root > today["readily_mm"]:
        transpired *= (today["available_mm"] - root) / (today["available_mm"] - today["readily_mm"])

    root -= today["water_mm"] + irrigation_mm
    surface -= today["water_mm"]
    if irrigation_mm > 0.0:  # a division only where it counts
        surface -= irrigation_mm / soil["by_hand"]
    surface = max(surface, 0.0)
    left = max(today["available_mm"] - root, 0.0)
    transpired = min(max(transpired, 0.0), left)
    evaporated = max(min(evaporated, exposed * (soil["evaporable_mm"] - surface), left - transpired), 0.0)

    root += evaporated + transpired
    passed = 0.0
    if root < 0.0:
        filled = min(-root, deep)
        deep -= filled
        passed = -root - filled
        root = 0.0
    now["surface_mm"] = surface + evaporated / exposed
    now["root_mm"] = root
    now["deep_mm"] = deep
    return evaporated, transpired, passed


@kernel
def run(days: Records, beds: Records, state: Records, past: Records) -> None:
    """Carry all beds over all days, with all the water that they ask for. `past`: `PAST` (days, beds), is filled."""
    for at in range(days.shape[0]):
        for bed in range(days.shape[1]):
            record = past[at, bed]
            record["need_mm"] = need(days, beds, state, at, bed)
            evaporated, transpired, passed = day(days, beds, state, at, bed, record["need_mm"])
            record["evaporated_mm"] = evaporated
            record["transpired_mm"] = transpired
            record["passed_mm"] = passed
            record["depletion_mm"] = state[bed]["root_mm"]
            record["deep_mm"] = state[bed]["deep_mm"]
