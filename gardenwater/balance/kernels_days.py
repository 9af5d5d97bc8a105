"""The days of a balance. Each in this order: draws decided, inflow, levelling, spill, draw, losses, levelling.

With yield before spillage the draws are decided and taken after the inflow, and before anything spills. All volumes are
m3. The functions are parts of one day; `run` carries a system over days.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.balance.kernels_level import body_at, drawable, flow, held, level_at, settle, volume_at
from gardenwater.balance.records import Records
from gardenwater.demand.kernels_zone import day as zone_day
from gardenwater.demand.kernels_zone import need as zone_need
from gardenwater.demand.records_zone import Asks
from gardenwater.work import kernel

_FIXED = int(Asks.FIXED)
_FULLEST = 1
_DRIEST, _SMALLEST = 0, 2
"""As `prepare` numbers the rules."""
_DAY_S = 86_400.0
_HALF_DAYS = 48
"""Steps of half a day in which thin pipes run: a quarter of an hour each."""
_LEAST_M3 = 1e-12
_M3_MM = 0.001
_REFUSED_M3, _REFUSED_SHARE = 0.0005, 0.005
"""As `result.Balance.is_short` has it."""


@kernel
def settle_tank(works: Records, tank: int, cut: bool, volume: Records, levelled: Records, spilled: Records) -> None:
    """Settle the vessel of a tank; what moves between its tanks is added to `levelled`, what runs over to `spilled`."""
    root = works.tanks[tank].root
    if root == tank:
        spilled[tank] += settle(works, root, cut, volume)
        return
    top = works.nodes[root]
    for at in range(top.member, top.member + top.members):
        levelled[works.members[at]] -= volume[works.members[at]]
    over = settle(works, root, cut, volume)
    spilled[top.rim_tank] += over
    levelled[top.rim_tank] += over
    for at in range(top.member, top.member + top.members):
        levelled[works.members[at]] += volume[works.members[at]]


@kernel
def settle_all(works: Records, cut: bool, volume: Records, levelled: Records, spilled: Records) -> None:
    """Settle each vessel once."""
    for tank in range(works.tanks.size):
        root = works.tanks[tank].root
        if works.members[works.nodes[root].member] == tank:
            settle_tank(works, tank, cut, volume, levelled, spilled)


@kernel
def fill(works: Records, runs: Records, offered: Records, coming: Records) -> None:
    """What each diverter leads to its tank while none has stopped. coming: left at the foot of each pipe."""
    for pipe in range(runs.size):
        coming[pipe] = runs[pipe]
    for at in range(works.feeds.size):
        feed = works.feeds[at]
        offered[at] = feed.share * coming[feed.pipe]
        coming[feed.pipe] -= offered[at]


@kernel
def turn_back(
    works: Records,
    offered: Records,
    volume_in: Records,
    spilled: Records,
    levelled: Records,
    inflow: Records,
    again: Records,
) -> bool:
    """Diverters that stop when their vessel is full: what they led is taken back from what ran over.

    Tank and diverters fill evenly over the rain, so what runs over is of each in proportion to what it led. spilled: of
    this round. again: what comes down to the next diverter on the pipe. Returns whether there is any.
    """
    some = False
    for at in range(works.feeds.size):
        again[at] = 0.0
    for at in range(works.feeds.size):
        feed = works.feeds[at]
        if feed.stops == 0 or offered[at] <= 0.0:
            continue
        root = works.tanks[feed.tank].root
        over = spilled[works.nodes[root].rim_tank]
        if over <= _LEAST_M3:
            continue
        back = min(over * offered[at] / volume_in[root], offered[at])
        again[at] = back
        some = True
    for at in range(works.feeds.size):
        if again[at] > 0.0:
            tank = works.feeds[at].tank
            rim_tank = works.nodes[works.tanks[tank].root].rim_tank
            inflow[tank] -= again[at]
            levelled[tank] += again[at]
            levelled[rim_tank] -= again[at]
            spilled[rim_tank] -= again[at]
    return some


@kernel
def let_in(works: Records, offered: Records, volume: Records, inflow: Records, volume_in: Records) -> None:
    """Put what the diverters lead into the tanks. volume_in: of each vessel, by its root."""
    volume_in[:] = 0.0
    for at in range(works.feeds.size):
        tank = works.feeds[at].tank
        volume[tank] += offered[at]
        inflow[tank] += offered[at]
        volume_in[works.tanks[tank].root] += offered[at]


@kernel
def run_over(
    works: Records, volume: Records, inflow: Records, levelled: Records, spill: Records, foot: Records, scratch: Records
) -> None:
    """What runs over after the rain was let in; what stopped diverters let pass is offered to those below them."""
    offered, again, volume_in, over = scratch[0], scratch[1], scratch[2], scratch[3]
    some = True
    while some:
        over[:] = 0.0
        settle_all(works, True, volume, levelled, over)
        some = turn_back(works, offered, volume_in, over, levelled, inflow, again)
        for tank in range(works.tanks.size):
            spill[tank] += max(over[tank], 0.0)
        if some:
            pass_on(works, offered, again, foot)
            let_in(works, offered, volume, inflow, volume_in)


@kernel
def pass_on(works: Records, offered: Records, again: Records, foot: Records) -> None:
    """What stopped diverters let pass goes to those below them, the rest to the foot of the pipe."""
    for at in range(works.feeds.size):
        offered[at] = 0.0
    for at in range(works.feeds.size):
        left = again[at]
        if left <= 0.0:
            continue
        for below in range(at + 1, works.feeds[at].last + 1):
            taken = left * works.feeds[below].share_after
            offered[below] += taken
            left -= taken
        foot[works.feeds[at].pipe] += left


@kernel
def carry(works: Records, volume: Records, levelled: Records, carried: Records, spill: Records, link: Records) -> None:
    """Overflows that run into another tank, from the top down."""
    for at in range(works.carries.size):
        tank = works.carries[at]
        over = spill[tank]
        if over <= 0.0:
            continue
        to = works.tanks[tank].carry_to
        volume[to] += over
        carried[to] += over
        if works.tanks[tank].carry_link >= 0:
            spill[tank] = 0.0
            carried[tank] -= over
            link[works.tanks[tank].carry_link] += over
        settle_tank(works, to, True, volume, levelled, spill)


@kernel
def run_slow(
    works: Records, volume: Records, levelled: Records, carried: Records, spill: Records, link: Records
) -> None:
    """Thin pipes over half a day, in quarters of an hour; never past the level of the other side."""
    for _ in range(_HALF_DAYS):
        for at in range(works.slow.size):
            valve = works.slow[at]
            level_a, level_b = level_at(works, valve.a, volume[valve.a]), level_at(works, valve.b, volume[valve.b])
            high, low = max(level_a, level_b), max(min(level_a, level_b), valve.level)
            head = high - low
            if head <= 1e-9:
                continue
            giver, taker = (valve.a, valve.b) if level_a > level_b else (valve.b, valve.a)
            gives = volume[giver] - volume_at(works, giver, high - head / 2.0)
            takes = volume_at(works, taker, low + head / 2.0) - volume[taker]
            moved = max(min(flow(works, valve, head) * _DAY_S / (2 * _HALF_DAYS), gives, takes), 0.0)
            volume[giver] -= moved
            volume[taker] += moved
            carried[giver] -= moved
            carried[taker] += moved
            link[valve.link] += moved if giver == valve.a else -moved
            settle_tank(works, giver, True, volume, levelled, spill)
            settle_tank(works, taker, True, volume, levelled, spill)


@kernel
def run_floats(
    works: Records, volume: Records, levelled: Records, carried: Records, spill: Records, link: Records
) -> None:
    """Float valves: the lower tank fills from the higher one as far as its float."""
    for at in range(works.floats.size):
        valve = works.floats[at]
        body = body_at(works, valve.b, valve.float_level)
        room = volume_at(works, body, valve.float_level) - held(works, body, volume)
        if room <= _LEAST_M3:
            continue
        stop = max(valve.level, valve.float_level)
        head = level_at(works, valve.a, volume[valve.a]) - stop
        if head <= 0.0:
            continue
        moved = min(room, drawable(works, valve.a, stop, volume))
        if valve.last > valve.first:
            moved = min(moved, flow(works, valve, head) * _DAY_S)
        volume[valve.a] -= moved
        volume[valve.b] += moved
        carried[valve.a] -= moved
        carried[valve.b] += moved
        link[valve.link] += moved
        settle_tank(works, valve.a, True, volume, levelled, spill)
        settle_tank(works, valve.b, True, volume, levelled, spill)


@kernel
def sort_by(order: Records, key: Records, count: int) -> None:
    """Put the first `count` of an order into the rising order of their keys; equals stay as they are."""
    for at in range(1, count):
        moving = order[at]
        place = at
        while place > 0 and key[order[place - 1]] > key[moving]:
            order[place] = order[place - 1]
            place -= 1
        order[place] = moving


@kernel
def from_tank(works: Records, wants: Records, bed: int, tank: int, by_can: bool, volume: Records) -> float:
    """What a tank can give a bed now: by gravity above the needed level, by can above the outlet or tap, m3."""
    level = works.tanks[tank].can_level if by_can else wants.least_level[bed, tank]
    if math.isnan(level):
        return 0.0
    if works.tanks[tank].root == tank:
        least = works.tanks[tank].can_m3 if by_can else wants.least_m3[bed, tank]
        return volume[tank] - least
    return drawable(works, tank, level, volume)


@kernel
def decide(
    works: Records,
    wants: Records,
    wanted: Records,
    bed_order: Records,
    waiting: int,
    volume: Records,
    plan: Records,
    plan_m3: Records,
    scratch: Records,
) -> int:
    """Who gets what from where: all beds by gravity first, then by can. Returns how many draws there are.

    volume: settled; it is drawn down as it is given away. plan: (draws, 3) bed, tank, by can. plan_m3: (draws,).
    """
    levelled, spilled, left, share = scratch[4], scratch[5], scratch[6], scratch[7]
    tanks = works.tanks.size
    order = wants.tank_order
    if wants.orders[0] == _FULLEST:
        order = order.copy()
        for tank in range(tanks):
            share[tank] = -volume[tank] / works.nodes[tank].rim_m3
        sort_by(order, share, tanks)
    draws = 0
    for at in range(waiting):
        left[bed_order[at]] = wanted[bed_order[at]]
    cans_m3 = wants.cans_m3
    for by_can in (False, True):
        for at in range(waiting):
            bed = bed_order[at]
            if by_can and (wants.plots[bed].by_can == 0 or cans_m3 <= _LEAST_M3):
                continue
            for place in range(tanks):
                if left[bed] <= _LEAST_M3:
                    break
                tank = order[place]
                can_give = from_tank(works, wants, bed, tank, by_can, volume)
                if can_give <= _LEAST_M3:
                    continue
                taken = min(can_give, left[bed])
                if by_can:
                    taken = min(taken, cans_m3)
                    cans_m3 -= taken
                left[bed] -= taken
                volume[tank] -= taken
                if works.tanks[tank].root != tank:
                    settle_tank(works, tank, False, volume, levelled, spilled)
                plan[draws, 0] = bed
                plan[draws, 1] = tank
                plan[draws, 2] = 1 if by_can else 0
                plan_m3[draws] = taken
                draws += 1
    return draws


@kernel
def draw(
    works: Records,
    wants: Records,
    plan: Records,
    plan_m3: Records,
    draws: int,
    volume: Records,
    levelled: Records,
    spill: Records,
    drawn: Records,
    by_gravity: Records,
    by_can: Records,
) -> float:
    """Take what was decided; less where thin pipes have led the water away since. Returns minutes of the round."""
    minutes = 0.0
    for at in range(draws):
        bed, tank = plan[at, 0], plan[at, 1]
        can = plan[at, 2] == 1
        taken = min(plan_m3[at], max(from_tank(works, wants, bed, tank, can, volume), 0.0))
        volume[tank] -= taken
        drawn[tank] += taken
        if works.tanks[tank].root != tank:
            settle_tank(works, tank, False, volume, levelled, spill)
        if can:
            by_can[bed] += taken
            minutes += taken * wants.minutes_can_m3
        else:
            by_gravity[bed] += taken
            minutes += taken * 1000.0 * wants.minutes_l[bed, tank]
    return minutes


@kernel
def lose(works: Records, evaporation_mm: float, volume: Records, lost: Records) -> None:
    """Evaporation of open tanks, leaks, and what is drained for the winter."""
    for tank in range(works.tanks.size):
        record = works.tanks[tank]
        loss = record.open_m2 * evaporation_mm * _M3_MM + record.leak_m3
        if record.drained == 1:
            loss = volume[tank]
        loss = min(loss, volume[tank])
        if loss > 0.0:
            volume[tank] -= loss
            lost[tank] += loss


@kernel
def want(
    wants: Records,
    given: Records,
    zones: Records,
    soils: Records,
    state: Records,
    at: int,
    wanted: Records,
    need: Records,
    bed_order: Records,
    key: Records,
) -> int:
    """What each bed wants this morning, what of it is new, and the order of those that want. Returns how many do."""
    waiting = 0
    for bed in range(wants.plots.size):
        plot = wants.plots[bed]
        if plot.zone < 0:
            wanted[bed] = given[at, bed]
            need[bed] = wanted[bed]
            dryness = 2.0
        else:
            zone = plot.zone
            missing = state.zone[zone].root_mm * plot.area_m2 * _M3_MM
            wanted[bed] = zone_need(zones, soils, state.zone, at, zone) * plot.area_m2 * _M3_MM
            state.debt[bed] = min(state.debt[bed], max(missing, 0.0))
            need[bed] = max(wanted[bed] - state.debt[bed], 0.0)
            dryness = state.zone[zone].root_mm / max(zones[at, zone].available_mm, 1e-9)
        if wanted[bed] > _LEAST_M3:
            bed_order[waiting] = bed
            key[bed] = bed
            if wants.orders[1] == _DRIEST:
                key[bed] = -dryness
            elif wants.orders[1] == _SMALLEST:
                key[bed] = wanted[bed]
            waiting += 1
    if wants.orders[1] == _DRIEST or wants.orders[1] == _SMALLEST:
        sort_by(bed_order, key, waiting)
    return waiting


@kernel
def dry(
    wants: Records,
    zones: Records,
    soils: Records,
    state: Records,
    at: int,
    wanted: Records,
    need: Records,
    by_gravity: Records,
    by_can: Records,
    depletion: Records,
) -> None:
    """Carry the root zones over the day with what they were given.

    What plants would have used and could not, while water that was refused them is still missing, is need as well.
    """
    for bed in range(wants.plots.size):
        plot = wants.plots[bed]
        if plot.zone < 0:
            continue
        zone = plot.zone
        met = by_gravity[bed] + by_can[bed]
        if wanted[bed] > _LEAST_M3 and zones[at, zone].asks != _FIXED:
            state.debt[bed] = max(wanted[bed] - met, 0.0)
        _, transpired, _ = zone_day(zones, soils, state.zone, at, zone, met / (plot.area_m2 * _M3_MM))
        if state.debt[bed] > _LEAST_M3:
            need[bed] += max(zones[at, zone].transpiration_mm - transpired, 0.0) * plot.area_m2 * _M3_MM
        depletion[bed] = state.zone[zone].root_mm


@kernel
def total(
    totals: Records,
    year: int,
    wanted: Records,
    need: Records,
    by_gravity: Records,
    by_can: Records,
    inflow: Records,
    spill: Records,
) -> None:
    """Add a day to its year (columns: `records.TOTALS`)."""
    wanting, short = 0.0, 0.0
    for bed in range(wanted.size):
        met = by_gravity[bed] + by_can[bed]
        refused = wanted[bed] - met
        totals[year, 0] += need[bed]
        totals[year, 1] += met
        if wanted[bed] > 0.0:
            wanting = 1.0
        if refused > _REFUSED_M3 and refused > _REFUSED_SHARE * wanted[bed]:
            short = 1.0
    totals[year, 2] += wanting
    totals[year, 3] += short
    for tank in range(inflow.size):
        totals[year, 4] += inflow[tank]
        totals[year, 5] += spill[tank]


@kernel
def run(
    works: Records,
    wants: Records,
    first: int,
    last: int,
    runs: Records,
    evaporation_mm: Records,
    given: Records,
    zones: Records,
    soils: Records,
    years: Records,
    state: Records,
    past: Records,
    keep: int,
    totals: Records,
) -> None:
    """Carry a system over the days from `first` up to `last` (left out). Long: the order of the day stands here.

    runs: (days, pipes) m3 in each downpipe. given: (days, beds). years: (days,), the row of `totals`. keep: 1 when
    `past` has a row for each day, 0 when it has one row. state: is carried on.
    """
    tanks, beds, pipes = works.tanks.size, wants.plots.size, runs.shape[1]
    longest = max(works.nodes.size, works.feeds.size, beds, pipes, 1)
    scratch = np.zeros((8, longest))
    plan = np.zeros((2 * beds * tanks + 1, 3), np.int64)
    plan_m3 = np.zeros(2 * beds * tanks + 1)
    bed_order = np.zeros(beds, np.int64)
    key = np.zeros(beds)
    promised = np.zeros(tanks)
    volume = state.volume
    before_spill = wants.orders[2] == 1
    for at in range(first, last):
        row = at * keep
        inflow, levelled, carried = past.inflow[row], past.levelled[row], past.carried[row]
        spill, drawn, lost, link = past.spill[row], past.drawn[row], past.lost[row], past.link[row]
        wanted, need = past.wanted[row], past.need[row]
        by_gravity, by_can = past.by_gravity[row], past.by_can[row]
        for tank in range(tanks):
            inflow[tank] = levelled[tank] = carried[tank] = spill[tank] = drawn[tank] = lost[tank] = 0.0
        for bed in range(beds):
            by_gravity[bed] = by_can[bed] = 0.0
        link[:] = 0.0
        waiting = want(wants, given, zones, soils, state, at, wanted, need, bed_order, key)
        draws = 0
        minutes = 0.0
        if not before_spill and waiting > 0:
            promised[:] = volume
            draws = decide(works, wants, wanted, bed_order, waiting, promised, plan, plan_m3, scratch)
        fill(works, runs[at], scratch[0], past.foot[row])
        let_in(works, scratch[0], volume, inflow, scratch[2])
        if before_spill and waiting > 0:
            settle_all(works, False, volume, levelled, spill)
            promised[:] = volume
            draws = decide(works, wants, wanted, bed_order, waiting, promised, plan, plan_m3, scratch)
            minutes = draw(works, wants, plan, plan_m3, draws, volume, levelled, spill, drawn, by_gravity, by_can)
        run_over(works, volume, inflow, levelled, spill, past.foot[row], scratch)
        carry(works, volume, levelled, carried, spill, link)
        if works.slow.size > 0:
            run_slow(works, volume, levelled, carried, spill, link)
        if not before_spill and draws > 0:
            minutes = draw(works, wants, plan, plan_m3, draws, volume, levelled, spill, drawn, by_gravity, by_can)
        lose(works, evaporation_mm[at], volume, lost)
        if works.floats.size > 0:
            settle_all(works, True, volume, levelled, spill)
            run_floats(works, volume, levelled, carried, spill, link)
        if works.slow.size > 0:
            run_slow(works, volume, levelled, carried, spill, link)
        settle_all(works, True, volume, levelled, spill)
        past.volume[row, :] = volume
        past.minutes[row] = minutes
        dry(wants, zones, soils, state, at, wanted, need, by_gravity, by_can, past.depletion[row])
        total(totals, years[at], wanted, need, by_gravity, by_can, inflow, spill)
