"""How the window is parted at a size: which parts are folded, and how wide and high the others are."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from gardenwater.report.year.layout import StripForm

LEAST_WIDTH_PX, LEAST_HEIGHT_PX = 1024, 640
_LOW_PX = 880.0
_STRIP_WORDS_PX, _STRIP_LOW_OPEN_PX = 26.0, 132.0
TRAY_PX, TRAY_WIDE_PX, TRAY_ICONS_PX = 184, 216, 72


class Fold(StrEnum):
    """What can be folded, by room or by hand."""

    TRAY = "tray"
    QUESTION_ICONS = "question_icons"
    FINDINGS = "findings"
    YEAR_STRIP = "year_strip"


class StripWish(StrEnum):
    """What is wished of the year strip: nothing to show but a line of words, folded, or open where there is room."""

    WORDS = "words"
    FOLDED = "folded"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Sizes of the parts, px, and what is folded.

    findings_px: width of the findings when they stand in a column of their own, else 0. strip_form: how much of the
    year strip is shown.
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
    strip_px: int
    strip_form: StripForm


def size_class(width_px: float, height_px: float, factor: float = 1.0) -> str:
    """A word for windows of about this size; folds made by hand are kept for each."""
    width, height = width_px / factor, height_px / factor
    across = "narrow" if width < 1360 else "middle" if width < 1440 else "usual" if width < 2200 else "wide"
    down = "low" if height < 680 else "short" if height < 880 else "high"
    return f"{across}-{down}"


def frame(
    width_px: int,
    height_px: int,
    *,
    factor: float = 1.0,
    by_hand: Mapping[str, bool] | None = None,
    strip: StripWish = StripWish.FOLDED,
) -> Frame:
    """The frame for a window of this size.

    factor: the user's text size; rows and columns grow with it, so that a window has so much less room. by_hand: what
    was folded (True) or opened (False) by hand, by `Fold`; it goes before what the size says. strip: what is wished of
    the year strip.
    """
    hand = by_hand or {}
    width, height = width_px / factor, height_px / factor
    tray_icons = hand.get(Fold.TRAY, width < 1440 or height < 880)
    narrow, wide = width < 1360, width >= 2200
    strip_form, strip_px = _strip(height, strip, hand.get(Fold.YEAR_STRIP), wide=wide)

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
        strip_px=px(strip_px),
        strip_form=strip_form,
    )


def _strip(height: float, wish: StripWish, folded_by_hand: bool | None, *, wide: bool) -> tuple[StripForm, float]:
    """Form and height, px, of the year strip in a window so high.

    Under 880 an open one would leave the plan less than 480: it opens by hand only, and to less.
    """
    if wish is StripWish.WORDS:
        return StripForm.WORDS, _STRIP_WORDS_PX
    low = height < _LOW_PX
    if folded_by_hand is False or (folded_by_hand is None and wish is StripWish.OPEN and not low):
        return StripForm.OPEN, _STRIP_LOW_OPEN_PX if low else 320.0 if wide else 272.0
    if height < LEAST_HEIGHT_PX:
        return StripForm.WORDS, _STRIP_WORDS_PX
    if low:
        return StripForm.LOW, 58.0
    return StripForm.FOLDED, 96.0 if wide else 78.0
