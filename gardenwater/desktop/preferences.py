"""What the program remembers between runs: looks, units, sites opened before, folds by the window's size."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QByteArray, QSettings

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.look import Motion
from gardenwater.units import UnitSystem

_MOST_RECENT = 8
_Kept = TypeVar("_Kept", Theme, Motion, UnitSystem)


class Preferences:
    """Kept in an ini file under the user's configuration folder, or in `file`."""

    def __init__(self, file: Path | None = None) -> None:
        kind = QSettings.Format.IniFormat
        self._kept = (
            QSettings(str(file), kind)
            if file is not None
            else QSettings(kind, QSettings.Scope.UserScope, "gardenwater", "gardenwater")
        )

    @property
    def theme(self) -> Theme:
        """Light, dark, or as the system says."""
        return _member(Theme, self._words("look/theme"), Theme.SYSTEM)

    @theme.setter
    def theme(self, theme: Theme) -> None:
        self._keep("look/theme", theme.value)

    @property
    def text_percent(self) -> int:
        """The text size, percent."""
        words = self._words("look/text_percent")
        return int(words) if words.isdigit() else 100

    @text_percent.setter
    def text_percent(self, percent: int) -> None:
        self._keep("look/text_percent", str(percent))

    @property
    def motion(self) -> Motion:
        """Whether things move."""
        return _member(Motion, self._words("look/motion"), Motion.SYSTEM)

    @motion.setter
    def motion(self, motion: Motion) -> None:
        self._keep("look/motion", motion.value)

    @property
    def units(self) -> UnitSystem:
        """The units of new sites."""
        return _member(UnitSystem, self._words("units"), UnitSystem.METRIC)

    @units.setter
    def units(self, units: UnitSystem) -> None:
        self._keep("units", units.value)

    @property
    def recent(self) -> tuple[Path, ...]:
        """Sites opened before, the latest first; also those whose files are no longer there."""
        return tuple(Path(words) for words in self._words("recent").split("\n") if words)

    def remember(self, path: Path) -> None:
        """Put a site at the head of those opened before."""
        path = path.absolute()
        rest = [each for each in self.recent if each != path]
        self._keep("recent", "\n".join(str(each) for each in (path, *rest)[:_MOST_RECENT]))

    def forget(self, path: Path) -> None:
        """Take a site off the list of those opened before."""
        self._keep("recent", "\n".join(str(each) for each in self.recent if each != path))

    def folds(self, size: str) -> dict[str, bool]:
        """What was folded (True) or opened (False) by hand in windows of this size."""
        parts = (pair.split("=") for pair in self._words(f"folds/{size}").split(" ") if "=" in pair)
        return {name: value == "1" for name, value in parts}

    def keep_folds(self, size: str, folds: Mapping[str, bool]) -> None:
        """Keep what is folded by hand in windows of this size."""
        self._keep(f"folds/{size}", " ".join(f"{name}={int(folded)}" for name, folded in folds.items()))

    @property
    def window_place(self) -> QByteArray:
        """Size and place of the window as Qt keeps them; empty at first."""
        value = self._kept.value("window/place")
        return value if isinstance(value, QByteArray) else QByteArray()

    @window_place.setter
    def window_place(self, place: QByteArray) -> None:
        self._kept.setValue("window/place", place)

    @property
    def last_folder(self) -> Path:
        """Where files were last chosen."""
        folder = Path(self._words("folder") or Path.home())
        return folder if folder.is_dir() else Path.home()

    @last_folder.setter
    def last_folder(self, folder: Path) -> None:
        self._keep("folder", str(folder))

    def write(self) -> None:
        """Write to the disk now."""
        self._kept.sync()

    def _words(self, key: str) -> str:
        return str(self._kept.value(key, "") or "")

    def _keep(self, key: str, words: str) -> None:
        self._kept.setValue(key, words)


def _member(kind: type[_Kept], words: str, usual: _Kept) -> _Kept:
    """The member called so; the usual one for words of another version."""
    return kind(words) if words in {member.value for member in kind} else usual
