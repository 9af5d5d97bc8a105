"""Overflow in people's words: the steps of a water that is followed, ground underfoot, mends."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from gardenwater.assess.following import Step, StepKind
from gardenwater.assess.mends import Mend, MendKind
from gardenwater.findings.phrases import listed
from gardenwater.overflow import MudWhy, Underfoot
from gardenwater.report.text import hours_words, litres
from gardenwater.site.model import Site
from gardenwater.site.names import called, name_of
from gardenwater.site.things import Downpipe, Tank
from gardenwater.units import Quantity, UnitSystem, text

if TYPE_CHECKING:
    from gardenwater.assess.mud import MudAnswer

_COUNTED = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six"}
_SHORT = {
    MendKind.PIPE: "piped way",
    MendKind.DITCH: "ditch",
    MendKind.SOAKAWAY: "soakaway",
    MendKind.SWALE: "swale",
    MendKind.OUTLET: "outlet turned",
    MendKind.BACK: "diverter set",
}
_LEAST_L = 0.5
_APOSTROPHE = "\u2019"

UNDERFOOT_WORDS = {
    Underfoot.DRY: "firm",
    Underfoot.DAMP: "damp",
    Underfoot.SOFT: "soft",
    Underfoot.MUD: "mud",
}
WHY_WORDS = {
    MudWhy.POOL: "water stands here",
    MudWhy.WAY: "water runs here",
    MudWhy.LIE: "the ground gathers water here",
    MudWhy.TAP: "a tap drips here",
}


def step_words(step: Step, site: Site, units: UnitSystem) -> tuple[str, str]:
    """A step in two lines: what the water does, and with what figures."""
    volume = litres(step.volume_l, units)
    match step.kind:
        case StepKind.COMES_OUT:
            return _out_words(step, site), volume
        case StepKind.RUNS:
            return _run_words(step, site, units)
        case StepKind.POOLS:
            deep = text(step.depth_m, Quantity.DEPTH_M, units)
            gone = "stays" if math.isinf(step.hours) else f"gone in {hours_words(step.hours)}"
            return f"{volume} pool {deep} deep", gone
        case StepKind.OVER_SILL:
            return f"over a sill at {text(step.level_m, Quantity.LEVEL_M, units)}", f"{volume} run on"
        case StepKind.TAKEN:
            return f"{name_of(site, step.subject)} takes {volume}", "full, and spills on" if step.full else "all of it"
        case StepKind.LEAVES:
            return f"{volume} leave the site", ""
        case StepKind.SOAKS:
            return "the last of it soaks away", ""


def _out_words(step: Step, site: Site) -> str:
    thing = site.get(step.subject)
    owner = name_of(site, step.subject)
    if isinstance(thing, Tank):
        return f"from {owner}{_APOSTROPHE}s overflow"
    return f"from the foot of {owner}" if isinstance(thing, Downpipe) else f"from the eaves of {owner}"


def _run_words(step: Step, site: Site, units: UnitSystem) -> tuple[str, str]:
    first = f"{text(step.length_m, Quantity.LENGTH_M, units)} down"
    if step.over:
        names = [name_of(site, thing_id) for thing_id in step.over]
        first += f", over {listed(names)}"
    second = [litres(step.volume_l, units)]
    if math.isfinite(step.fall_m) and step.fall_m > 0.0:
        second.append(f"falls {text(step.fall_m, Quantity.HEIGHT_M, units)}")
    if step.soaked_l >= _LEAST_L:
        second.append(f"{litres(step.soaked_l, units)} soak in")
    return first, ", ".join(second)


def underfoot_words(answer: MudAnswer, at: tuple[float, float]) -> tuple[str, tuple[str, ...]]:
    """How the ground is underfoot at a spot, and why; empty off the ground."""
    cell = answer.ground.cell_at(*at)
    if cell is None:
        return "", ()
    underfoot, why = Underfoot(int(answer.mud.underfoot[cell])), int(answer.mud.why[cell])
    index = float(answer.wetness.index[cell])
    more = [words for reason, words in WHY_WORDS.items() if why & reason]
    if math.isfinite(index):
        more.append(f"wetness index {index:.1f}")
    return f"{UNDERFOOT_WORDS[underfoot]} underfoot", tuple(more)


def mend_title(mend: Mend, site: Site) -> str:
    """What a mend is called: "Piped way to Soakaway", "Swale on the contour", "Outlet on the east side"."""
    if mend.kind is MendKind.EACH:
        return _together(mend)
    if mend.others:
        return f"{mend.kind.value[:1].upper()}{mend.kind.value[1:]} where they meet"
    match mend.kind:
        case MendKind.PIPE:
            return f"Pipe to {name_of(site, mend.into)}" if mend.into else "Piped way past it"
        case MendKind.SOAKAWAY:
            return "New soakaway"
        case MendKind.SWALE:
            return "Swale on the contour"
        case MendKind.DITCH:
            return "Ditch past it"
        case MendKind.OUTLET:
            return f"Outlet on the {mend.side} side"
        case MendKind.BACK:
            return "Back to the downpipe"


def _several(word: str) -> str:
    first, _, rest = word.partition(" ")
    if first == "ditch":
        return "ditches"
    return f"{first}s {rest}" if rest in {"turned", "set"} else f"{word}s"


def _together(mend: Mend) -> str:
    """What mends together are: "Two piped ways and a soakaway"."""
    said = []
    for kind, word in _SHORT.items():
        count = sum(part.kind is kind for part in mend.parts)
        if count:
            said.append(
                f"a{'n' if word[0] == 'o' else ''} {word}"
                if count == 1
                else f"{_COUNTED.get(count, str(count))} {_several(word)}"
            )
    words = listed(said)
    return words[:1].upper() + words[1:]


def mend_figures(mend: Mend, units: UnitSystem, site: Site | None = None) -> str:
    """Its sizes: "50 mm, 11.7 m, falls 1.24 m", "8.8 m, 20 cm deep, takes 1,100 L"; with a site, whose water it leads.

    A trouble of several owners is mended where they meet, or one after the other.
    """
    if mend.parts and site is not None:
        return listed([name_of(site, owner) for owner in (mend.owner, *mend.others)])
    parts = []
    if site is not None:
        parts.append(listed([name_of(site, owner) for owner in (mend.owner, *mend.others)]))
    if mend.bore_mm > 0.0:
        parts.append(text(mend.bore_mm, Quantity.BORE_MM, units))
    if mend.length_m > 0.0:
        parts.append(text(mend.length_m, Quantity.LENGTH_M, units))
    if mend.kind is MendKind.SWALE:
        parts.append(f"{text(mend.deepest_m, Quantity.DEPTH_M, units)} deep")
    elif mend.fall_m > 0.0:
        parts.append(f"falls {text(mend.fall_m, Quantity.HEIGHT_M, units)}")
    if mend.takes_l > 0.0:
        parts.append(f"takes {litres(mend.takes_l, units)}")
    if mend.kind is MendKind.BACK:
        parts.append("the diverter stops by itself, the rest goes down its pipe")
    if mend.off_site_l >= 1.0:
        parts.append(f"{litres(mend.off_site_l, units)} more leave the site")
    return ", ".join(parts)


def kept_words(mend: Mend, site: Site) -> str:
    """What a mend did that was kept, in one sentence."""
    units = site.settings.units
    before, after = litres(mend.before_l, units), litres(mend.remains_l, units)
    verb = "are" if mend.parts else "is"
    return f"{mend_title(mend, site)} {verb} kept: {before} of trouble before, {after} now. Undo takes it back."


def mend_label(mend: Mend, site: Site, units: UnitSystem) -> tuple[str, str, str]:
    """Three lines beside a proposed mend on the plan: its name, its size, what remains."""
    new = next((thing for thing in mend.things if thing.id not in site), mend.things[0])
    level = f" along {text(mend.level_m, Quantity.LEVEL_M, units)}" if math.isfinite(mend.level_m) else ""
    size = text(mend.length_m, Quantity.LENGTH_M, units) if mend.length_m > 0.0 else ""
    name = mend_title(mend, site) if mend.parts else called(new)
    return f"{name}, proposed", f"{size}{level}", f"leaves {litres(mend.remains_l, units)}"
