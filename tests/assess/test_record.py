"""The record: plain values, units in the keys, nothing that is no number."""

from __future__ import annotations

import json
import re
from typing import Any

import numpy as np
import pytest

import gardenwater as gw
from gardenwater.assess.record import plainly
from gardenwater.assess.run import Assessment
from gardenwater.findings import Question, Severity
from gardenwater.reach import Reason
from gardenwater.site import edits
from gardenwater.site.model import Site
from gardenwater.units import UnitSystem

UNITS = (
    "_m", "_m2", "_l", "_mm", "_kg", "_kpa", "_deg", "_h", "_l_s", "_l_min", "_mm_h", "_mm_m", "_hours", "_k", "_c",
    "_xy_m", "_x_m", "_y_m", "_s", "_share", "_exponent",
)  # fmt: skip
COUNTS = {
    "rows", "cols", "beds_reached", "spots", "count", "cells", "beds", "reached", "source", "route", "pool", "ratio",
    "share_in_reach", "share_of_bed_area", "share", "minutes_per_can", "one_in", "reason", "spots_in_all",
    "emitters", "cans_a_day", "minutes_a_can", "minutes", "cost", "height_to_base", "wetness_index_shift",
    "winter_from", "winter_to",
}  # fmt: skip


@pytest.fixture
def assessment(garden: Site) -> Assessment:
    return gw.assess(garden)


def numbers_in(value: Any, path: str = "") -> list[tuple[str, float]]:
    """Every number of the record, with the path of keys to it."""
    if isinstance(value, dict):
        return [pair for key, each in value.items() for pair in numbers_in(each, f"{path}/{key}")]
    if isinstance(value, list):
        return [pair for each in value for pair in numbers_in(each, path)]
    return [(path, value)] if isinstance(value, int | float) and not isinstance(value, bool) else []


def test_the_record_is_json_and_comes_back_equal(assessment: Assessment) -> None:
    record = assessment.record()
    assert json.loads(json.dumps(record, allow_nan=False)) == record


def test_every_number_has_its_unit_in_its_key(assessment: Assessment) -> None:
    numbers = numbers_in(assessment.record())
    assert len(numbers) > 200
    for path, _ in numbers:
        key = path.rsplit("/", 1)[1]
        assert key.endswith(UNITS) or key in COUNTS, path


def test_the_record_says_what_the_answers_say(assessment: Assessment) -> None:
    record = assessment.record()
    assert record["made_by"] == f"gardenwater {gw.__version__}"
    assert record["site"]["name"] == "Test garden"
    assert record["settings"]["line"]["bore"] == "hose-19"
    assert record["ground"]["lowest_level_m"] == pytest.approx(100 - 0.05 * 29.75, abs=1e-4)
    beds = {bed["name"]: bed for bed in record["reach"]["beds"]}
    assert set(beds) == {"Beans", "Herbs"}
    assert assessment.reach is not None
    assert beds["Beans"]["minutes_per_can"] == assessment.reach.bed("bed-1").minutes_per_can  # type: ignore[union-attr]
    assert beds["Beans"]["reason"] == "in reach"
    assert beds["Beans"]["status"] == "sure"
    assert [tank["id"] for tank in record["tanks"]] == ["tank-1", "tank-2"]
    assert record["tanks"][0]["feeds"][0]["diverter"] == "diverter-1"
    assert record["overflow"]["account"]["rain_l"] == pytest.approx(60 * 24)
    assert record["catch"]["uncaught_downpipes"] == [{"id": "downpipe-2", "name": "East pipe"}]
    assert record["short_answers"]["Reach"]["words"] == "2 of 2 beds"


def test_every_finding_is_there_with_its_sentences(assessment: Assessment) -> None:
    told = assessment.record()["findings"]
    assert [each["code"] for each in told] == [finding.code for finding in assessment.findings]
    for each, finding in zip(told, assessment.findings, strict=True):
        assert each["head"]
        assert each["source"] == finding.source
        assert each["severity"] in {"unsafe", "fails", "watch", "note"}
        assert each["question"] in set(Question)
        assert "\u00a0" not in f"{each['head']}{each['figures']}{each['mend']}"
    assert [each["severity"] for each in told] == sorted(
        (each["severity"] for each in told), key=["unsafe", "fails", "watch", "note"].index
    )


def test_sentences_are_in_the_units_of_the_site_and_numbers_in_si(garden: Site, assessment: Assessment) -> None:
    us = gw.assess(edits.settings(garden, units=UnitSystem.US)).record()
    metric = assessment.record()
    for ours, theirs in zip(us["findings"], metric["findings"], strict=True):
        assert (ours["code"], ours["numbers"]) == (theirs["code"], theirs["numbers"])
    said = " ".join(each["figures"] for each in us["findings"])
    assert "US gal" in said
    assert not re.search(r"\d L\b", said)


def test_what_a_site_does_not_have_is_null() -> None:
    record = gw.assess(Site(name="Bare")).record()
    assert record["reach"] is None
    assert record["overflow"] is None
    assert record["tanks"] == []
    assert record["short_answers"]["Reach"] == {"code": "reach.needs-tank", "words": "needs a tank", "needs": True}


@pytest.mark.parametrize(
    ("value", "plain"),
    [
        (float("nan"), None),
        (float("inf"), None),
        (np.float32(0.5), 0.5),
        (np.int16(-1), -1),
        (Reason.TOO_HIGH, "too high"),
        (Severity.UNSAFE, "unsafe"),
        (Question.REACH, "Reach"),
        ((1, (2.0, None)), [1, [2.0, None]]),
        ({Question.REACH: True}, {"Reach": True}),
    ],
)
def test_plain_values(value: Any, plain: Any) -> None:
    assert plainly(value) == plain
