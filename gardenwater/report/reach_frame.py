"""The water reach map for one frame of a drag: classes and their lines, put on the screen's px at once."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gardenwater.assess import BestReach, Sureness, TankReach
from gardenwater.ground import Ground
from gardenwater.report.drawing import Fill, Mark, Picture
from gardenwater.report.fields import Affine6, Field, corners, to_view
from gardenwater.report.view import View

TABLE = (
    None,
    *(Fill(f"reach_{number}") for number in range(1, 6)),
    Fill("reach_marginal"),
    Fill("reach_5"),
    Fill("water_line"),
    Fill("water_line", 0.8),
    Fill("water_line"),
    Fill("water_line", 0.35),
)
"""Of what `kernels_frame` says of a px."""


@dataclass(frozen=True, slots=True, eq=False)
class ReachFrame:
    """Fields of a water reach map on its grid, see `kernels_frame.go_on`; where on the map they lie.

    barrier: bool (rows, cols), of the map. under: int32, flat index of the cell that each one shows.
    """

    head_m: Field = field(repr=False)
    doublings: Field = field(repr=False)
    sure_m: Field = field(repr=False)
    slow: NDArray[np.bool_] = field(repr=False)
    transform: Affine6
    barrier: NDArray[np.bool_] = field(repr=False)
    under: NDArray[np.int32] = field(repr=False)

    def marks(self, view: View, strength: float) -> list[Mark]:
        """The classes with their edges and the limit, one px for one px of the view's sheet."""
        from gardenwater.report.kernels_frame import shade

        sheet = view.sheet
        cells = np.zeros((max(round(sheet.height), 1), max(round(sheet.width), 1)), dtype=np.uint8)
        a, _, c, _, e, f = to_view(self.transform, view)
        shade(
            cells, self.head_m, self.doublings, self.sure_m, self.slow,
            c + a / 2 - sheet.x, f + e / 2 - sheet.y, a, e,
        )  # fmt: skip
        return [Picture(cells, TABLE, (1.0, 0.0, sheet.x, 0.0, 1.0, sheet.y), smooth=True, strength=strength)]


def reach_frame(ground: Ground, reach: TankReach | BestReach, before: ReachFrame | None = None) -> ReachFrame:
    """The fields of a reach map. before: of the frame before, whose barriers are taken over where they are the same."""
    from gardenwater.reach import Reason
    from gardenwater.report.kernels_frame import go_on

    source = reach.map if isinstance(reach, TankReach) else reach
    barrier = source.reason == Reason.BARRIER
    kept = before is not None and np.array_equal(before.barrier, barrier)
    under = before.under if before is not None and kept else _under(barrier)
    head, doublings, sure = np.empty((3, *ground.shape), dtype=np.float32)
    slow = np.empty(ground.shape, dtype=np.bool_)
    go_on(
        source.residual_head_m, source.minutes_per_can, _beyond_error(reach), ground.level_m, source.reason, under,
        head, doublings, sure, slow,
    )  # fmt: skip
    return ReachFrame(head, doublings, sure, slow, corners(ground), barrier, under)


def _beyond_error(reach: TankReach | BestReach) -> Field:
    """By how much reach is sure, m; of the best of all only whether it is."""
    if isinstance(reach, TankReach):
        return reach.map.sure_m
    return np.where(reach.sureness == Sureness.SURE, np.float32(0.5), np.float32(-0.5))


def _under(barrier: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Each cell's own flat index; on a barrier that of the nearest cell beside it, as if the map went on below."""
    own = np.arange(barrier.size, dtype=np.int32).reshape(barrier.shape)
    if not barrier.any() or barrier.all():
        return own
    from scipy.ndimage import distance_transform_edt

    row, col = distance_transform_edt(barrier, return_distances=False, return_indices=True)
    under: NDArray[np.int32] = own[row, col]
    return under
