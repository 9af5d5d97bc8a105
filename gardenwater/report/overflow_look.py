"""How Overflow is looked at: water or ground underfoot, the water that is followed, the mend that is weighed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from gardenwater.assess.following import Step
    from gardenwater.assess.mends import Mend


@dataclass(frozen=True, slots=True, kw_only=True)
class OverflowLook:
    """What the plan shows besides the answers.

    underfoot: ground underfoot in the place of water. steps, at_step: of the water that is followed, and the one that
    is chosen. mend: drawn as proposed. heads_px: how far the arrow heads of routes have moved on.
    """

    underfoot: bool = False
    steps: tuple[Step, ...] = ()
    at_step: int = 0
    mend: Mend | None = None
    heads_px: float = 0.0


PLAIN = OverflowLook()
