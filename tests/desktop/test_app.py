"""Starting: nothing heavy stands before the first picture."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from gardenwater.desktop.engines import small_site
from gardenwater.site.validate import check_site

ROOT = Path(__file__).resolve().parents[2]
HEAVY = ("rasterio", "numba", "matplotlib", "scipy", "pyogrio", "pyproj")
FIRST_PICTURE = """
import sys, tempfile
from pathlib import Path
import gardenwater.desktop.app as app
from PySide6.QtWidgets import QApplication
from gardenwater.desktop.preferences import Preferences
from gardenwater.files import Recovery
folder = Path(tempfile.mkdtemp())
qt = QApplication([])
window = app.make_window(qt, Preferences(folder / "p.ini"), Recovery(folder / "unsaved"))
window.show()
qt.processEvents()
assert not window.grab().isNull()
print([name for name in sys.argv[1:] if name in sys.modules])
window.leave()
"""


def test_the_first_picture_needs_nothing_heavy() -> None:
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen"}
    words = [sys.executable, "-c", FIRST_PICTURE, *HEAVY]
    ended = subprocess.run(words, capture_output=True, text=True, env=environment, timeout=60, check=False)
    assert ended.stdout.strip() == "[]", ended.stderr


def test_the_site_that_warms_the_engines_is_a_sound_one() -> None:
    site = small_site()
    check_site(site)
    assert {"tank", "bed", "roof", "downpipe", "building", "wall"} <= {thing.kind for thing in site}
