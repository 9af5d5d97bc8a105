"""The days of a balance. Each in this order: draws decided, inflow, levelling, spill, draw, losses, levelling.

With yield before spillage the draws are decided and taken after the inflow, and before anything spills. All volumes are
m3. Tanks that stand alone are treated in `run` itself, which is where the time goes; what joins them is called.
"""

from __future__ import annotations

import math

import numpy as np

from gardenwater.balance.kernels_level import drawable, settle
from gardenwater.balance.kernels_pass import carry, run_floats, run_thin, turn_back
from gardenwater.balance.records import Records
from gardenwater.demand.kernels_zone import day as zone_day
from gardenwater.demand.kernels_zone import need as zone_need
from gardenwater.demand.records_zone import Asks
from gardenwater.work import kernel, kernel_inline_part, kernel_part

_NOTHING, _FIXED = int(Asks.NOTHING), int(Asks.FIXED)
_FULLEST = 1
_DRIEST, _SMALLEST = 0, 2
"""As `prepare` numbers the rules."""
_LEAST_M3 = 1e-12
_M3_MM, _L = 0.001, 1000.0
_REFUSED_M3, _REFUSED_SHARE = 0.0005, 0.005
"""As `result.Balance.is_short` has it."""


@kernel_part
def sort_by(order: Records, key: Records, count: int) -> None:
    """Put the first `count` of an order into the rising order of their keys; equals stay as they are."""
    for at in range(1, count):
        moving = order[at]
        place = at
        while place > 0 and key[order[place - 1]] > key[moving]:
            order[place] = order[place - 1]
            place -= 1
        order[place] = moving


@kernel_part
def least_of_any(least_m3: Records) -> Records:
    """What each tank holds up to the lowest level that serves any bed, endless where none. least_m3: (beds, tanks)."""
    least = np.full(least_m3.shape[1], np.inf)
    for bed in range(least_m3.shape[0]):
        for tank in range(least_m3.shape[1]):
            if least_m3[bed, tank] < least[tank]:
                least[tank] = least_m3[bed, tank]
    return least


@kernel_part
def vessels_of(nodes: Records, tanks: Records, members: Records) -> Records:
    """The roots of tanks that links join, in the order of their first tanks."""
    roots, count = np.zeros(tanks.size, np.int64), 0
    for tank in range(tanks.size):
        root = tanks[tank].root
        if root != tank and members[nodes[root].member] == tank:
            roots[count] = root
            count += 1
    return roots[:count]


@kernel_inline_part
def dry_on(
    plots: Records,
    zones: Records,
    soils: Records,
    zone_state: Records,
    at: int,
    given_mm: Records,
    debt: Records,
    need: Records,
) -> None:
    """Carry all root zones over a day. given_mm: (zones,).

    What plants would have used and could not, while water that was refused them is still missing, is need as well.
    """
    for bed in range(plots.size):
        zone = plots[bed].zone
        if zone < 0:
            continue
        _, transpired, _ = zone_day(zones, soils, zone_state, at, zone, given_mm[zone])
        if debt[bed] > _LEAST_M3:
            need[bed] += max(zones[at, zone].transpiration_mm - transpired, 0.0) * plots[bed].area_m2 * _M3_MM


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
    volume: Records,
    debt: Records,
    zone_state: Records,
    of_tanks: Records,
    of_beds: Records,
    foot: Records,
    link: Records,
    minutes: Records,
    keep: int,
    totals: Records,
) -> None:
    """Carry a system over the days from `first` up to `last` (left out).

    runs: (days, pipes) m3 in each downpipe. given: (days, beds) m3. years: (days,), the row of `totals` (columns:
    `records.TOTALS`). volume (tanks,), debt (beds,) of water refused and still missing, zone_state: are carried on.
    of_tanks: (7, days, tanks), of_beds: (6, days, beds), as `records` names them; foot, link, minutes: what became of
    each day; of one row when `keep` is 0. Long, and in one piece: passing a dozen arrays to a function for
    each bed and tank of each day would cost ten times what is done with them.
    """
    nodes, tanks, members = works.nodes, works.tanks, works.members
    levels, volumes, feeds, carries = works.table_level, works.table_m3, works.feeds, works.carries
    plots, least_level, least_m3, minutes_l = wants.plots, wants.least_level, wants.least_m3, wants.minutes_l
    tank_rule, bed_rule, before_spill = wants.orders[0], wants.orders[1], wants.orders[2] == 1
    pipes = runs.shape[1]
    inflow, levelled, carried = np.zeros(tanks.size), np.zeros(tanks.size), np.zeros(tanks.size)
    spill, drawn, lost, over = np.zeros(tanks.size), np.zeros(tanks.size), np.zeros(tanks.size), np.zeros(tanks.size)
    promised, unseen = np.zeros(tanks.size), np.zeros(tanks.size)
    wanted, need = np.zeros(plots.size), np.zeros(plots.size)
    left, key, given_mm = np.zeros(plots.size), np.zeros(plots.size), np.zeros(zones.shape[1])
    by_gravity, by_can = np.zeros(plots.size), np.zeros(plots.size)
    offered, back, came = np.zeros(feeds.size), np.zeros(feeds.size), np.zeros(nodes.size)
    bed_order, fullness = np.zeros(plots.size, np.int64), np.zeros(tanks.size)
    tank_order, choices, serving = wants.tank_order.copy(), np.zeros((2, tanks.size), np.int64), np.zeros(2, np.int64)
    least_any = least_of_any(least_m3)
    vessels = vessels_of(nodes, tanks, members)
    plan, plan_m3 = np.zeros((2 * plots.size * tanks.size + 1, 3), np.int64), np.zeros(2 * plots.size * tanks.size + 1)

    for at in range(first, last):
        row = at * keep
        for tank in range(tanks.size):
            inflow[tank] = levelled[tank] = carried[tank] = spill[tank] = drawn[tank] = lost[tank] = 0.0
        for each in range(link.shape[1]):
            link[row, each] = 0.0

        # What each bed wants, and what of it is new.
        waiting = 0
        for bed in range(plots.size):
            zone = plots[bed].zone
            wanted[bed] = 0.0
            if zone < 0:
                wanted[bed] = given[at, bed]
            elif zones[at, zone].asks != _NOTHING:
                wanted[bed] = zone_need(zones, soils, zone_state, at, zone) * plots[bed].area_m2 * _M3_MM
            need[bed] = wanted[bed]
            if debt[bed] > 0.0:
                debt[bed] = min(debt[bed], zone_state[zone].root_mm * plots[bed].area_m2 * _M3_MM)
                need[bed] = max(wanted[bed] - debt[bed], 0.0)
            if wanted[bed] > _LEAST_M3:
                by_gravity[bed] = by_can[bed] = 0.0
                bed_order[waiting] = bed
                left[bed] = wanted[bed]
                waiting += 1

        # What the diverters lead aside while none has stopped.
        wet = False
        for pipe in range(pipes):
            foot[row, pipe] = runs[at, pipe]
            wet = wet or runs[at, pipe] > 0.0
        if wet:
            for feed in range(feeds.size):
                offered[feed] = feeds[feed].share * foot[row, feeds[feed].pipe]
                foot[row, feeds[feed].pipe] -= offered[feed]
        if before_spill and wet:
            for feed in range(feeds.size):
                volume[feeds[feed].tank] += offered[feed]
                inflow[feeds[feed].tank] += offered[feed]
            for root in vessels:
                settle(nodes, members, levels, volumes, root, False, volume, levelled, over)

        # Who gets what from where: bed by bed, from each tank by gravity, then from each by can.
        draws = 0
        if waiting > 0:
            cans_m3 = wants.cans_m3
            for tank in range(tanks.size):
                promised[tank] = volume[tank]
            if tank_rule == _FULLEST:
                for tank in range(tanks.size):
                    tank_order[tank] = tank
                    fullness[tank] = -volume[tank] / nodes[tank].rim_m3
                sort_by(tank_order, fullness, tanks.size)
            # Water comes from others only to a tank that stands above the level itself: so these are all that serve.
            serving[:] = 0
            for choice in range(tanks.size):
                tank = tank_order[choice]
                for can in range(2):
                    if promised[tank] - (tanks[tank].can_m3 if can == 1 else least_any[tank]) > _LEAST_M3:
                        choices[can, serving[can]] = tank
                        serving[can] += 1
            if serving[0] == 0 and (serving[1] == 0 or cans_m3 <= _LEAST_M3):
                waiting = 0
            elif waiting > 1 and bed_rule in (_DRIEST, _SMALLEST):
                for place in range(waiting):
                    bed = bed_order[place]
                    key[bed] = wanted[bed]
                    if bed_rule == _DRIEST:
                        # A bed whose need is given asks before all that dry out.
                        zone = plots[bed].zone
                        key[bed] = -2.0
                        if zone >= 0:
                            key[bed] = -zone_state[zone].root_mm / max(zones[at, zone].available_mm, 1e-9)
                sort_by(bed_order, key, waiting)
            for place in range(waiting):
                bed = bed_order[place]
                for can in range(2):
                    if can == 1 and (plots[bed].by_can == 0 or cans_m3 <= _LEAST_M3):
                        break
                    for choice in range(serving[can]):
                        tank = choices[can, choice]
                        gives = promised[tank] - (tanks[tank].can_m3 if can == 1 else least_m3[bed, tank])
                        if not gives > _LEAST_M3:  # NaN: its water never comes there
                            continue
                        if left[bed] <= _LEAST_M3 or (can == 1 and cans_m3 <= _LEAST_M3):
                            break
                        level = tanks[tank].can_level if can == 1 else least_level[bed, tank]
                        root = tanks[tank].root
                        if root != tank and gives < left[bed]:
                            gives = drawable(nodes, members, levels, volumes, root, tank, level, promised)
                        taken = min(gives, left[bed])
                        if can == 1:
                            taken = min(taken, cans_m3)
                            cans_m3 -= taken
                        left[bed] -= taken
                        promised[tank] -= taken
                        if root != tank:
                            settle(nodes, members, levels, volumes, root, False, promised, unseen, unseen)
                        plan[draws, 0] = bed
                        plan[draws, 1] = tank
                        plan[draws, 2] = can
                        plan_m3[draws] = taken
                        draws += 1

        round_min = 0.0
        for part in range(2):
            if (part == 0) == before_spill:
                # The draw; less than decided where thin links have led the water away since.
                for step in range(draws):
                    bed, tank, can = plan[step, 0], plan[step, 1], plan[step, 2]
                    root = tanks[tank].root
                    gives = volume[tank] - (tanks[tank].can_m3 if can == 1 else least_m3[bed, tank])
                    if root != tank and gives < plan_m3[step]:
                        level = tanks[tank].can_level if can == 1 else least_level[bed, tank]
                        gives = drawable(nodes, members, levels, volumes, root, tank, level, volume)
                    taken = min(plan_m3[step], max(gives, 0.0))
                    volume[tank] -= taken
                    drawn[tank] += taken
                    if root != tank:
                        settle(nodes, members, levels, volumes, root, False, volume, levelled, over)
                    if can == 1:
                        by_can[bed] += taken
                        round_min += taken * wants.minutes_can_m3
                    else:
                        by_gravity[bed] += taken
                        round_min += taken * 1000.0 * minutes_l[bed, tank]
                continue
            # Rain into the tanks; vessels level, and what is over the lowest rim spills or goes on down the pipes.
            if wet and not before_spill:
                for feed in range(feeds.size):
                    volume[feeds[feed].tank] += offered[feed]
                    inflow[feeds[feed].tank] += offered[feed]
            some = wet
            while some:
                ran_over = False
                for tank in range(tanks.size):
                    root = tanks[tank].root
                    over[tank] = 0.0
                    if root == tank and volume[tank] > nodes[tank].rim_m3:
                        over[tank] = volume[tank] - nodes[tank].rim_m3
                        volume[tank] = nodes[tank].rim_m3
                        ran_over = True
                for root in vessels:
                    settle(nodes, members, levels, volumes, root, True, volume, levelled, over)
                    ran_over = ran_over or over[nodes[root].rim_tank] > 0.0
                some = False
                if ran_over:
                    some = turn_back(nodes, tanks, feeds, offered, over, inflow, levelled, foot[row], came, back)
                    for tank in range(tanks.size):
                        spill[tank] += over[tank]
                if some:
                    for feed in range(feeds.size):
                        volume[feeds[feed].tank] += offered[feed]
                        inflow[feeds[feed].tank] += offered[feed]
            if carries.size > 0:
                carry(nodes, tanks, members, levels, volumes, carries, volume, levelled, carried, spill, link[row])
            if works.thin.size > 0:
                run_thin(
                    nodes, tanks, members, levels, volumes, works.thin, works.head_m, works.flow_m3_s, volume, levelled,
                    carried, spill, link[row],
                )  # fmt: skip

        # Losses, float valves, and the evening's levels.
        uneven = works.floats.size > 0 or works.thin.size > 0
        for tank in range(tanks.size):
            loss = tanks[tank].open_m2 * evaporation_mm[at] * _M3_MM + tanks[tank].leak_m3
            if tanks[tank].drained == 1:
                loss = volume[tank]
            if loss > 0.0:
                lost[tank] = min(loss, volume[tank])
                volume[tank] -= lost[tank]
                uneven = True
        if works.floats.size > 0:
            run_floats(
                nodes, tanks, members, levels, volumes, works.floats, works.head_m, works.flow_m3_s, volume, levelled,
                carried, spill, link[row],
            )  # fmt: skip
        if works.thin.size > 0:
            run_thin(
                nodes, tanks, members, levels, volumes, works.thin, works.head_m, works.flow_m3_s, volume, levelled,
                carried, spill, link[row],
            )  # fmt: skip
        if uneven or at == first:
            for root in vessels:
                settle(nodes, members, levels, volumes, root, True, volume, levelled, spill)
        minutes[row] = round_min

        # What each bed got, and its root zone at the end of the day.
        year = years[at]
        wanting, short, need_m3, met_m3 = 0.0, 0.0, 0.0, 0.0
        for bed in range(plots.size):
            met, refused, gravity, can_m3 = 0.0, 0.0, 0.0, 0.0
            if wanted[bed] > _LEAST_M3:
                gravity, can_m3 = by_gravity[bed], by_can[bed]
                met = gravity + can_m3
                refused = max(wanted[bed] - met, 0.0)
                wanting = 1.0
                if refused > _REFUSED_M3 and refused > _REFUSED_SHARE * wanted[bed]:
                    short = 1.0
            zone = plots[bed].zone
            if zone >= 0:
                if wanted[bed] > _LEAST_M3 and zones[at, zone].asks != _FIXED:
                    debt[bed] = refused
                given_mm[zone] = met / (plots[bed].area_m2 * _M3_MM) if met > 0.0 else 0.0
            met_m3 += met
            if keep == 1:
                of_beds[0, row, bed] = wanted[bed] * _L
                of_beds[2, row, bed] = gravity * _L
                of_beds[3, row, bed] = can_m3 * _L
                of_beds[4, row, bed] = refused * _L if refused > 1e-9 * wanted[bed] else 0.0
        if zones.shape[1] > 0:
            dry_on(plots, zones, soils, zone_state, at, given_mm, debt, need)
        for bed in range(plots.size):
            need_m3 += need[bed]
            if keep == 1:
                zone = plots[bed].zone
                of_beds[1, row, bed] = need[bed] * _L
                of_beds[5, row, bed] = zone_state[zone].root_mm if zone >= 0 else math.nan
        totals[year, 0] += need_m3
        totals[year, 1] += met_m3
        totals[year, 2] += wanting
        totals[year, 3] += short
        came_m3, over_m3 = 0.0, 0.0
        for tank in range(tanks.size):
            came_m3 += inflow[tank]
            over_m3 += spill[tank]
            if keep == 1:
                of_tanks[0, row, tank] = volume[tank]
                of_tanks[1, row, tank] = inflow[tank]
                of_tanks[2, row, tank] = levelled[tank] + carried[tank]
                of_tanks[3, row, tank] = spill[tank]
                of_tanks[4, row, tank] = drawn[tank]
                of_tanks[5, row, tank] = lost[tank]
                of_tanks[6, row, tank] = levelled[tank]
        totals[year, 4] += came_m3
        totals[year, 5] += over_m3
