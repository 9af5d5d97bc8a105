"""How the window looks: colours by role, the typeface, text size, light and dark, motion."""

from __future__ import annotations

import sys
from enum import StrEnum
from functools import cache, lru_cache

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QStyle, QToolTip

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.housestyle import HouseStyle
from gardenwater.report.drawing import TextStyle
from gardenwater.report.palette import Palette, Scheme, palette
from gardenwater.tables import resource

FAMILY = "Source Sans Pro"
TEXT_PERCENTS = (90, 100, 115, 130, 150)
BODY_PX = 13.0
_CUTS = ("Regular", "It", "Semibold", "SemiboldIt")
_POINTS_PER_INCH = 72.0

_ROLES: dict[QPalette.ColorRole, str] = {
    QPalette.ColorRole.Window: "sheet",
    QPalette.ColorRole.Base: "well",
    QPalette.ColorRole.AlternateBase: "slip_rest",
    QPalette.ColorRole.Text: "ink",
    QPalette.ColorRole.WindowText: "ink",
    QPalette.ColorRole.ButtonText: "ink",
    QPalette.ColorRole.PlaceholderText: "ink_quiet",
    QPalette.ColorRole.Button: "slip",
    QPalette.ColorRole.Highlight: "slip_picked",
    QPalette.ColorRole.HighlightedText: "ink",
    QPalette.ColorRole.Accent: "mark",
    QPalette.ColorRole.ToolTipBase: "slip",
    QPalette.ColorRole.ToolTipText: "ink",
    QPalette.ColorRole.Light: "slip",
    QPalette.ColorRole.Midlight: "slip_rest",
    QPalette.ColorRole.Mid: "rule",
    QPalette.ColorRole.Dark: "rule",
    QPalette.ColorRole.Shadow: "ink_soft",
    QPalette.ColorRole.Link: "mark",
    QPalette.ColorRole.LinkVisited: "mark",
}
_OFF = (QPalette.ColorRole.Text, QPalette.ColorRole.WindowText, QPalette.ColorRole.ButtonText)


class Motion(StrEnum):
    """Whether things move: as the system says, or not."""

    SYSTEM = "system"
    REDUCED = "reduced"


def load_face() -> None:
    """Load the four cuts of the typeface (once for each application)."""
    if FAMILY not in QFontDatabase.families():
        for cut in _CUTS:
            QFontDatabase.addApplicationFont(str(resource(f"face/SourceSansPro-{cut}.ttf")))


def screen_dpi() -> float:
    """Logical dots per inch that sizes in px are turned to points by; pictures painted aside must be set to it."""
    return QGuiApplication.primaryScreen().logicalDotsPerInch()


@cache
def _font(style: TextStyle, dpi: float) -> QFont:
    font = QFont(FAMILY)
    font.setPointSizeF(style.size_px * _POINTS_PER_INCH / dpi)
    font.setWeight(QFont.Weight.DemiBold if style.semibold else QFont.Weight.Normal)
    font.setItalic(style.italic)
    font.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return font


@cache
def _metrics(style: TextStyle, dpi: float) -> QFontMetricsF:
    return QFontMetricsF(_font(style, dpi))


def plan_font(style: TextStyle) -> QFont:
    """The font of a style of the drawing list (its size is in px; the user's text size is in it already)."""
    return _font(style, screen_dpi())


@lru_cache(maxsize=4096)
def _measured(words: str, style: TextStyle, dpi: float) -> tuple[float, float]:
    metrics = _metrics(style, dpi)
    return metrics.horizontalAdvance(words), metrics.ascent() + metrics.descent()


def measure(words: str, style: TextStyle) -> tuple[float, float]:
    """Width and height of words in a style, px: what the placing of labels asks for."""
    return _measured(words, style, screen_dpi())


class Look(QObject):
    """The looks in force; widgets ask it for colours and fonts, and paint anew when it has changed."""

    changed = Signal()

    def __init__(self, app: QApplication) -> None:
        super().__init__(app)
        load_face()
        self._app = app
        self._theme = Theme.SYSTEM
        self._percent = 100
        self._motion = Motion.SYSTEM
        self._palette = palette(Scheme.LIGHT)
        app.styleHints().colorSchemeChanged.connect(self._follow_system)

    @property
    def scheme(self) -> Scheme:
        """Light or dark, whichever is in force."""
        return self._palette.scheme

    @property
    def roles(self) -> Palette:
        """The palette in force."""
        return self._palette

    @property
    def percent(self) -> int:
        """The user's text size, percent."""
        return self._percent

    @property
    def factor(self) -> float:
        """What type, rows and columns are multiplied by."""
        return self._percent / 100.0

    @property
    def still(self) -> bool:
        """Whether motion is reduced: everything at once."""
        return self._motion is Motion.REDUCED or not _system_moves(self._app)

    def color(self, role: str, strength: float = 1.0) -> QColor:
        """The colour of a role. Raises InputError for a role that the palette does not have."""
        color = QColor(*self._palette.rgb(role))
        color.setAlphaF(strength)
        return color

    def px(self, size: float) -> int:
        """A size in px at 100 %, at the user's text size."""
        return round(size * self.factor)

    def font(self, size_px: float = BODY_PX, *, semibold: bool = False, italic: bool = False) -> QFont:
        """A font by its size at 100 %, at the user's text size; the caller's own, to underline or not."""
        return QFont(plan_font(TextStyle(size_px * self.factor, semibold, italic)))

    def set_theme(self, theme: Theme) -> None:
        """Choose light, dark, or as the system says."""
        self._theme = theme
        self.apply()

    def set_percent(self, percent: int) -> None:
        """Choose the text size; the nearest of `TEXT_PERCENTS` is taken."""
        self._percent = min(TEXT_PERCENTS, key=lambda one: abs(one - percent))
        self.apply()

    def set_motion(self, motion: Motion) -> None:
        """Choose whether things move."""
        self._motion = motion

    def apply(self) -> None:
        """Put colours, style and typeface in force for the whole application."""
        self._palette = palette(self._wanted_scheme())
        if not isinstance(self._app.style(), HouseStyle):
            self._app.setStyle(HouseStyle())
        colors = self._qt_palette()
        self._app.setPalette(colors)
        self._app.setFont(self.font())
        QToolTip.setPalette(colors)
        QToolTip.setFont(self.font(12.5))
        self.changed.emit()

    def _wanted_scheme(self) -> Scheme:
        if self._theme is Theme.SYSTEM:
            dark = self._app.styleHints().colorScheme() is Qt.ColorScheme.Dark
            return Scheme.DARK if dark else Scheme.LIGHT
        return Scheme(self._theme.value)

    def _qt_palette(self) -> QPalette:
        colors = QPalette()
        for role, name in _ROLES.items():
            colors.setColor(role, self.color(name))
        for role in _OFF:
            colors.setColor(QPalette.ColorGroup.Disabled, role, self.color("ink_quiet", 0.75))
        return colors

    @Slot()
    def _follow_system(self) -> None:
        if self._theme is Theme.SYSTEM:
            self.apply()


def _system_moves(app: QApplication) -> bool:
    """Whether the system lets things move. Windows says so by its effects, others by the style's own durations."""
    if sys.platform == "win32":
        return app.isEffectEnabled(Qt.UIEffect.UI_General)
    return app.style().styleHint(QStyle.StyleHint.SH_Widget_Animation_Duration) > 0


def is_look_event(event: QEvent) -> bool:
    """Whether a widget should lay itself out anew: palette, font or style changed."""
    return event.type() in {QEvent.Type.PaletteChange, QEvent.Type.FontChange, QEvent.Type.StyleChange}
