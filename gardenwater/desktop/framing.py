"""How the window is parted at a size: which parts are folded, and how wide and high the others are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

LEAST_WIDTH_PX, LEAST_HEIGHT_PX = 1024, 640
TRAY_PX, TRAY_WIDE_PX, TRAY_ICONS_PX = 184, 216, 72


class Fold(StrEnum):
    """What can be folded, by room or by hand."""

    TRAY = "tray"
    QUESTION_ICONS = "question_icons"
    FINDINGS = "findings"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Sizes of the parts, px, and what is folded.

    findings_px: width of the findings when they stand in a column of their own, else 0.
    """

    menu_px: int
    questions_px: int
    heading: bool
    question_icons: bool
    tray_icons: bool
    tray_px: int
    read_out_px: int
    right_px: int
    findings_px: int
    findings_folded: bool


def size_class(width_px: float, height_px: float, factor: float = 1.0) -> str:
    """A word for windows of about this size; folds made by hand are kept for each."""
    width, height = width_px / factor, height_px / factor
    across = "narrow" if width < 1360 else "middle" if width < 1440 else "usual" if width < 2200 else "wide"
    down = "low" if height < 680 else "short" if height < 880 else "high"
    return f"{across}-{down}"


def frame(width_px: int, height_px: int, *, factor: float = 1.0, by_hand: Mapping[str, bool] | None = None) -> Frame:
    """The frame for a window of this size.

    factor: the user's text size; rows and columns grow with it, so that a window has so much less room. by_hand: what
    was folded (True) or opened (False) by hand, by `Fold`; it goes before what the size says.
    """
    hand = by_hand or {}
    width, height = width_px / factor, height_px / factor
    tray_icons = hand.get(Fold.TRAY, width < 1440 or height < 880)
    narrow, wide = width < 1360, width >= 2200

    def px(size: float) -> int:
        return round(size * factor)

    return Frame(
        menu_px=px(28 if narrow else 30),
        questions_px=px(52 if narrow else 65),
        heading=not narrow,
        question_icons=not hand.get(Fold.QUESTION_ICONS, narrow),
        tray_icons=tray_icons,
        tray_px=TRAY_ICONS_PX if tray_icons else px(TRAY_WIDE_PX if wide else TRAY_PX),
        read_out_px=px(26 if narrow else 32),
        right_px=px(304 if narrow else 380 if wide else 352),
        findings_px=px(360) if wide else 0,
        findings_folded=not wide and hand.get(Fold.FINDINGS, height < 680),
    )
