"""Words, help and complaints, as the process gives them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from gardenwater.cli import main
from gardenwater.cli.outputs import ABOUT
from gardenwater.cli.words import COMMANDS
from gardenwater.report.page_paper import SIZES

ROOT = Path(__file__).resolve().parents[2]


def run(*words: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own."""
    screens = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"}
    kept = {name: value for name, value in os.environ.items() if name not in screens}
    return subprocess.run(
        [sys.executable, "-m", "gardenwater", *words],
        cwd=ROOT,
        env={**kept, **environment},
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
    )


def one_line(words: str) -> str:
    assert words.endswith("\n")
    assert words.count("\n") == 1
    assert words.startswith("gardenwater: ")
    return words


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_says_what_can_be_asked(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        main([command, "--help"] if command else ["--help"])
    assert stop.value.code == 0
    said = capsys.readouterr().out
    assert "exit status: 0 done" in said
    assert all(len(line) <= 120 for line in said.splitlines())


def test_the_help_names_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["--help"])
    said = capsys.readouterr().out
    assert all(f"gardenwater {command}" in said for command in COMMANDS)


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from gardenwater.cli import main\n"
        "try: main(['assess', '--help'])\nexcept SystemExit: pass\n"
        "heavy = {'numpy', 'shapely', 'numba', 'rasterio', 'matplotlib', 'PySide6'} & set(sys.modules)\n"
        "assert not heavy, heavy"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr


def test_the_version_is_that_of_the_package(capsys: pytest.CaptureFixture[str]) -> None:
    import gardenwater

    with pytest.raises(SystemExit):
        main(["--version"])
    assert capsys.readouterr().out == f"gardenwater {gardenwater.__version__}\n"


@pytest.mark.parametrize(
    "words",
    [
        ["assess"],
        ["assess", "site.gpkg"],
        ["assess", "site.gpkg", "--too", "results"],
        ["make"],
        ["make", "site.gpkg", "--latitude", "north"],
        ["make", "site.gpkg", "--units", "imperial"],
        ["make", "site.txt"],
        ["assess", "site.gpkg", "--to", "results", "--changed-ground", "perhaps"],
        ["make", "site.gpkg", "--raster-kind", "lunar", "--ground", "levels.tif"],
        ["make", "site.gpkg", "--raster-unit", "fathom", "--ground", "levels.tif"],
        ["one.gpkg", "two.gpkg"],
        ["site.gpkg", "--sample"],
    ],
)
def test_words_that_are_off(
    words: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    try:
        status = main(words)
    except SystemExit as stop:
        status = stop.code  # type: ignore[assignment]
    assert status == 2
    one_line(capsys.readouterr().err)
    assert list(tmp_path.iterdir()) == []


def test_every_size_of_paper_can_be_asked_for(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["assess", "--help"])
    said = capsys.readouterr().out
    assert f"--sheets {{{','.join(SIZES)}}}" in said


def test_a_number_that_is_none_is_said_in_plain_words(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["make", "site.gpkg", "--latitude", "north"])
    assert 'Argument --latitude: "north" is no number.' in one_line(capsys.readouterr().err)


def test_the_help_of_assess_names_every_file_that_it_may_write(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["assess", "--help"])
    said = capsys.readouterr().out
    assert all(f"    {name}" in said and about in said for name, about in ABOUT.items())


@pytest.mark.skipif(os.name == "nt", reason="Windows takes longer names")
@pytest.mark.parametrize(
    "words",
    [
        ["x" * 300],
        ["assess", "x" * 300, "--to", "results"],
        ["assess", "site.gpkg", "--to", "x" * 300],
        ["make", "x" * 300 + ".gpkg"],
        ["make", "site.gpkg", "--ground", "x" * 300],
        ["weather", "x" * 300],
        ["assess", "~nobody-of-this-name/site.gpkg", "--to", "results"],
        ["make", "~nobody-of-this-name/site.gpkg"],
    ],
)
def test_paths_that_the_system_refuses(
    words: list[str], capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert main(words) == 3
    one_line(capsys.readouterr().err)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("encoding", "told"), [("ascii", "Give -90 to 90 deg,"), ("cp1252", "Give -90 to 90°,")])
def test_signs_that_cannot_be_printed_are_made_plainer(encoding: str, told: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "gardenwater", "make", str(tmp_path / "site.gpkg"), "--latitude", "200"],
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"},
        capture_output=True,
        check=False,
        timeout=120,
    )
    assert done.returncode == 3
    assert told in one_line(done.stderr.decode(encoding).replace(os.linesep, "\n"))


def test_a_program_without_a_console_ends_well(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "stdout", None)
    monkeypatch.setattr(sys, "stderr", None)
    assert main(["make", str(tmp_path / "site.gpkg")]) == 0
    assert main(["make", str(tmp_path / "site.gpkg")]) == 2


def test_words_that_are_off_in_a_process() -> None:
    done = run("assess")
    assert done.returncode == 2
    assert "SITE" in one_line(done.stderr)
    assert done.stdout == ""


def test_no_window_without_a_screen(tmp_path: Path) -> None:
    site = tmp_path / "site.gpkg"
    site.write_text("not read before the window opens")
    done = run(str(site))
    assert done.returncode == 3
    assert f"gardenwater assess {site} --to DIR" in one_line(done.stderr)


def test_a_site_that_is_not_there() -> None:
    done = run("no-such-site.gpkg", QT_QPA_PLATFORM="offscreen")
    assert done.returncode == 3
    assert "no-such-site.gpkg" in one_line(done.stderr)


@pytest.mark.parametrize("platform", ["win32", "darwin"])
def test_other_systems_have_a_screen(platform: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from gardenwater.cli.window import has_screen

    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert not has_screen()
    monkeypatch.setattr(sys, "platform", platform)
    assert has_screen()
