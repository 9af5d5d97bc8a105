"""Every code can be said, in both systems of units, whatever its things are called."""

from __future__ import annotations

import re

import pytest

from gardenwater.errors import InputError
from gardenwater.findings import Question, Severity, ShortAnswer, counts_words, sentence, short_words
from gardenwater.findings.catalogue import CATALOGUE, entry_of
from gardenwater.findings.entry import Entry, Wording
from gardenwater.findings.making import in_order, made
from gardenwater.findings.model import Finding
from gardenwater.findings.short import SHORTS
from gardenwater.units import Quantity, UnitSystem

CASES = [(entry, case) for entry in CATALOGUE.values() for case in entry.cases]
IDS = [f"{entry.code}.{case}" if case else entry.code for entry, case in CASES]
BLANK = re.compile(r"\{([^{}]+)\}")
LONG = "The old galvanised cistern behind the second glasshouse, given by the neighbours in the wet spring of 1987"


def blanks(wording: Wording) -> list[str]:
    return BLANK.findall(f"{wording.head} {wording.figures} {wording.mend}")


def filled(entry: Entry, case: str, value: float = 2.0) -> Finding:
    """A finding with every blank of its case filled."""
    numbers: dict[str, float] = {}
    words: dict[str, str] = {}
    for blank in blanks(entry.cases[case]):
        if blank.startswith("="):
            words[blank[1:]] = "north"
        elif set(":#?") & set(blank):
            numbers[re.split(r"[:#?]", blank)[0]] = value
    return made(entry.code, "one", others=("two", "three"), case=case, numbers=numbers, words=words)


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize(("entry", "case"), CASES, ids=IDS)
def test_each_case_is_said_in_whole_sentences(entry: Entry, case: str, system: UnitSystem) -> None:
    said = sentence(filled(entry, case), {"one": "Herbs", "two": "Shed tank", "three": "Butt"}.__getitem__, system)
    assert said.head
    assert not said.head.endswith(".")
    for part in (said.figures, said.mend):
        assert not part or part.endswith(".")
    for part in (said.head, said.figures, said.mend):
        assert part[:1] == part[:1].upper()
        assert not set("{}!|#") & set(part)
        assert "not known." not in part or "What they do there" in part or "nothing is" in part or "bare earth" in part
    assert (
        not re.search(r"\b(please|error|sorry|oops)\b", said.whole, re.IGNORECASE) or "within the error" in said.whole
    )


@pytest.mark.parametrize(("entry", "case"), CASES, ids=IDS)
def test_blanks_ask_for_quantities_that_there_are(entry: Entry, case: str) -> None:
    for blank in blanks(entry.cases[case]):
        if ":" in blank:
            assert blank.split(":")[1] in set(Quantity), blank
        elif not set("=#?") & set(blank):
            assert blank.removesuffix("'s") in {"subject", "other", "other2", "all"}, blank


@pytest.mark.parametrize(("entry", "case"), CASES, ids=IDS)
def test_the_two_systems_differ_where_there_are_measures(entry: Entry, case: str) -> None:
    measured = {blank.split(":")[1] for blank in blanks(entry.cases[case]) if ":" in blank} - {
        "number",
        "hours",
        "one_in",
        "share",
        "time_s",
    }
    metric, us = (sentence(filled(entry, case), str, system).whole for system in UnitSystem)
    assert (metric != us) is bool(measured)
    assert not re.search(r"\b(m|cm|L|kg|t|mm|kPa|mm/h)\b(?![a-z])", us.replace("\u2019s", "")) or "second-hand" in us


@pytest.mark.parametrize(("entry", "case"), CASES, ids=IDS)
def test_long_names_stay_whole(entry: Entry, case: str) -> None:
    said = sentence(filled(entry, case), lambda _: LONG, UnitSystem.METRIC)
    names = sum(
        "subject" in blank or "other" in blank or blank in {"all", "all's"} for blank in blanks(entry.cases[case])
    )
    assert said.whole.count(LONG) >= names


@pytest.mark.parametrize("entry", list(CATALOGUE.values()), ids=lambda entry: entry.code)
def test_each_code_has_a_room_a_word_and_a_source(entry: Entry) -> None:
    assert re.fullmatch(r"[a-z]+\.[a-z]+(-[a-z]+)*", entry.code)
    assert len(entry.source) > 10
    assert all(re.fullmatch(r"|[a-z]+(-[a-z]+)*", case) for case in entry.cases)


@pytest.mark.parametrize(
    "entry", [e for e in CATALOGUE.values() if e.severity is Severity.UNSAFE], ids=lambda e: e.code
)
def test_what_is_unsafe_defers_to_local_code(entry: Entry) -> None:
    for wording in entry.cases.values():
        assert "local code" in wording.mend


def test_a_finding_takes_severity_question_and_source_from_the_catalogue() -> None:
    finding = made("reach.bed-marginal", "bed-1", others=("tank-1",), case="within", numbers={"margin_m": 0.07})
    assert (finding.severity, finding.question) == (Severity.WATCH, Question.REACH)
    assert finding.source == CATALOGUE["reach.bed-marginal"].source
    assert finding.number("margin_m") == 0.07


def test_unknown_codes_and_cases_are_refused() -> None:
    with pytest.raises(InputError, match="no-such-code"):
        entry_of("reach.no-such-code")
    with pytest.raises(InputError, match="within, short"):
        made("reach.bed-marginal", case="plain")


def test_the_sentence_of_a_marginal_bed() -> None:
    numbers = {"margin_m": 0.07, "error_m": 0.05}
    finding = made("reach.bed-marginal", "bed-2", others=("tank-3",), case="within", numbers=numbers)
    said = sentence(finding, {"bed-2": "salads", "tank-3": "Shed tank"}.__getitem__, UnitSystem.METRIC)
    assert said.head == "Salads is marginal: 0.07\u00a0m of spare head"
    assert said.whole == (
        "Salads is marginal: 0.07\u00a0m of spare head. The tightest point of the way from Shed tank has that much; "
        "levels along it are good to 0.05\u00a0m. Level the bed's highest ground again."
    )


def test_owners_and_lists_of_names() -> None:
    numbers = {"volume_l": 310, "depth_m": 0.1, "length_m": 1.8, "soak_h": 9}
    finding = made(
        "overflow.pool-on-path",
        "p",
        others=("a", "b", "c"),
        case="soaks",
        numbers=numbers,
        words={"what": "water", "When": "In a wet day"},
    )
    said = sentence(
        finding, {"p": "Lower path", "a": "Shed tank", "b": "Butt", "c": "South pipe"}.get, UnitSystem.METRIC
    )
    assert said.head == "Shed tank, Butt and South pipe\u2019s water pools on Lower path"
    assert said.figures == ("In a wet day, 310\u00a0L stand 10\u00a0cm deep over 1.80\u00a0m of it, for 9\u00a0h.")


@pytest.mark.parametrize("system", list(UnitSystem))
@pytest.mark.parametrize("code", SHORTS)
def test_short_answers_are_short(code: str, system: UnitSystem) -> None:
    names = [re.split(r"[:#?]", blank)[0] for blank in BLANK.findall(SHORTS[code])]
    short = ShortAnswer(question=Question.REACH, code=code, numbers=tuple((name, 7.0) for name in names))
    words = short_words(short, str, system)
    assert words
    assert len(words) <= 24
    assert not set("{}") & set(words)


def test_short_answers_count_one_and_many() -> None:
    def said(reached: float, beds: float) -> str:
        numbers = (("reached", reached), ("beds", beds))
        return short_words(ShortAnswer(question=Question.REACH, code="reach.beds", numbers=numbers), str, UnitSystem.US)

    assert said(6, 7) == "6 of 7 beds"
    assert said(1, 1) == "1 of 1 bed"


def test_findings_come_by_severity_then_by_stake() -> None:
    note = made("safety.tap-not-drinking", "tap-1")
    small = made("catch.pipe-uncaught", "a", case="wet-day", stake=10.0)
    large = made("catch.pipe-uncaught", "b", case="wet-day", stake=20.0)
    unsafe = made("safety.lid-open", "tank-1")
    assert in_order([note, small, large, unsafe]) == (unsafe, large, small, note)
    assert in_order([large, unsafe, note, small]) == in_order([note, small, large, unsafe])


def test_counts_in_words() -> None:
    fails = made("catch.unjoined", "d", case="diverter-tank")
    watch = made("catch.tank-unfed", "t")
    note = made("safety.tap-not-drinking", "tap-1")
    assert counts_words((fails, fails, watch, watch, note)) == "2 fail, 2 to watch, 1 note"
    assert counts_words((fails, note, note)) == "1 fails, 2 notes"
    assert counts_words(()) == ""
