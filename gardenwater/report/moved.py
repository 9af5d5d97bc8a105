"""Marks of a small drawing laid into a larger one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from gardenwater.report.drawing import Dots, Group, Mark, Picture, Shape, Strokes, Subpath, Text


def moved(marks: Iterable[Mark], right_px: float, down_px: float) -> list[Mark]:
    """The marks, each so much farther to the right and down."""
    by = np.array((right_px, down_px))

    def paths(subpaths: tuple[Subpath, ...]) -> tuple[Subpath, ...]:
        return tuple(each._replace(points=each.points + by) for each in subpaths)

    def one(mark: Mark) -> Mark:
        match mark:
            case Shape():
                return replace(mark, path=paths(mark.path))
            case Strokes():
                return replace(mark, ends=mark.ends + by)
            case Dots():
                return replace(mark, points=mark.points + by)
            case Text():
                return replace(mark, x=mark.x + right_px, y=mark.y + down_px)
            case Picture():
                a, b, c, d, e, f = mark.transform
                return replace(mark, transform=(a, b, c + right_px, d, e, f + down_px))
            case Group():
                clip = None if mark.clip is None else paths(mark.clip)
                return replace(mark, marks=tuple(one(inner) for inner in mark.marks), clip=clip)

    return [one(mark) for mark in marks]
