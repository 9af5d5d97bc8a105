"""Every code has a wording, and every wording a use."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import gardenwater.assess.findings as findings_room
import gardenwater.assess.short_answers as short_room
from gardenwater.findings.catalogue import CATALOGUE
from gardenwater.findings.short import SHORTS

FINDINGS = sorted(Path(findings_room.__file__).parent.glob("*.py"))
TESTS = sorted(Path(__file__).parent.glob("test_*.py"))


def words_in(path: Path) -> Iterator[str]:
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value


def test_every_code_is_used_where_findings_are_made() -> None:
    used = {word for path in FINDINGS for word in words_in(path)}
    assert set(CATALOGUE) <= used
    rooms = {code.split(".")[0] for code in CATALOGUE}
    codes = {word for word in used if "." in word and word.split(".")[0] in rooms and " " not in word}
    assert codes <= set(CATALOGUE)


def test_every_case_is_used_where_findings_are_made() -> None:
    used = {word for path in FINDINGS for word in words_in(path)}
    for code, entry in CATALOGUE.items():
        for case in entry.cases:
            # cases of things that lead nowhere are made of kind and field, those of drained pipes of two words
            whole = case in used or code == "catch.unjoined" or case.removeprefix("drained-") in used
            assert not case or whole, (code, case)


def test_every_code_has_a_test() -> None:
    tested = {word for path in TESTS for word in words_in(path)}
    assert set(CATALOGUE) <= tested


def test_every_short_answer_is_used() -> None:
    assert set(SHORTS) <= set(words_in(Path(short_room.__file__)))
