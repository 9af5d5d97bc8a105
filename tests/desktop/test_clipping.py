"""The clipboard: a program that has copied things ends like any other (it used to end with a segmentation fault)."""

from __future__ import annotations

import subprocess
import sys

_COPY_AND_END = """
from PySide6.QtWidgets import QApplication
from shapely import Point
from gardenwater.desktop import clipping
from gardenwater.site import clipboard
from gardenwater.site.model import Site
from gardenwater.site.things import Tap

app = QApplication([])
site = Site(things=(Tap(id="tap-1", name="Tap", shape=Point(1, 2)),))
clipping.keep(clipboard.copy(site, ("tap-1",)))
assert clipping.has_kept()
kept = clipping.kept()
assert kept is not None
print("copied")
"""


def test_a_program_that_copied_things_ends_well() -> None:
    done = subprocess.run([sys.executable, "-c", _COPY_AND_END], capture_output=True, text=True, check=False)
    assert done.stdout.strip() == "copied", done.stderr
    assert done.returncode == 0
