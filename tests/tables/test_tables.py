"""The tables of choices as they are shipped, and what is said about a table that is wrong."""

from __future__ import annotations

import dataclasses
import subprocess
import sys
from pathlib import Path

import pytest

from gardenwater.errors import FileError, InputError
from gardenwater.site.fields import specs
from gardenwater.site.model import Settings, UsualLine
from gardenwater.site.things import KINDS
from gardenwater.tables import TABLES, Cover, LineBore, Soil, read_table, resource, sample_site, table

GOOD = "key,name,evaporation_cut,transpiration_rise,source\nstraw,Straw,0.5,0,somebody\n"


@pytest.mark.parametrize("name", TABLES)
def test_every_row_says_how_its_numbers_are_known(name: str) -> None:
    known = ("second-hand", "from memory", "no source", "definition", "judgement")
    for row in table(name):
        assert any(words in row.source.lower() for words in known), f"{name}, {row.key}: {row.source}"


@pytest.mark.parametrize("name", TABLES)
def test_rows_are_found_by_key_and_cannot_be_changed(name: str) -> None:
    rows = table(name)
    for row in rows:
        assert row.key in rows
        assert rows.row(row.key) is row
    assert table(name) is rows
    with pytest.raises(dataclasses.FrozenInstanceError):
        rows.rows[0].name = "other"  # type: ignore[misc]


@pytest.mark.parametrize("kind", [*KINDS, Settings, UsualLine])
def test_the_usual_choice_of_every_field_is_a_row_of_its_table(kind: type) -> None:
    usual = {field.name: field.default for field in dataclasses.fields(kind)}
    for name, spec in specs(kind).items():
        if spec.table:
            assert usual[name] in table(spec.table)


def test_numbers_of_a_row_agree_with_each_other() -> None:
    for surface in table("surfaces"):
        assert 0.0 < surface.least <= surface.yield_coefficient <= surface.most <= 1.0, surface.key
    for soil in table("soils"):
        assert 0.0 < soil.soak_least_mm_h <= soil.soak_mm_h <= soil.soak_most_mm_h, soil.key
        assert 0.0 < soil.wilting_point < soil.field_capacity < 0.5, soil.key
        assert 0.0 < soil.readily_evaporable_mm < 100.0 * (soil.field_capacity - soil.wilting_point / 2.0), soil.key
    for shelter in table("shelters"):
        assert 0.0 <= shelter.wind_cut < 1.0, shelter.key
    for cover in table("covers"):
        assert 0.0 <= cover.evaporation_cut <= 1.0, cover.key


def test_each_crop_is_whole() -> None:
    crops = [crop for crop in table("crops") if crop.key != "none"]
    assert len(crops) >= 30
    for crop in crops:
        stages = (crop.days_ini, crop.days_dev, crop.days_mid, crop.days_end)
        assert min(stages) > 0, crop.key
        assert 30 <= sum(stages) <= 365, crop.key
        assert 1.0 <= crop.sow_month < 13.0, crop.key
        assert crop.habit in {"annual", "perennial"}, crop.key
        assert crop.root_least_m < crop.root_most_m, crop.key
        assert 0.2 <= crop.depletion_p <= 0.65, crop.key
        for single, basal in (
            (crop.kc_ini, crop.kcb_ini),
            (crop.kc_mid, crop.kcb_mid),
            (crop.kc_end, crop.kcb_end),
        ):
            # FAO-56 chapter 7: the basal coefficient leaves out what a wet surface evaporates
            assert 0.15 <= basal <= single <= 1.2, crop.key


def test_published_figures_stand_as_they_were_published() -> None:
    # FAO-56 Tables 12 and 22, as printed in public code (pyfao56), seen second-hand
    tomatoes = table("crops").row("tomatoes")
    assert (tomatoes.kc_ini, tomatoes.kc_mid, tomatoes.kc_end, tomatoes.depletion_p) == (0.6, 1.15, 0.8, 0.4)
    # Tables 17 and 11 (Mediterranean, April to May), seen there too
    assert (tomatoes.kcb_ini, tomatoes.kcb_mid, tomatoes.kcb_end) == (0.15, 1.10, 0.70)
    assert (tomatoes.days_ini, tomatoes.days_dev, tomatoes.days_mid, tomatoes.days_end) == (30, 40, 45, 30)
    # FAO Irrigation Water Management, annex 2, seen second-hand: loam 10 to 20 mm/h
    loam = table("soils").row("loam")
    assert (loam.soak_least_mm_h, loam.soak_most_mm_h) == (10.0, 20.0)
    # EN 12201-2, SDR 11: 25 x 2.3 mm, so 20.4 mm bore
    assert table("line_bores").row("pe-25").bore_mm == 25 - 2 * 2.3
    # by definition: an inch is 25.4 mm
    assert table("line_bores").row("hose-19").bore_mm == pytest.approx(0.75 * 25.4)
    # FAO-56 chapter 10: 5 % for each 10 % of ground covered
    assert table("covers").row("straw").evaporation_cut == 0.5


def test_a_key_that_is_no_row_is_refused_with_the_keys_there_are() -> None:
    with pytest.raises(InputError) as refused:
        table("soils").row("mud")
    assert refused.value.where == "soils"
    assert '"mud"' in refused.value.what
    assert "loam" in refused.value.mend


def test_a_table_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match='no table "mud"') as refused:
        table("mud")
    assert "soils" in refused.value.mend


def _read(folder: Path, content: str | bytes) -> None:
    path = folder / "covers.csv"
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    assert read_table(path, "covers", Cover).rows


@pytest.mark.parametrize(
    ("content", "what", "where"),
    [
        (GOOD.replace("source", "origin", 1), "columns", "covers.csv"),
        (GOOD.replace("0.5", "half"), 'evaporation_cut is "half"', "covers.csv, line 2"),
        (GOOD.replace("0.5", "-0.5"), "evaporation_cut", "covers.csv, line 2"),
        (GOOD.replace("0.5", "nan"), "evaporation_cut", "covers.csv, line 2"),
        (GOOD.replace("0.5", "inf"), "evaporation_cut", "covers.csv, line 2"),
        (GOOD.replace("somebody", ""), "source is empty", "covers.csv, line 2"),
        (GOOD.replace(",somebody", ""), "too few or too many cells", "covers.csv, line 2"),
        (GOOD.replace("somebody", "one, two"), "too few or too many cells", "covers.csv, line 2"),
        (GOOD + "straw,Straw,0.5,0,somebody\n", 'key "straw" stands twice', "covers.csv, line 3"),
        (GOOD.splitlines()[0] + "\n", "no rows", "covers.csv"),
        ("", "columns", "covers.csv"),
        (b"\xff\xfe\x00", "cannot be read", "covers.csv"),
        (GOOD + '"open', "cannot be read", "covers.csv"),
    ],
)
def test_a_wrong_table_is_refused_with_place_and_mend(
    tmp_path: Path, content: str | bytes, what: str, where: str
) -> None:
    with pytest.raises(FileError) as refused:
        _read(tmp_path, content)
    assert what in refused.value.what
    assert refused.value.where == where
    assert refused.value.mend


def test_a_good_table_is_read(tmp_path: Path) -> None:
    path = tmp_path / "covers.csv"
    path.write_text(GOOD)
    straw = Cover(key="straw", name="Straw", source="somebody", evaporation_cut=0.5, transpiration_rise=0.0)
    assert read_table(path, "covers", Cover).rows == (straw,)


def test_a_missing_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError, match="cannot be read"):
        read_table(tmp_path / "gone.csv", "gone", Cover)


def test_resources_are_found_from_anywhere(tmp_path: Path) -> None:
    root = Path(__file__).resolve().parent.parent.parent
    asked = "from gardenwater.tables import resource; print(resource('tables/soils.csv'))"
    told = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=tmp_path,
        env={"PYTHONPATH": str(root)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert Path(told.stdout.strip()) == root / "resources" / "tables" / "soils.csv"


@pytest.mark.parametrize("path", ["tables/gone.csv", "../pyproject.toml"])
def test_a_resource_that_is_not_there_is_refused(path: str) -> None:
    with pytest.raises(FileError) as refused:
        resource(path)
    assert refused.value.mend
    with pytest.raises(FileError):
        sample_site(path)


def test_row_types_are_known_to_the_type_checker() -> None:
    soil: Soil = table("soils").row("loam")
    bore: LineBore = table("line_bores").row("hose-19")
    assert (soil.key, bore.kind) == ("loam", "hose")
