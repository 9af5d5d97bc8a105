"""Ground underfoot as a picture: damp, soft and mud, without edges; mud with dots."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess.mud import MudAnswer
from gardenwater.overflow import Underfoot
from gardenwater.report.drawing import Dots, Fill, Mark, Picture, Points
from gardenwater.report.fields import Affine6, corners, to_view
from gardenwater.report.view import View

TABLE = (None, *(Fill(f"mud_{number}") for number in range(1, 4)))
DOT_EACH_PX, DOT_PX, DOT_STRENGTH = 7.0, 1.5, 0.6


@dataclass(frozen=True, slots=True, eq=False)
class MudPicture:
    """What is drawn of ground underfoot, on the map. classes: uint8 (rows, cols), `Underfoot`, see `TABLE`."""

    answer: MudAnswer
    classes: NDArray[np.uint8]
    transform: Affine6


def mud_picture(answer: MudAnswer) -> MudPicture:
    """What is drawn of where it is wet underfoot."""
    return MudPicture(answer, answer.mud.underfoot, corners(answer.ground))


def mud_wash(picture: MudPicture, view: View, *, strength: float = 1.0) -> list[Mark]:
    """Damp, soft and muddy ground; dots on mud."""
    cells = Picture(picture.classes, TABLE, to_view(picture.transform, view), smooth=True, strength=strength)
    marks: list[Mark] = [cells]
    dots = _dots(picture, view)
    if len(dots):
        marks.append(Dots(dots, DOT_PX, "earth", DOT_STRENGTH * strength))
    return marks


def _dots(picture: MudPicture, view: View) -> Points:
    """The points of a fixed grid on the sheet that lie on mud, px; the grid moves with the ground."""
    if not (picture.classes == Underfoot.MUD).any():
        return np.empty((0, 2))
    sheet = view.sheet
    left, top = (float(value) for value in view.to_px(0.0, 0.0))
    x = np.arange(sheet.x + (left - sheet.x) % DOT_EACH_PX, sheet.right, DOT_EACH_PX)
    y = np.arange(sheet.y + (top - sheet.y) % DOT_EACH_PX, sheet.bottom, DOT_EACH_PX)
    points = np.column_stack([axis.ravel() for axis in np.meshgrid(x, y)])
    ground = picture.answer.ground
    on_map = np.array([view.to_map(*points[0]), view.to_map(*points[-1])])
    east = on_map[0, 0] + (points[:, 0] - points[0, 0]) / view.px_per_m
    north = on_map[0, 1] - (points[:, 1] - points[0, 1]) / view.px_per_m
    cols = np.floor((east - ground.transform.c) / ground.cell_x_m).astype(np.intp)
    rows = np.floor((ground.transform.f - north) / ground.cell_y_m).astype(np.intp)
    inside = (rows >= 0) & (rows < ground.shape[0]) & (cols >= 0) & (cols < ground.shape[1])
    muddy = np.zeros(len(points), dtype=np.bool_)
    muddy[inside] = picture.classes[rows[inside], cols[inside]] == Underfoot.MUD
    chosen: Points = points[muddy]
    return chosen
