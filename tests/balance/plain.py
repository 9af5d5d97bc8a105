"""The balance once more, in plain Python and litres; no kernel and no array of the engine is used.

Written from the day's order of events as the program states it (`balance.ORDER`), to hold the engine against. It knows
upright tanks, links between two of them, diverters alone on their pipe, and beds with a root zone (`demand.oracle`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tests.demand.oracle import Soil

TINY = 1e-9


@dataclass
class Vat:
    """An upright tank: litres for each metre, levels of floor, outlet and rim, litres in it, litres that leak a day."""

    wide: float
    floor: float
    outlet: float
    rim: float
    litres: float
    leak: float = 0.0
    open_m2: float = 0.0

    def at(self, level: float) -> float:
        """Litres up to a level."""
        return max(level - self.floor, 0.0) * self.wide

    @property
    def level(self) -> float:
        """Where its water stands."""
        return self.floor + self.litres / self.wide


@dataclass
class Patch:
    """A bed: m2, the needed level by tank, its soil, its days, its fixed depth, litres refused and still missing."""

    area: float
    needed: Mapping[str, float]
    soil: Soil
    days: Sequence[Mapping[str, Any]]
    fixed: float
    debt: float = 0.0


@dataclass
class Garden:
    """All of it. links: pairs of tanks by the level of the pipe. spouts: tank, litres for a millimetre, if it stops."""

    vats: dict[str, Vat]
    links: dict[tuple[str, str], float]
    spouts: list[tuple[str, float, bool]]
    patches: list[Patch]
    cans_l: float
    order: list[str] = field(default_factory=list)

    def partner(self, name: str) -> tuple[str, float] | None:
        """The tank that a link joins to this one, and the link's level."""
        for (one, other), level in self.links.items():
            if name in (one, other):
                return (other if name == one else one), level
        return None

    def settle(self) -> None:
        """Bring each pair to its levels: by halving the common one where both stand above the link."""
        for (one, other), pipe in self.links.items():
            a, b = self.vats[one], self.vats[other]
            whole = a.litres + b.litres
            if whole >= a.at(pipe) + b.at(pipe):
                low, high = pipe, pipe + whole / min(a.wide, b.wide) + 1.0
                for _ in range(60):
                    middle = (low + high) / 2.0
                    if a.at(middle) + b.at(middle) < whole:
                        low = middle
                    else:
                        high = middle
                a.litres = a.at(low)
                b.litres = whole - a.litres
            else:
                for giver, taker in ((a, b), (b, a)):
                    over = giver.litres - giver.at(pipe)
                    if over > 0.0:
                        giver.litres -= over
                        taker.litres += over

    def gives(self, name: str, least: float) -> float:
        """Litres that can be drawn at a tank down to a level, with what its partner adds on the way."""
        vat = self.vats[name]
        own = vat.litres - vat.at(least)
        joined = self.partner(name)
        if own <= TINY or joined is None:
            return max(own, 0.0)
        other, pipe = self.vats[joined[0]], joined[1]
        both = vat.level > pipe + 1e-12 and abs(vat.level - other.level) < 1e-7
        return own + (max(other.litres - other.at(max(least, pipe)), 0.0) if both else 0.0)

    def take(self, name: str, litres: float) -> None:
        """Draw at a tank."""
        self.vats[name].litres -= litres
        self.settle()

    def share_out(self, wants: Sequence[float]) -> list[tuple[int, str, float, bool]]:
        """Who gets what from where, driest bed first, lowest tank first, by gravity and then by can."""
        kept = {name: vat.litres for name, vat in self.vats.items()}
        draws = []
        cans = self.cans_l
        dryness = [patch.soil.dr / max(float(patch.days[self.day]["available_mm"]), 1e-9) for patch in self.patches]
        for bed in sorted(range(len(wants)), key=lambda bed: -dryness[bed]):
            left = wants[bed]
            for by_can in (False, True):
                for name in self.order:
                    vat = self.vats[name]
                    needed = vat.outlet if by_can else self.patches[bed].needed.get(name)
                    if needed is None or left <= TINY:
                        continue
                    taken = min(self.gives(name, max(needed, vat.outlet)), left, cans if by_can else left)
                    if taken <= TINY:
                        continue
                    cans -= taken if by_can else 0.0
                    left -= taken
                    self.take(name, taken)
                    draws.append((bed, name, taken, by_can))
        for name, litres in kept.items():
            self.vats[name].litres = litres
        return draws

    def rain(self, runoff: float) -> None:
        """Rain into the tanks; what is over the rim spills, or was never led aside by those that stop."""
        for name, l_mm, _ in self.spouts:
            self.vats[name].litres += l_mm * runoff
        self.settle()
        done = set()
        for name, vat in self.vats.items():
            joined = self.partner(name)
            if name in done:
                continue
            if joined is None:
                vat.litres = min(vat.litres, vat.at(vat.rim))
                continue
            other = self.vats[joined[0]]
            done |= {name, joined[0]}
            rim = min(vat.rim, other.rim)
            if vat.litres + other.litres > vat.at(rim) + other.at(rim):
                vat.litres, other.litres = vat.at(rim), other.at(rim)

    def advance(self, day: int, runoff: float, open_mm: float) -> tuple[float, float, float]:
        """One day. Litres wanted for the first time, given by gravity, and by can."""
        self.day = day
        wants = [patch.soil.asks(patch.days[day], patch.fixed) * patch.area for patch in self.patches]
        need = 0.0
        for patch, wanted in zip(self.patches, wants, strict=True):
            patch.debt = min(patch.debt, patch.soil.dr * patch.area)
            need += max(wanted - patch.debt, 0.0)
        draws = self.share_out(wants)
        self.rain(runoff)
        met = [0.0] * len(wants)
        given = [0.0, 0.0]
        for bed, name, litres, by_can in draws:
            self.take(name, litres)
            met[bed] += litres
            given[by_can] += litres
        for vat in self.vats.values():
            vat.litres -= min(vat.leak + vat.open_m2 * open_mm, vat.litres)
        self.settle()
        for patch, wanted, got in zip(self.patches, wants, met, strict=True):
            if wanted > TINY and int(patch.days[day]["asks"]) != 3:
                patch.debt = max(wanted - got, 0.0)
            _, transpired, _ = patch.soil.advance(patch.days[day], got / patch.area)
            if patch.debt > TINY:
                need += max(float(patch.days[day]["transpiration_mm"]) - transpired, 0.0) * patch.area
        return need, given[0], given[1]
