"""The set-up script: what it says when something is missing, and that a second start has nothing to do."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCRIPT = ROOT / "packaging" / "start.py"


@pytest.fixture
def start() -> ModuleType:
    spec = importlib.util.spec_from_file_location("start", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_site_that_is_not_there_is_named(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, SCRIPT, str(tmp_path / "none.gpkg")], capture_output=True, text=True, check=False
    )
    assert done.returncode == 3
    assert "there is no file" in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_an_old_python_is_told_what_it_needs(start: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(start, "NEEDS_PYTHON", (9, 9))
    monkeypatch.setattr(start, "newer_python", lambda: None)
    with pytest.raises(start.SetupError, match=r"too old\. Install Python 9\.9 or newer"):
        start.need_python()


def test_a_plain_user_is_given_the_line_for_missing_libraries(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(start, "LINUX", True)
    monkeypatch.setattr(start, "is_root", lambda: False)
    monkeypatch.setattr(start, "missing_libraries", lambda libraries: [package for _, package in libraries])
    monkeypatch.setattr(start.shutil, "which", lambda name: "/usr/bin/" + name)
    with pytest.raises(
        start.SetupError, match=r"sudo apt-get install -y --no-install-recommends libgl1 .*libxcb-cursor0"
    ):
        start.need_libraries(with_window=True)


@pytest.mark.parametrize(
    ("words", "mend"),
    [
        ("ERROR: NewConnectionError: Temporary failure in name resolution", "Check the network"),
        ("OSError: [Errno 28] No space left on device", "disk is full"),
        ("ERROR: Could not find a version that satisfies numba (from versions: none)", "no package fits this Python"),
        ("Collecting x\nERROR: some other trouble", "some other trouble"),
    ],
)
def test_trouble_of_the_installer_is_one_line_with_its_mend(start: ModuleType, words: str, mend: str) -> None:
    told = start.pip_trouble(words.splitlines())
    assert mend in told
    assert "\n" not in told


def test_a_second_start_has_nothing_to_install(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(start, "VENV", str(tmp_path))
    monkeypatch.setattr(start, "PYTHON", sys.executable)
    done: list[str] = []
    monkeypatch.setattr(start, "run_pip", lambda arguments, what: done.append(what))
    start.install(for_tests=False)
    assert done == ["packages", "gardenwater"]
    start.install(for_tests=False)
    assert done == ["packages", "gardenwater"]
    start.install(for_tests=True)
    assert len(done) == 4


def test_a_folder_with_files_of_others_is_not_emptied(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "letter.txt").write_text("kept")
    monkeypatch.setattr(start, "VENV", str(tmp_path))
    monkeypatch.setattr(start, "PYTHON", str(tmp_path / "bin" / "python"))
    with pytest.raises(start.SetupError, match="not of a virtual environment"):
        start.make_environment()
    assert (tmp_path / "letter.txt").read_text() == "kept"


def test_every_package_is_pinned_by_its_hash() -> None:
    for name in ("lock.txt", "lock-test.txt"):
        text = (ROOT / "packaging" / name).read_text()
        packages = re.findall(r"^([a-z0-9-]+)==", text, re.MULTILINE)
        assert {"numpy", "shapely", "rasterio", "pyside6-essentials"} <= set(packages)
        assert len(re.findall(r"^    --hash=sha256:", text, re.MULTILINE)) >= len(packages)
        assert "pyside6-essentials==6.12" not in text, "6.12 crashes on Python 3.11 (a reference to None is dropped)"


def test_the_lock_holds_what_the_project_asks_for() -> None:
    import tomllib

    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    asked = {line for line in (ROOT / "packaging" / "requirements.in").read_text().splitlines() if line[:1] != "#"}
    assert set(wanted) <= asked
