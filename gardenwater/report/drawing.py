"""The drawing list: what is to be drawn, as values, for the plan on the screen and on paper alike.

Everything is in device-independent px of the view, y down. Colours are roles of the palette, never hex. A painter goes
through the layers in their order and through each layer's marks in theirs; it knows nothing about gardens.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import NamedTuple, TypeAlias

import numpy as np
from numpy.typing import NDArray

Points: TypeAlias = NDArray[np.float64]
"""float64 (n, 2), px: x to the right, y down."""


class Subpath(NamedTuple):
    """One run of straight pieces. points: float64 (n, 2), px. A closed one goes back to its first point."""

    points: Points
    closed: bool = False


class Rect(NamedTuple):
    """A rectangle, px: its upper left corner, width and height."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Where it ends at the right."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Where it ends below."""
        return self.y + self.height

    def grown(self, by_px: float) -> Rect:
        """The rectangle with each edge moved outwards."""
        return Rect(self.x - by_px, self.y - by_px, self.width + 2 * by_px, self.height + 2 * by_px)

    def meets(self, other: Rect) -> bool:
        """Whether the two share some area."""
        return self.x < other.right and other.x < self.right and self.y < other.bottom and other.y < self.bottom

    def holds(self, x: float, y: float) -> bool:
        """Whether the point lies in it, edges included."""
        return self.x <= x <= self.right and self.y <= y <= self.bottom

    def outline(self) -> Subpath:
        """Its edge."""
        corners = ((self.x, self.y), (self.right, self.y), (self.right, self.bottom), (self.x, self.bottom))
        return Subpath(np.array(corners, dtype=np.float64), closed=True)


class Cap(StrEnum):
    """How a line ends."""

    FLAT = "flat"
    ROUND = "round"
    SQUARE = "square"


class Join(StrEnum):
    """How a line turns."""

    MITRE = "mitre"
    ROUND = "round"


class Align(StrEnum):
    """Which part of the words stands at the given x."""

    LEFT = "left"
    MIDDLE = "middle"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Pen:
    """A line.

    dash: lengths on and off by turns, px (not widths). strength: 0 to 1, multiplied into the colour's opacity.
    """

    role: str
    width_px: float
    dash: tuple[float, ...] = ()
    cap: Cap = Cap.FLAT
    join: Join = Join.ROUND
    strength: float = 1.0


@dataclass(frozen=True, slots=True)
class Fill:
    """A flat fill (even-odd where outlines lie in one another)."""

    role: str
    strength: float = 1.0


@dataclass(frozen=True, slots=True)
class TextStyle:
    """One of the typeface's four cuts at a size, px."""

    size_px: float
    semibold: bool = False
    italic: bool = False

    def scaled(self, factor: float) -> TextStyle:
        """The same cut at another size."""
        return self if factor == 1.0 else replace(self, size_px=self.size_px * factor)


Measure: TypeAlias = Callable[[str, TextStyle], tuple[float, float]]
"""Width (the advance) and height (ascent and descent) of words in a style, px. Given by who paints."""


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """An outline, filled or stroked or both: first `casing`, then `fill`, then `pen`, each over the whole path."""

    path: tuple[Subpath, ...]
    fill: Fill | None = None
    pen: Pen | None = None
    casing: Pen | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Strokes:
    """Many single straight strokes with one pen.

    ends: float64 (n, 2, 2), px; [i, 0] is where stroke i begins, [i, 1] where it ends.
    """

    ends: NDArray[np.float64]
    pen: Pen
    casing: Pen | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Dots:
    """Many round dots of one size. points: float64 (n, 2), px."""

    points: Points
    diameter_px: float
    role: str
    strength: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Text:
    """Words on one line.

    x, y: px; x by `align`, y of the base line; turned by `angle_deg` about (x, y), clockwise on the screen.
    casing: drawn first, round the letters (its width is that of the stroke along their outlines).
    """

    x: float
    y: float
    words: str
    style: TextStyle
    role: str
    align: Align = Align.LEFT
    casing: Pen | None = None
    angle_deg: float = 0.0
    strength: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Picture:
    """A picture of cells.

    cells: uint8, C order, never changed. (rows, cols): classes, coloured through `table` (one Fill for each class, or
    None where it is clear). (rows, cols, 4): RGBA, `table` is None. The array stays the same object while its content
    does: a painter may keep what it made of it.
    transform: (a, b, c, d, e, f) from a cell's corner to px: x = a col + b row + c, y = d col + e row + f.
    smooth: blended between cells, else each cell has a hard edge.
    """

    cells: NDArray[np.uint8]
    table: tuple[Fill | None, ...] | None
    transform: tuple[float, float, float, float, float, float]
    smooth: bool = False
    strength: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Group:
    """Marks drawn inside a clip (even-odd; None: no clip) and at a common strength, multiplied into each mark's own."""

    marks: tuple[Mark, ...]
    clip: tuple[Subpath, ...] | None = None
    strength: float = 1.0


Mark: TypeAlias = Shape | Strokes | Dots | Text | Picture | Group


class LayerName(StrEnum):
    """The layers of a plan, bottom first, in the order of the symbols' rules; each holds what changes together.

    BEDS and STORES are of a plan that shows one day: what changes from day to day, apart from what does not.
    """

    GROUND = "ground"
    WASH = "wash"
    CONTOURS = "contours"
    HATCHES = "hatches"
    THINGS_BELOW = "things below"
    BEDS = "beds"
    LIMITS = "limits"
    BUILT = "built"
    ANSWERS = "answers"
    THINGS_ABOVE = "things above"
    STORES = "stores"
    OVERLAY = "overlay"
    FINDINGS = "findings"
    LABELS = "labels"
    FRAME = "frame"
    PAGE = "page"


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """Marks that change together.

    made_of: what the marks were made of; a layer made anew from equal parts is the old object (see `plan.plan_layers`),
    so that a painter keeps its picture of a layer for as long as `layer is kept_layer`.
    clip: outside of this rectangle nothing of the layer is drawn; None where the margins are drawn on too.
    """

    name: LayerName
    marks: tuple[Mark, ...]
    clip: Rect | None = None
    made_of: Hashable = None


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """A whole drawing: its size in px, the role of its ground, and its layers, bottom first."""

    width_px: float
    height_px: float
    layers: tuple[Layer, ...]
    ground: str = "paper"

    def __iter__(self) -> Iterator[Layer]:
        return iter(self.layers)

    def layer(self, name: LayerName) -> Layer:
        """The layer of that name; KeyError where the drawing has none."""
        for layer in self.layers:
            if layer.name is name:
                return layer
        raise KeyError(name)
