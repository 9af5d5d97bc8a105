"""The drawing of a plan, with what the next one takes over from it."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass

from gardenwater.report.drawing import Drawing, Layer, LayerName, Mark, Rect
from gardenwater.report.plan_words import Words
from gardenwater.report.results import Disc
from gardenwater.report.view import View


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class PlanDrawing(Drawing):
    """A drawing of the plan.

    view: what it shows. words: labels and words along lines in their places. discs: findings on the plan. sheets: key,
    scale bar and north, px.
    """

    view: View
    words: Words
    discs: tuple[Disc, ...] = ()
    sheets: tuple[Rect, ...] = ()


class Layers:
    """Makes layers, or takes them over from the drawing before where they are made of the same."""

    def __init__(self, before: Drawing | None) -> None:
        self._before = {layer.name: layer for layer in before} if before is not None else {}
        self.made: list[Layer] = []

    def add(self, name: LayerName, clip: Rect | None, made_of: Hashable, make: Callable[[], list[Mark]]) -> None:
        """One layer more, on top of those there are; made anew each time when `made_of` is None."""
        kept = self._before.get(name)
        if kept is not None and made_of is not None and kept.clip == clip and kept.made_of == made_of:
            self.made.append(kept)
        else:
            self.made.append(Layer(name, tuple(make()), clip, made_of))
