from __future__ import annotations

import re
import struct
import zlib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gardenwater.errors import InputError
from gardenwater.findings import Question, Severity
from gardenwater.findings.making import made
from gardenwater.report import plan_page, plan_picture, write_plan_picture
from gardenwater.report.drawing import LayerName, Rect, Text, TextStyle
from gardenwater.report.page_blocks import HEAD, SMALL, Writer, table_block, wrapped
from gardenwater.report.page_paper import (
    A3,
    A3_UPRIGHT,
    A4,
    A4_UPRIGHT,
    SIZES,
    Paper,
    page_view,
    paper_for,
    scale_words,
)
from gardenwater.report.palette import Scheme
from gardenwater.report.typeface import face_files, measure
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem
from tests.report.made import every_mark, garden, marks_in, reach_answers, unknown_roles

PAPERS = [paper for pair in SIZES.values() for paper in pair]
POINT_PX = 101.6 / 72  # a px of a sheet is 0.25 mm


def size_of_png(path: Path) -> tuple[int, int]:
    width, height = struct.unpack(">II", path.read_bytes()[16:24])
    return width, height


@pytest.mark.parametrize("paper", PAPERS)
def test_a_sheet_stays_within_its_outline_and_bears_type_of_8_pt_or_more(paper: Paper) -> None:
    site = garden()
    page = plan_page(site, reach_answers(site), question=Question.REACH, paper=paper, date="14 July 2026")
    assert (page.width_px, page.height_px) == (paper.width_mm * 4, paper.height_mm * 4)
    outline = Rect(0, 0, page.width_px, page.height_px).grown(-40)
    texts = [mark for mark in every_mark(page.layer(LayerName.PAGE).marks) if isinstance(mark, Text)]
    assert all(outline.holds(mark.x, mark.y) for mark in texts)
    smallest = min(mark.style.size_px for mark in marks_in(page) if isinstance(mark, Text)) / POINT_PX
    assert smallest >= 7.99  # LOOK 17: least type 8 pt
    assert unknown_roles(marks_in(page)) == set()


@given(st.floats(2, 3000), st.floats(2, 3000), st.sampled_from(PAPERS), st.sampled_from(UnitSystem))
def test_the_plan_is_drawn_to_the_largest_whole_scale_that_fits(
    width: float, height: float, paper: Paper, units: UnitSystem
) -> None:
    area = Rect(40, 40, 700, 500)
    view, scale = page_view(area, (0, 0, width, height), paper, units)
    west, south, east, north = view.bounds
    assert view.metres_per_px == pytest.approx(scale * 0.00025)
    assert west <= 1e-9 and south <= 1e-9  # noqa: PT018 - one claim
    assert east >= width - 1e-9
    assert north >= height - 1e-9
    smaller, smaller_scale = page_view(area, (0, 0, width / 2.6, height / 2.6), paper, units)
    assert smaller_scale <= scale
    assert smaller.metres_per_px <= view.metres_per_px


def test_scales_in_words() -> None:
    assert scale_words(400, A4, UnitSystem.METRIC) == "1 : 400 on A4"
    assert scale_words(240, A3, UnitSystem.US) == "1 in to 20 ft on A3"


def test_findings_are_numbered_on_the_plan_and_in_the_list() -> None:
    site = garden()
    found = (
        made("reach.bed-marginal", "bed", others=("tank",), case="within", numbers={"margin_m": 0.07, "error_m": 0.05}),
        made(
            "reach.bed-marginal", "tank", others=("tank",), case="within", numbers={"margin_m": 0.01, "error_m": 0.05}
        ),
    )
    assert {each.severity for each in found} == {Severity.WATCH}
    page = plan_page(site, reach_answers(site, findings=found), question=Question.REACH)
    on_plan = [m.words for m in every_mark(page.layer(LayerName.FINDINGS).marks) if isinstance(m, Text)]
    in_list = [m.words for m in every_mark(page.layer(LayerName.PAGE).marks) if isinstance(m, Text)]
    assert on_plan == ["1", "2"]
    assert "1" in in_list
    assert any("Beans is marginal" in each for each in in_list)


def test_only_findings_that_found_room_are_numbered_on_the_plan() -> None:
    site = garden()
    one = made(
        "reach.bed-marginal", "bed", others=("tank",), case="within", numbers={"margin_m": 0.07, "error_m": 0.05}
    )
    many = tuple(replace(one, stake=float(number)) for number in range(12))
    page = plan_page(site, reach_answers(site, findings=many), question=Question.REACH)
    on_plan = [m.words for m in every_mark(page.layer(LayerName.FINDINGS).marks) if isinstance(m, Text)]
    in_list = [m.words for m in every_mark(page.layer(LayerName.PAGE).marks) if isinstance(m, Text)]
    more = [each for each in in_list if each.startswith("and ") and each.endswith(" more")]
    assert 0 < len(on_plan) < 12
    assert f"and {12 - len(on_plan)} more" in more, "the signs that found no room have such a line too"


def test_only_signs_that_are_used_stand_in_the_legend() -> None:
    things = tuple(each for each in garden().things if each.kind in ("bed", "tank", "boundary"))
    site = Site(name="Small", things=things)
    page = plan_page(site, reach_answers(site), question=Question.REACH)
    texts = [m.words for m in every_mark(page.layer(LayerName.PAGE).marks) if isinstance(m, Text)]
    assert {"bed", "tank", "boundary"} <= set(texts)
    assert not {"roof", "pond", "ditch"} & set(texts)


def test_a_sheet_prints_no_hill_shading() -> None:
    site = garden()
    page = plan_page(site, reach_answers(site), question=Question.REACH)
    asked = {fill.role for mark in marks_in(page) for fill in getattr(mark, "table", None) or () if fill is not None}
    assert "shade" not in asked
    assert "reach_1" in asked


@pytest.mark.parametrize(("scheme", "size"), [(Scheme.LIGHT, (900, 600)), (Scheme.DARK, (640, 480))])
def test_a_picture_has_the_size_that_was_asked_for(tmp_path: Path, scheme: Scheme, size: tuple[int, int]) -> None:
    site = garden()
    path = tmp_path / "reach.png"
    write_plan_picture(site, reach_answers(site), path, question=Question.REACH, size_px=size, scheme=scheme, dpi=96)
    assert size_of_png(path) == size


def test_a_picture_shows_the_whole_site() -> None:
    picture = plan_picture(garden(), None, question=Question.REACH)
    west, south, east, north = picture.view.bounds
    assert west < 1
    assert south < 1
    assert east > 59
    assert north > 39


def test_a_pdf_embeds_the_typeface_and_its_size(tmp_path: Path) -> None:
    site = garden()
    path = tmp_path / "reach.pdf"
    write_plan_picture(site, reach_answers(site), path, question=Question.REACH, paper=A4)
    content = path.read_bytes()
    assert content.startswith(b"%PDF")
    streams = [
        zlib.decompress(part)
        for part in re.findall(rb"stream\r?\n(.*?)\r?\nendstream", content, re.DOTALL)
        if part[:1] == b"x"
    ]
    assert b"/FontFile2" in content  # a TrueType face, whole outlines: real text
    assert re.search(rb"/FontName /[A-Z+]*SourceSansPro", content)
    box = re.search(rb"/MediaBox \[\s*0 0 ([\d.]+) ([\d.]+)", content)
    assert box is not None
    assert float(box.group(1)) == pytest.approx(297 / 25.4 * 72, abs=0.5)
    assert float(box.group(2)) == pytest.approx(210 / 25.4 * 72, abs=0.5)
    assert any(b" Tf" in stream for stream in streams)


def test_an_svg_is_written_by_its_kind(tmp_path: Path) -> None:
    path = tmp_path / "plan.part"
    write_plan_picture(garden(), None, path, question=Question.GROUND, kind="svg")
    assert b"<svg" in path.read_bytes()[:600]


def test_other_kinds_of_file_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="PNG, PDF or SVG"):
        write_plan_picture(garden(), None, tmp_path / "plan.dwg", question=Question.REACH)
    with pytest.raises(InputError, match="its paper's size"):
        write_plan_picture(garden(), None, tmp_path / "a.png", question=Question.REACH, size_px=(900, 600), paper=A4)


def test_all_four_cuts_have_tabular_figures() -> None:
    for semibold in (False, True):
        for italic in (False, True):
            style = TextStyle(12.5, semibold, italic)
            widths = {round(measure(figure, style)[0], 6) for figure in "0123456789"}
            assert len(widths) == 1
    assert len(face_files()) == 4


@given(st.lists(st.text("abcdefg", min_size=1, max_size=9), min_size=1, max_size=30), st.floats(20, 300))
def test_words_are_wrapped_without_loss(many: list[str], width: float) -> None:
    words = " ".join(many)
    style = TextStyle(12.0)
    lines = wrapped(words, style, width, measure)
    assert " ".join(lines) == words
    assert all(measure(line, style)[0] <= width or " " not in line for line in lines)


def test_a_site_in_feet_is_printed_in_feet() -> None:
    site = garden()
    site = site.replace(settings=replace(site.settings, units=UnitSystem.US))
    page = plan_page(site, reach_answers(site), question=Question.REACH)
    texts = [m.words for m in every_mark(page.layer(LayerName.PAGE).marks) if isinstance(m, Text)]
    assert any(each.startswith("1 in to ") for each in texts)


@pytest.mark.parametrize(("count", "last"), [(5, "bed 5"), (6, "and 2 more"), (9, "and 5 more")])
def test_rows_of_a_table_that_do_not_fit_are_counted(count: int, last: str) -> None:
    """Room for five rows of one column; the answers are too long for two."""
    rows = [(f"bed {number}", "as many words as leave no room for a second column") for number in range(1, count + 1)]
    row_px = SMALL.size_px * 1.7
    writer = Writer(0.0, 0.0, 400.0, measure, [])
    writer.line("Beds", HEAD)
    bottom = writer.y + 5.0 + 5.4 * row_px
    table = Writer(0.0, 0.0, 400.0, measure, [])
    table_block(table, "Beds", rows, bottom)
    said = [mark.words for mark in table.marks if isinstance(mark, Text)]
    assert [words for words in said if words.startswith(("bed", "and"))][-1] == last
    assert table.y <= bottom


def test_paper_stands_upright_for_what_is_higher_than_wide() -> None:
    assert [paper_for(size, (0, 0, 40, 30)) for size in ("A4", "A3")] == [A4, A3]
    assert [paper_for(size, (0, 0, 30, 40)) for size in ("A4", "A3")] == [A4_UPRIGHT, A3_UPRIGHT]
    with pytest.raises(InputError, match=r'no paper of size "A2"'):
        paper_for("A2", (0, 0, 1, 1))
