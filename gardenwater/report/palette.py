"""Roles to colours: the only place where a role becomes a colour."""

from __future__ import annotations

import json
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from types import MappingProxyType

from gardenwater.errors import InputError
from gardenwater.tables import resource


class Scheme(StrEnum):
    """By day and in print, or by night."""

    LIGHT = "light"
    DARK = "dark"


@dataclass(frozen=True, slots=True)
class Palette:
    """The colours of one scheme, by role."""

    scheme: Scheme
    hexes: MappingProxyType[str, str]

    def hex(self, role: str) -> str:
        """`#RRGGBB` of a role. Raises InputError for a role that the palette does not have."""
        try:
            return self.hexes[role]
        except KeyError:
            raise InputError(f"The palette has no role {role!r}.", where="palette.json") from None

    def rgb(self, role: str) -> tuple[int, int, int]:
        """Red, green and blue of a role, 0 to 255. Raises InputError for a role that the palette does not have."""
        code = self.hex(role)
        return int(code[1:3], 16), int(code[3:5], 16), int(code[5:7], 16)

    @property
    def roles(self) -> frozenset[str]:
        """All roles."""
        return frozenset(self.hexes)


@cache
def palette(scheme: Scheme) -> Palette:
    """The palette of a scheme, read once from resources/palette.json."""
    schemes = json.loads(resource("palette.json").read_text(encoding="utf-8"))["schemes"]
    roles = schemes[scheme.value]["roles"]
    return Palette(scheme, MappingProxyType({role: row["hex"].upper() for role, row in roles.items()}))


@cache
def paper_palette(*, white: bool = True) -> Palette:
    """The light scheme for print: the paper itself is white unless asked otherwise."""
    light = palette(Scheme.LIGHT)
    if not white:
        return light
    bare = dict.fromkeys(("paper", "slip", "lie_1"), light.hex("shade_light"))
    return Palette(Scheme.LIGHT, MappingProxyType({**light.hexes, **bare}))
