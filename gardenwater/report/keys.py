"""What the key says in each question: washes first, then hatches, then lines."""

from __future__ import annotations

from gardenwater.findings import Question
from gardenwater.report.drawing import Pen
from gardenwater.report.ground_picture import DOT_EACH_PX, UNSURE_M, GroundPicture
from gardenwater.report.pictures import Pictures
from gardenwater.report.sheets import KeyGroup, Swatch, dotted, filled, levelled, lined, ruled, slanted, struck
from gardenwater.report.stand_picture import EDGES_M, PART_DOTS_PX, PART_EACH_PX, StandPicture
from gardenwater.report.text import level_words, litres
from gardenwater.report.year.day import SOON_DAYS, DayState
from gardenwater.site.model import Site
from gardenwater.site.things import Tank
from gardenwater.units import Quantity, UnitSystem, text

_REACH_WORDS = ("under 1", "1 to 2", "2 to 4", "4 to 8", "over 8")
_POOL_WORDS = {
    UnitSystem.METRIC: ("under 2", "2 to 5", "5 to 10", "10 to 25", "over 25"),
    UnitSystem.US: ("under 0.8", "0.8 to 2", "2 to 3.9", "3.9 to 9.8", "over 9.8"),
}
_ROUTE_WORDS = {
    UnitSystem.METRIC: (("to 0.1", 1.5), ("to 0.5", 2.0), ("to 2", 3.0), ("over 2", 4.0)),
    UnitSystem.US: (("to 1.6", 1.5), ("to 7.9", 2.0), ("to 32", 3.0), ("over 32", 4.0)),
}


def key_groups(
    site: Site,
    question: Question,
    pictures: Pictures | None,
    units: UnitSystem,
    focus_tank: str,
    *,
    working: bool = False,
    day: DayState | None = None,
    underfoot: bool = False,
) -> tuple[KeyGroup, ...]:
    """The groups of the key; none where the question shades nothing. working: its answer is being worked out.

    day: in Lasting, the day that is shown. underfoot: in Overflow, the plan shows the ground underfoot.
    """
    groups: tuple[KeyGroup, ...]
    if day is not None:
        groups = (_beds(),)
    elif question is Question.REACH and pictures is not None and pictures.reach is not None:
        groups = (_reach(site, units, focus_tank, slow=pictures.reach.slow),)
    elif question is Question.REACH and pictures is not None and pictures.stand is not None:
        groups = _stand(pictures.stand, units)
    elif question is Question.OVERFLOW and pictures is not None and pictures.overflow is not None:
        groups = _overflow(units)
        groups = groups[1:2] if underfoot else groups
    elif question is Question.CATCH:
        groups = _catch(units)
    elif question is Question.GROUND and pictures is not None and pictures.ground.step_m > 0:
        groups = _ground(pictures.ground, units)
    else:
        return ()
    if not working:
        return groups
    first = groups[0]
    return (KeyGroup(first.title, first.swatches, "working out"), *groups[1:])


def _reach(site: Site, units: UnitSystem, focus_tank: str, *, slow: bool) -> KeyGroup:
    swatches = [Swatch(words, filled(f"reach_{number}")) for number, words in enumerate(_REACH_WORDS, 1)]
    if slow:
        swatches.append(Swatch("slow", dotted("paper", "reach_5", 5.0, 1.2)))
    swatches += [Swatch("marginal", slanted("reach_marginal", "water_line")), Swatch("out of reach", filled("paper"))]
    tank = site.get(focus_tank)
    whose = f"{tank.name or 'this tank'} alone, as it stands" if isinstance(tank, Tank) else "best of all tanks"
    return KeyGroup("Minutes per can", tuple(swatches), f"{litres(site.settings.can_l, units)} can, {whose}")


def _stand(picture: StandPicture, units: UnitSystem) -> tuple[KeyGroup, ...]:
    answer = picture.answer
    steps = (*EDGES_M, answer.map.limits.most_stand_m)
    words = ("none", *(f"to {text(step, Quantity.HEIGHT_M, units)}" for step in steps))
    stands = tuple(Swatch(word, filled(f"stand_{number}")) for number, word in enumerate(words, 1))
    parts = tuple(
        Swatch(word, dotted("stand_1", "ink_soft", PART_EACH_PX, dot_px))
        for word, dot_px in zip(("most", "some", "few"), PART_DOTS_PX, strict=True)
    )
    cannot = (Swatch("too steep", struck("paper")), Swatch("feed too low", levelled("paper")))
    size, share = litres(answer.model.capacity_l, units), text(answer.ask.share, Quantity.SHARE, units)
    beds = f"{len(answer.beds)} bed{'' if len(answer.beds) == 1 else 's'}"
    groups = [KeyGroup(f"Stand for {size}, {share} of it for {beds}", stands)]
    if picture.parts.any():
        groups.append(KeyGroup("Only part of the beds", parts))
    return (*groups, KeyGroup("Cannot stand", cannot))


def _overflow(units: UnitSystem) -> tuple[KeyGroup, ...]:
    deep, flow = ("inches", "US gal a minute") if units is UnitSystem.US else ("cm", "litres a second")
    pools = tuple(Swatch(words, filled(f"pool_{number}")) for number, words in enumerate(_POOL_WORDS[units], 1))
    mud = (
        Swatch("damp", filled("mud_1")),
        Swatch("soft", filled("mud_2")),
        Swatch("mud", dotted("mud_3", "earth", 7.0, 1.5)),
    )
    routes = tuple(Swatch(words, lined(Pen("spill", width), headed=True)) for words, width in _ROUTE_WORDS[units])
    return (
        KeyGroup(f"Pools, {deep} deep", pools),
        KeyGroup("Ground underfoot", mud),
        KeyGroup(f"Routes, {flow}", routes),
    )


def _catch(units: UnitSystem) -> tuple[KeyGroup, ...]:
    line = Pen("roof_line", 0.65, strength=0.62)
    roofs = (
        Swatch("led to a tank", ruled("roof_fill", line, 4.5)),
        Swatch("nobody's", ruled("warn_wash", line, 7.5), touching=False),
    )
    lines = tuple(
        Swatch(litres(volume_l, units), lined(Pen("water", 1.2 + 2.8 * volume_l / 30_000.0)))
        for volume_l in (10_000.0, 20_000.0, 30_000.0)
    )
    return KeyGroup("Roofs, by downpipe", roofs), KeyGroup("Led to tanks, a year", lines)


def _beds() -> KeyGroup:
    words = ("moist", f"water in {SOON_DAYS} days", "water today", "dry")
    return KeyGroup("Beds", tuple(Swatch(word, filled(f"bed_{number}")) for number, word in enumerate(words, 1)))


def _ground(picture: GroundPicture, units: UnitSystem) -> tuple[KeyGroup, ...]:
    low, high = picture.relief
    stops = [level_words(low + (high - low) * share / 5.0, 0.1, units) for share in range(6)]
    words = ("lowest", "", "middle", "", "highest")
    swatches = tuple(Swatch(word, filled(f"lie_{number}")) for number, word in enumerate(words, 1))
    fifths = KeyGroup("Level, by fifths", swatches, f"{stops[0]} to {stops[-1]}")
    if picture.unsure is None:
        return (fifths,)
    thin = Swatch(
        f"over ±\u00a0{text(UNSURE_M, Quantity.HEIGHT_M, units)}", dotted("paper", "contour", DOT_EACH_PX, 1.3)
    )
    return fifths, KeyGroup("Few levels", (thin,))
