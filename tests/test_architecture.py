"""The rules of the house, each named by a sentence."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "gardenwater"
SOURCES = sorted(PACKAGE.rglob("*.py"))
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "LICENSE",
    "gardenwater",
    "resources",
    "tests",
    "sample_sites",
    "packaging",
}


def test_a_room_imports_only_from_rooms_below_it() -> None:
    done = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-1000:]
    assert "Contracts: 0 broken" not in done.stdout
    assert re.search(r"[1-9]\d* kept, 0 broken", done.stdout), done.stdout[-500:]


def test_all_rooms_but_desktop_import_without_qt() -> None:
    modules = [
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for path in SOURCES
        if "desktop" not in path.parts and path.name != "__main__.py"
    ]
    assert len(modules) > 50
    code = (
        f"import importlib, sys\nfor name in {modules!r}: importlib.import_module(name)\n"
        "bad = [m for m in sys.modules if m.startswith(('PySide6', 'shiboken6'))]\nassert not bad, bad"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]


def test_importing_the_program_loads_nothing_heavy() -> None:
    heavy = ("numpy", "numba", "scipy", "shapely", "rasterio", "pyogrio", "matplotlib", "PySide6")
    code = f"import gardenwater, sys; bad = [m for m in {heavy!r} if m in sys.modules]; assert not bad, bad"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr[-2000:]


def test_numba_is_reached_only_through_the_kernel_decorator() -> None:
    for path in SOURCES:
        if path.parent.name == "work":
            continue
        names = {
            alias.name.split(".")[0]
            for node in ast.walk(ast.parse(path.read_text()))
            if isinstance(node, ast.Import)
            for alias in node.names
        } | {
            (node.module or "").split(".")[0]
            for node in ast.walk(ast.parse(path.read_text()))
            if isinstance(node, ast.ImportFrom)
        }
        assert "numba" not in names, path


def test_kernels_stand_in_files_that_the_cache_is_named_after() -> None:
    for path in SOURCES:
        if re.search(r"^@kernel", path.read_text(), re.MULTILINE):
            assert path.name.startswith("kernels"), path


def test_a_colour_is_asked_for_by_its_role() -> None:
    for path in SOURCES:
        found = re.findall(r"['\"]#[0-9a-fA-F]{6}['\"]", path.read_text())
        assert not found or path.name in {"look.py", "icons.py"}, (path, found)


def test_nothing_else_stands_at_the_top() -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if tracked.returncode:
        pytest.skip("not a git checkout")
    tops = {line.split("/")[0] for line in tracked.stdout.splitlines()}
    assert {top for top in tops if not top.startswith(".")} <= TOP


def test_files_are_short_enough_to_read() -> None:
    long = {str(path.relative_to(ROOT)): n for path in SOURCES if (n := len(path.read_text().splitlines())) > 450}
    assert not long
