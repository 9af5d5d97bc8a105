"""The typeface on paper: its files, and how wide words are (without a window)."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import TYPE_CHECKING

from gardenwater.report.drawing import TextStyle
from gardenwater.tables import resource

if TYPE_CHECKING:
    from pathlib import Path

    from matplotlib.ft2font import FT2Font

ASCENT, DESCENT = 0.984, 0.273
"""Of the typeface's line, for each px of its size (hhea table of Source Sans Pro 2.020)."""

_FILES = {
    (False, False): "SourceSansPro-Regular.ttf",
    (True, False): "SourceSansPro-Semibold.ttf",
    (False, True): "SourceSansPro-It.ttf",
    (True, True): "SourceSansPro-SemiboldIt.ttf",
}


@cache
def _folder() -> Path:
    return resource("face")


def face_file(style: TextStyle) -> Path:
    """The file of the cut that a style asks for."""
    return _folder() / _FILES[style.semibold, style.italic]


def face_files() -> tuple[Path, ...]:
    """The files of all four cuts."""
    return tuple(_folder() / name for name in _FILES.values())


@cache
def _font(path: str) -> FT2Font:
    from matplotlib.ft2font import FT2Font

    font = FT2Font(path)
    font.set_size(1000.0, 72.0)
    return font


@lru_cache(maxsize=4096)
def _advance(semibold: bool, italic: bool, words: str) -> float:
    """Advance of words for each px of size."""
    from matplotlib.ft2font import LoadFlags

    font = _font(str(_folder() / _FILES[semibold, italic]))
    glyphs = (font.load_char(ord(letter), flags=LoadFlags.NO_HINTING) for letter in words)
    return sum(float(glyph.linearHoriAdvance) for glyph in glyphs) / 65536.0 / 1000.0


def measure(words: str, style: TextStyle) -> tuple[float, float]:
    """Width (the advance, without kerning) and height of words, px. A `drawing.Measure` that needs no window."""
    return _advance(style.semibold, style.italic, words) * style.size_px, (ASCENT + DESCENT) * style.size_px
