"""How the window is parted; the sizes are those of the specification of its looks (section 2)."""

from __future__ import annotations

import pytest

from gardenwater.desktop.framing import Fold, frame, size_class


def test_the_usual_window() -> None:
    made = frame(1600, 1000)
    assert (made.menu_px, made.questions_px, made.read_out_px) == (30, 65, 32)
    assert (made.tray_px, made.right_px, made.findings_px) == (184, 352, 0)
    assert made.heading
    assert made.question_icons
    assert not made.tray_icons
    assert not made.findings_folded


def test_a_small_window_folds_tray_title_and_icons() -> None:
    made = frame(1280, 720)
    assert (made.menu_px, made.questions_px, made.read_out_px) == (28, 52, 26)
    assert (made.tray_px, made.right_px) == (72, 304)
    assert made.tray_icons
    assert not made.heading
    assert not made.question_icons
    assert not made.findings_folded


def test_a_large_window_gives_the_findings_a_column() -> None:
    made = frame(2560, 1440)
    assert (made.tray_px, made.right_px, made.findings_px) == (216, 380, 360)


@pytest.mark.parametrize(("height", "folded"), [(679, True), (680, False)])
def test_findings_fold_in_a_low_window(height: int, folded: bool) -> None:
    assert frame(1024, height).findings_folded is folded


@pytest.mark.parametrize(("size", "icons"), [((1439, 1000), True), ((1440, 880), False), ((1600, 879), True)])
def test_the_tray_folds_under_1440_or_880(size: tuple[int, int], icons: bool) -> None:
    assert frame(*size).tray_icons is icons


def test_larger_text_leaves_less_room() -> None:
    made = frame(1600, 1000, factor=1.3)
    assert made.tray_icons
    assert made.questions_px == round(52 * 1.3)
    assert made.right_px == round(304 * 1.3)


def test_what_was_folded_by_hand_goes_before_the_size() -> None:
    assert frame(1600, 1000, by_hand={Fold.TRAY: True}).tray_icons
    assert not frame(1280, 720, by_hand={Fold.TRAY: False}).tray_icons
    assert frame(1600, 1000, by_hand={Fold.FINDINGS: True}).findings_folded
    assert frame(1280, 720, by_hand={Fold.QUESTION_ICONS: False}).question_icons


def test_windows_of_about_one_size_share_their_folds() -> None:
    assert size_class(1600, 1000) == size_class(1680, 1050)
    assert len({size_class(*size) for size in ((1024, 640), (1280, 720), (1400, 900), (1600, 1000), (2560, 1440))}) == 5
