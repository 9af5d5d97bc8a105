"""Mends of an overflow that does harm, as values: things to put on the plan, and what was found with them there."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from gardenwater.findings import Finding
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.site.things import Thing


class MendKind(StrEnum):
    """How a mend leads the water."""

    PIPE = "piped way"
    DITCH = "ditch"
    SOAKAWAY = "soakaway"
    SWALE = "swale on the contour"
    OUTLET = "outlet on another side"
    BACK = "back to the downpipe"
    EACH = "mends together"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mend:
    """One mend, tried on the site before it is told.

    owner: id of the tank or downpipe whose water it leads. others: of those whose water it takes too, where they have
    met. things: what is put on the plan; those with a known id take
    the place of what has it. into: id of the taker that stands there already, or empty. side: compass word of an
    outlet. length_m, fall_m: of the pipe, ditch or swale. bore_mm: of the pipe, 0 without one. deepest_m: of the trench
    or swale. level_m: of a swale. takes_l: what a new taker takes of the wet day. before_l, remains_l: litres of the
    trouble without and with it. off_site_l: litres more that leave the site. cost: by which equals are ranked, m.
    parts: of mends together, that of each owner, tried one after the other; empty for all other kinds.
    """

    kind: MendKind
    owner: str
    things: tuple[Thing, ...]
    others: tuple[str, ...] = ()
    into: str = ""
    side: str = ""
    length_m: float = 0.0
    fall_m: float = 0.0
    bore_mm: float = 0.0
    deepest_m: float = 0.0
    level_m: float = float("nan")
    takes_l: float = 0.0
    before_l: float = 0.0
    remains_l: float = 0.0
    off_site_l: float = 0.0
    cost: float = 0.0
    parts: tuple[Mend, ...] = ()

    def on(self, site: Site) -> Site:
        """The site with the mend: one edit. Raises EditError where the site has changed under it."""
        return edits.put(site, *self.things)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mends:
    """The mends of one trouble, the best first; none where nothing that was tried does any good."""

    trouble: Finding
    before_l: float
    mends: tuple[Mend, ...]
