"""Compiled kernels never run with stale code of a helper that was edited, in their own room or in one below."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from gardenwater.work import kernel_sources

ROOT = Path(__file__).resolve().parent.parent.parent
HELPER = "from gardenwater.work import kernel\n\n@kernel\ndef step(x):\n    return x + {add}\n"
CALLER = "from gardenwater.work import kernel\n{how}\n\n@kernel\ndef twice(x):\n    return step(step(x))\n"


def house(folder: Path) -> Path:
    """A small house with one kernel in the room `above` that calls another in the room `below`."""
    package = folder / "gardenwater"
    for room in ("above", "below"):
        (package / room).mkdir(parents=True)
        (package / room / "__init__.py").write_text("")
    (package / "__init__.py").write_text("")
    for room in ("work", "errors"):
        shutil.copytree(ROOT / "gardenwater" / room, package / room, ignore=shutil.ignore_patterns("__pycache__"))
    (package / "below" / "kernels.py").write_text(HELPER.format(add=1))
    (package / "above" / "kernels.py").write_text(CALLER.format(how="from gardenwater.below.kernels import step"))
    return package


def twice_of_nought(folder: Path) -> str:
    code = "from gardenwater.above.kernels import twice; print(twice(0), twice.stats.cache_hits)"
    done = subprocess.run(
        [sys.executable, "-c", code],
        cwd=folder,
        env={**os.environ, "GARDENWATER_CACHE": str(folder / "cache"), "PYTHONPATH": str(folder)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr[-2000:]
    return done.stdout.strip()


def test_a_helper_that_is_edited_in_another_room_is_compiled_anew_into_its_callers(tmp_path: Path) -> None:
    package = house(tmp_path)
    assert twice_of_nought(tmp_path).startswith("2 ")
    (package / "below" / "kernels.py").write_text(HELPER.format(add=5))
    assert twice_of_nought(tmp_path).startswith("10 ")


def test_the_sources_of_a_room_are_its_own_and_those_it_imports_from(tmp_path: Path) -> None:
    package = house(tmp_path)
    (package / "below" / "records.py").write_text("")
    (package / "below" / "other.py").write_text("")
    names = {path.relative_to(package).as_posix() for path in kernel_sources("above", package)}
    assert names == {"above/kernels.py", "below/kernels.py", "below/records.py"}
    names = {path.relative_to(package).as_posix() for path in kernel_sources("below", package)}
    assert names == {"below/kernels.py", "below/records.py"}


def test_every_kernel_of_the_program_is_among_the_sources_of_its_room() -> None:
    for path in (ROOT / "gardenwater").rglob("kernels*.py"):
        room = path.relative_to(ROOT / "gardenwater").parts[0]
        assert path in kernel_sources(room)
