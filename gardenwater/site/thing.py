"""What all things have."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from shapely.geometry.base import BaseGeometry

from gardenwater.site.fields import words


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """One object on the plan. `id` is unique in its site and never shown; `name` is what people call it."""

    kind: ClassVar[str] = ""
    word: ClassVar[str] = ""
    geometry: ClassVar[str] = ""

    id: str
    name: str = words("Name")
    locked: bool = False
    note: str = words("Note")
    shape: BaseGeometry
