"""The whole job without a window, end to end."""

from __future__ import annotations

import contextlib
import json
import os
import re
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from affine import Affine

import gardenwater as gw
from gardenwater.cli import main
from gardenwater.cli.outputs import ABOUT, SHEETS
from gardenwater.cli.results import reach_bands
from gardenwater.cli.window import _write_assessment
from gardenwater.errors import FileError
from gardenwater.ground import Ground
from gardenwater.reach import Reason
from gardenwater.site.model import Site

Run = Callable[..., subprocess.CompletedProcess[str]]

OF_WEATHER = {"lasting.png", "year.png", "balance.csv"}
"""What is written of a site with weather; the plot has none."""


def one_line(words: str) -> str:
    assert words.count("\n") == 1
    assert words.startswith("gardenwater: ")
    return words


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory, run: Run, site_file: Path) -> Path:
    """The folder that the command wrote, in a process of its own; its words stand beside it in said.txt."""
    folder = tmp_path_factory.mktemp("results")
    done = run("assess", site_file, "--to", folder / "out")
    assert (done.returncode, done.stderr) == (0, "")
    (folder / "said.txt").write_text(done.stdout, "utf-8")
    return folder / "out"


@pytest.fixture(scope="module")
def assessment(site_file: Path) -> Any:
    return gw.assess(gw.open_site(site_file))


def test_all_results_are_there_and_nothing_else(results: Path) -> None:
    assert {path.name for path in results.iterdir()} == set(ABOUT) - OF_WEATHER


def test_the_record_is_that_of_python(results: Path, assessment: Any) -> None:
    record = json.loads((results / "assessment.json").read_text("utf-8"))
    assert record == assessment.record()
    assert record["site"]["name"] == "Plot"
    assert record["reach"]["beds"][0]["name"] == "Beans"


def test_what_is_said_names_answers_findings_and_files(results: Path) -> None:
    said = (results.parent / "said.txt").read_text("utf-8")
    assert re.match(r"Plot\nGround     27\.4\d m of fall\n", said)  # tests/data/SOURCES.md: 970.2 to 997.6 m
    assert re.search(r"\nReach      [01] of 1 bed\n", said)
    assert "\nFindings: " in said
    assert str(results) in said
    assert all((name in said) is (name not in OF_WEATHER) for name in ABOUT)
    assert all(len(line) <= 120 for line in said.splitlines() if str(results) not in line)


def test_the_raster_of_reach(results: Path, assessment: Any) -> None:
    import rasterio

    best = assessment.reach.best
    with rasterio.open(results / "water-reach.tif") as dataset:
        assert dataset.crs.to_epsg() == 28356
        assert tuple(dataset.transform) == pytest.approx(tuple(assessment.ground.ground.transform))
        names = [description.split(":")[0] for description in dataset.descriptions]
        assert names == ["minutes_per_can", "residual_head_m", "distance_m", "flow_l_min", "reason", "tank"]
        assert dataset.units[:4] == ("min", "m", "m", "L/min")
        bands = dataset.read()
    floats = (best.minutes_per_can, best.residual_head_m, best.distance_m, best.flow_l_min)
    for band, values in zip(bands[:4], floats, strict=True):
        assert np.array_equal(band, values, equal_nan=True)
    assert np.array_equal(bands[4].astype(np.uint8), best.reason)
    assert np.array_equal(bands[5] - 1, best.tank_index)


def test_bands_say_what_their_numbers_mean(assessment: Any) -> None:
    reason, tank = reach_bands(assessment.reach)[4:]
    assert all(f"{code.value} {code.name.lower().replace('_', ' ')}" in reason.description for code in Reason)
    assert tank.description == "tank: 1 tank-1"


def test_the_map_of_overflow(results: Path, assessment: Any) -> None:
    document = json.loads((results / "overflow.geojson").read_text("utf-8"))
    spill = assessment.overflow.spill
    kinds = [feature["properties"]["what"] for feature in document["features"]]
    assert kinds == ["route"] * len(spill.routes) + ["pool"] * len(spill.pools)
    assert len(spill.routes) > 0
    first = document["features"][0]
    assert first["properties"]["volume_l"] == pytest.approx(spill.routes[0].volume_m3 * 1000)
    longitude, latitude = first["geometry"]["coordinates"][0]
    assert 149 < longitude < 152  # RFC 7946: degrees; New South Wales
    assert -35 < latitude < -32


@pytest.mark.parametrize("name", ["water-reach.png", "overflow.png"])
def test_pictures_show_something(results: Path, name: str) -> None:
    from matplotlib.image import imread

    pixels = imread(results / name)[..., :3]
    assert pixels.shape[0] > 500
    assert pixels.shape[1] > 700
    assert pixels.std() > 0.02


def test_sheets_to_print_are_written_when_asked_for(site_file: Path, tmp_path: Path) -> None:
    words = ["assess", str(site_file), "--to", str(tmp_path), "--quiet"]
    assert main([*words, "--sheets", "A4"]) == 0
    sheets = {path.name for path in tmp_path.glob("sheet-*.pdf")}
    assert sheets == set(SHEETS) - {"sheet-lasting.pdf"}  # the plot has no weather
    assert all((tmp_path / name).read_bytes().startswith(b"%PDF") for name in sheets)
    assert main(words) == 0
    assert list(tmp_path.glob("sheet-*.pdf")) == []


def test_an_assessment_is_replaced_by_the_next(
    site_file: Path, results: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "assessment.json").write_bytes((results / "assessment.json").read_bytes())
    (folder / "overflow.png").write_text("old")
    (folder / "notes.txt").write_text("kept")
    assert main(["assess", str(site_file), "--to", str(folder), "--quiet"]) == 0
    assert capsys.readouterr() == ("", "")
    assert (folder / "overflow.png").read_bytes()[:4] == b"\x89PNG"
    assert (folder / "notes.txt").read_text() == "kept"


def test_nothing_of_an_earlier_assessment_is_left_beside_the_next(tmp_path: Path) -> None:
    gw.save_site(Site(name="Bare"), tmp_path / "bare.gpkg")
    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "assessment.json").write_text('{"made_by": "gardenwater 0.0.1"}')
    (folder / "year.png").write_text("of a site with weather")
    (folder / "notes.txt").write_text("kept")
    assert main(["assess", str(tmp_path / "bare.gpkg"), "--to", str(folder), "--quiet"]) == 0
    assert {path.name for path in folder.iterdir()} == {"assessment.json", "notes.txt"}


def test_a_record_never_stands_beside_results_of_which_some_are_missing(
    site_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from gardenwater.cli import results as writing

    def fails(_path: Path, _assessment: Any) -> None:
        raise FileError("The disk is full.")

    folder = tmp_path / "out"
    folder.mkdir()
    (folder / "assessment.json").write_text('{"made_by": "gardenwater 0.0.1"}')
    monkeypatch.setattr(writing, "write_reach_raster", fails)
    assert main(["assess", str(site_file), "--to", str(folder), "--quiet"]) == 3
    assert {path.name for path in folder.iterdir()} == {"water-reach.png"}


def test_levels_that_another_program_changed_are_asked_about_and_taken_or_left(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "plot.gpkg"
    ground = Ground(np.full((20, 30), 50.0), Affine(1, 0, 0, 0, -1, 20))
    gw.save_site(gw.new_site(ground=ground), file)
    with contextlib.closing(sqlite3.connect(file)) as changed:
        changed.execute("UPDATE ground_grid SET digest = 'another'")
        changed.commit()
    words = ["assess", str(file), "--to", str(tmp_path / "out"), "--quiet"]
    assert main(words) == 2
    assert "--changed-ground" in one_line(capsys.readouterr().err)
    kinds = {}
    for answer in ("take", "leave"):
        assert main([*words, "--changed-ground", answer]) == 0
        record = json.loads((tmp_path / "out" / "assessment.json").read_text("utf-8"))
        kinds[answer] = record["ground"]["origin"]
    assert kinds == {"take": "raster", "leave": "flat"}


@pytest.mark.parametrize("name", ABOUT)
def test_files_that_are_not_ours_are_not_written_over(
    site_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    (tmp_path / name).write_text('{"made_by": "somebody else"}')
    assert main(["assess", str(site_file), "--to", str(tmp_path)]) == 2
    assert "--replace" in one_line(capsys.readouterr().err)
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text() == '{"made_by": "somebody else"}'


def test_the_window_does_not_write_over_them_either(tmp_path: Path, assessment: Any) -> None:
    (tmp_path / "overflow.png").write_text("somebody else's")
    with pytest.raises(FileError, match=r"overflow\.png that is not of an assessment"):
        _write_assessment(assessment, tmp_path, lambda: False)
    assert [path.name for path in tmp_path.iterdir()] == ["overflow.png"]


def test_they_are_when_asked_for(site_file: Path, tmp_path: Path) -> None:
    (tmp_path / "assessment.json").write_text("[]")
    assert main(["assess", str(site_file), "--to", str(tmp_path), "--replace", "--quiet"]) == 0
    assert json.loads((tmp_path / "assessment.json").read_text("utf-8"))["made_by"].startswith("gardenwater")


def test_a_folder_that_is_a_file(site_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "out").write_text("a file")
    assert main(["assess", str(site_file), "--to", str(tmp_path / "out")]) == 2
    assert "is a file" in one_line(capsys.readouterr().err)
    assert main(["assess", str(site_file), "--to", str(tmp_path / "out" / "deeper"), "--quiet"]) == 3
    assert "cannot be made" in one_line(capsys.readouterr().err)


@pytest.mark.parametrize("content", [None, b"", b"just words", b"SQLite format 3\0" + b"\0" * 200])
def test_a_site_that_cannot_be_read(tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes | None) -> None:
    path = tmp_path / "site.gpkg"
    if content is not None:
        path.write_bytes(content)
    assert main(["assess", str(path), "--to", str(tmp_path / "out")]) == 3
    assert "site.gpkg" in one_line(capsys.readouterr().err)
    assert not (tmp_path / "out").exists()


def test_a_site_that_cannot_be_read_in_a_process(run: Run, tmp_path: Path) -> None:
    (tmp_path / "site.gpkg").write_text("just words")
    done = run("assess", tmp_path / "site.gpkg", "--to", tmp_path / "out")
    assert (done.returncode, done.stdout) == (3, "")
    assert "Traceback" not in one_line(done.stderr)


def test_a_site_with_nothing_to_reach_or_spill(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    gw.save_site(Site(name="Bare"), tmp_path / "bare.gpkg")
    assert main(["assess", str(tmp_path / "bare.gpkg"), "--to", str(tmp_path / "out")]) == 0
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"assessment.json"}
    said = capsys.readouterr().out
    assert "Reach      needs a tank" in said
    assert "water-reach.png" not in said


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise on Windows")
def test_whoever_has_read_enough_ends_nothing_badly(site_file: Path, tmp_path: Path) -> None:
    words = [sys.executable, "-m", "gardenwater", "assess", str(site_file), "--to", str(tmp_path / "out")]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as command:
        assert command.stdout is not None
        assert command.stderr is not None
        command.stdout.close()
        said = command.stderr.read()
        assert command.wait(280) == 0
    assert said == ""
    assert {path.name for path in (tmp_path / "out").iterdir()} == set(ABOUT) - OF_WEATHER


# cancelled


def test_ctrl_c_while_results_are_written_leaves_whole_files_and_no_record(
    site_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from gardenwater.cli import results as writing

    real = writing.write_reach_raster

    def interrupted(path: Path, assessment: Any) -> None:
        real(path, assessment)
        signal.raise_signal(signal.SIGINT)

    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setattr(writing, "write_reach_raster", interrupted)
    assert main(["assess", str(site_file), "--to", str(tmp_path / "out"), "--quiet"]) == 4
    assert "Cancelled" in one_line(capsys.readouterr().err)
    assert {path.name for path in (tmp_path / "out").iterdir()} == {"water-reach.png", "water-reach.tif"}
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_while_the_engines_run(
    site_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from gardenwater.assess import stages

    real = stages.ground_of

    def interrupted(*given: Any, **named: Any) -> Any:
        signal.raise_signal(signal.SIGINT)
        return real(*given, **named)

    monkeypatch.setattr(stages, "ground_of", interrupted)
    assert main(["assess", str(site_file), "--to", str(tmp_path / "out")]) == 4
    assert "Cancelled" in one_line(capsys.readouterr().err)
    assert not (tmp_path / "out").exists()


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGINT to send to another process")
def test_ctrl_c_to_a_process(site_file: Path, tmp_path: Path) -> None:
    code = (
        "import os, signal, sys, threading\n"
        "from gardenwater.cli import main\n"
        "threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()\n"
        f"sys.exit(main(['assess', {str(site_file)!r}, '--to', {str(tmp_path / 'out')!r}]))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False, timeout=280)
    assert done.returncode == 4
    assert "Cancelled" in one_line(done.stderr)
    assert not (tmp_path / "out" / "assessment.json").exists()


def test_the_sample_has_something_to_say(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["sample", "--to", str(tmp_path / "out")]) == 0
    assert "Quillet Bank" in capsys.readouterr().out
    record = json.loads((tmp_path / "out" / "assessment.json").read_text("utf-8"))
    codes = {finding["code"] for finding in record["findings"]}
    assert {"reach.bed-out", "reach.bed-marginal", "overflow.pool-on-path"} <= codes
