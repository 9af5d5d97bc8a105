"""What is remembered between runs."""

from __future__ import annotations

from pathlib import Path

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.look import Motion
from gardenwater.desktop.preferences import Preferences
from gardenwater.units import UnitSystem


def test_all_of_it_is_there_at_the_next_start(tmp_path: Path) -> None:
    first = Preferences(tmp_path / "p.ini")
    first.theme, first.text_percent, first.motion, first.units = Theme.DARK, 130, Motion.REDUCED, UnitSystem.US
    first.keep_folds("usual-high", {"tray": True, "findings": False})
    first.remember(tmp_path / "with, comma; and ünïcode.gpkg")
    first.last_folder = tmp_path
    first.write()
    again = Preferences(tmp_path / "p.ini")
    assert (again.theme, again.text_percent) == (Theme.DARK, 130)
    assert (again.motion, again.units) == (Motion.REDUCED, UnitSystem.US)
    assert again.folds("usual-high") == {"tray": True, "findings": False}
    assert again.folds("narrow-low") == {}
    assert again.recent == (tmp_path / "with, comma; and ünïcode.gpkg",)
    assert again.last_folder == tmp_path


def test_the_latest_site_stands_first_and_once(tmp_path: Path) -> None:
    kept = Preferences(tmp_path / "p.ini")
    for name in "abcdefghij":
        kept.remember(tmp_path / name)
    kept.remember(tmp_path / "f")
    assert [path.name for path in kept.recent] == ["f", "j", "i", "h", "g", "e", "d", "c"]
    kept.forget(tmp_path / "j")
    assert [path.name for path in kept.recent][:2] == ["f", "i"]


def test_words_of_another_version_are_the_usual_ones(tmp_path: Path) -> None:
    (tmp_path / "p.ini").write_text("units=cubits\n[look]\ntheme=sepia\ntext_percent=big\n[folds]\nwide-high=tray\n")
    kept = Preferences(tmp_path / "p.ini")
    assert (kept.theme, kept.text_percent, kept.units) == (Theme.SYSTEM, 100, UnitSystem.METRIC)
    assert kept.folds("wide-high") == {}
