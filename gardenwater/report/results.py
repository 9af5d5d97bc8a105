"""Results on the plan: pools, ends of routes, what leaves the site; their labels, hurdles and finding signs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from gardenwater.assess import Answers
from gardenwater.findings import Finding, Question, Severity
from gardenwater.report.drawing import Mark, Points, Rect, Subpath, TextStyle
from gardenwater.report.hurdles import EDGE_COST, ROUTE_COST
from gardenwater.report.labels import Hurdle, Label, Line
from gardenwater.report.look import PlanLook
from gardenwater.report.overflow_picture import OverflowPicture, end_of
from gardenwater.report.overflow_words import mend_label
from gardenwater.report.signs.answers import RouteEnd
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.proposed import proposed_box
from gardenwater.report.signs.states import DISC_PX, bounds, disc, disc_spot, numbered, ringed
from gardenwater.report.styles import ANSWER, ANSWER_ITALIC, NAME, NAME_ITALIC
from gardenwater.report.text import litres, pool_words
from gardenwater.site.model import Site

_AT_PX = 16.0
_SPOTS = tuple(f"spot {rank}" for rank in range(1, 10))
"""Findings of proposed spots have no sign: the spots are signs themselves."""
_MARKED_AT_SIGN = frozenset({"bed", "tank", "downpipe", "diverter", "first_flush", "tap", "door", "level_peg"})
"""Kinds whose findings stand at the sign itself; those of larger things stand where the trouble is."""


@dataclass(frozen=True, slots=True)
class Disc:
    """Where the sign of a finding stands, px: to be pointed at and clicked. number: in print, instead of the sign."""

    finding: Finding
    x: float
    y: float
    number: int = 0


def shows_overflow(question: Question, look: PlanLook) -> bool:
    """Whether routes and pools are drawn: in Overflow, and where a finding of Overflow is shown."""
    return question is Question.OVERFLOW or (look.finding is not None and look.finding.question is Question.OVERFLOW)


def pool_key(index: int) -> str:
    """The key of a pool's label."""
    return f"pool {index}"


def result_labels(picture: OverflowPicture | None, on: Drafting, look: PlanLook) -> list[Label]:
    """Labels of pools, and of what leaves the site or soaks away."""
    if picture is None or look.overflow.underfoot:
        return []
    name, answer = NAME_ITALIC.scaled(look.text_factor), ANSWER_ITALIC.scaled(look.text_factor)
    labels = []
    for index, each in enumerate(picture.pools):
        outlines = [on.px(ring) for ring in picture.outlines[index]]
        sign = bounds([Subpath(ring) for ring in outlines])
        if not sign.meets(on.view.sheet):
            continue
        first, second = pool_words(each, look.units)
        lines = (Line(first, name, "spill"), Line(second, answer, "spill"))
        labels.append(Label(pool_key(index), 1, lines, sign, each.volume_m3))
    for index, (leaving, at) in enumerate(zip(picture.exits, picture.leaves_at, strict=True)):
        words = f"{litres(leaving.volume_m3 * 1000.0, look.units)} leave the site"
        labels += _end_label(f"exit {index}", words, on.px(at), leaving.volume_m3, name, on)
    for index, (way, points) in enumerate(zip(picture.routes, picture.lines, strict=True)):
        if end_of(way) is RouteEnd.SOAKED:
            labels += _end_label(f"soaked {index}", "all soaked up", on.px(points[-1]), way.volume_m3, name, on)
    return labels


def mend_labels(on: Drafting, look: PlanLook) -> list[Label]:
    """The label of the mend that is proposed: its name, its size, what remains."""
    mend = look.overflow.mend if on.question is Question.OVERFLOW else None
    if mend is None:
        return []
    sign = proposed_box(mend.things, on)
    first, *rest = (words for words in mend_label(mend, on.site, look.units) if words)
    factor = look.text_factor
    lines = (
        Line(first, NAME.scaled(factor), "mark_over"),
        *(Line(words, ANSWER.scaled(factor), "mark_over") for words in rest),
    )
    return [Label("mend", 0, lines, sign, sign.width * sign.height)] if sign.meets(on.view.sheet) else []


def _end_label(key: str, words: str, at: Points, volume_m3: float, style: TextStyle, on: Drafting) -> list[Label]:
    """The label of what ends at a spot; none where that lies off the sheet."""
    x, y = (float(value) for value in at)
    if not on.view.sheet.holds(x, y):
        return []
    return [Label(key, 1, (Line(words, style, "spill"),), Rect(x - 9, y - 9, 18, 18), volume_m3)]


def result_hurdles(picture: OverflowPicture | None, on: Drafting) -> list[Hurdle]:
    """Routes and pools as hurdles for labels."""
    if picture is None:
        return []
    routes = [Hurdle(on.px(points), ROUTE_COST, f"route {index}") for index, points in enumerate(picture.lines)]
    pools = [
        Hurdle(on.px(rings[0]), EDGE_COST, pool_key(index), ground=True)
        for index, rings in enumerate(picture.outlines)
        if rings
    ]
    return routes + pools


def result_boxes(picture: OverflowPicture | None, on: Drafting) -> list[Rect]:
    """What sheets must not hide: pools and the ends of routes, px."""
    if picture is None:
        return []
    pools = [bounds([Subpath(on.px(ring)) for ring in rings]) for rings in picture.outlines if rings]
    ends = [_about(on.px(points[-1])) for points in picture.lines if len(points)]
    return pools + ends


def _about(point: Points) -> Rect:
    x, y = (float(value) for value in point)
    return Rect(x - _AT_PX, y - _AT_PX, 2 * _AT_PX, 2 * _AT_PX)


def discs_of(answers: Answers | None, site: Site, on: Drafting, look: PlanLook) -> tuple[Disc, ...]:
    """Where signs of findings stand: of the question and of what is selected; for each subject the gravest."""
    if answers is None or not look.findings:
        return ()
    if look.numbered:
        return _numbered(site, on, look)
    discs: list[Disc] = []
    marked: set[object] = set()
    for finding in _shown(answers.findings, on.question, look):
        about = finding.at if finding.at is not None else finding.subject
        spot = None if about in marked or finding.severity is Severity.NOTE else _spot(finding, site, on, look)
        if spot is not None:
            marked.add(about)
            discs.append(Disc(finding, *spot))
    return tuple(discs)


def _numbered(site: Site, on: Drafting, look: PlanLook) -> tuple[Disc, ...]:
    """The findings of a sheet by their numbers; those at one place stand side by side."""
    discs: list[Disc] = []
    at_place: dict[tuple[float, float], int] = {}
    for number, finding in enumerate(look.numbered, 1):
        spot = _spot(finding, site, on, look)
        if spot is not None:
            before = at_place.get(spot, 0)
            at_place[spot] = before + 1
            discs.append(Disc(finding, spot[0] + before * 20.0, spot[1], number))
    return tuple(discs)


def _spot(finding: Finding, site: Site, on: Drafting, look: PlanLook) -> tuple[float, float] | None:
    """Where the sign of a finding stands, px; None for what has no place on the sheet."""
    thing = site.get(finding.subject)
    if thing is not None and (finding.at is None or thing.kind in _MARKED_AT_SIGN):
        spot = disc_spot(thing, on)
    elif finding.at is not None:
        x, y = (float(value) for value in on.px(finding.at))
        spot = (x - 24.0, y - 16.0) if finding is look.finding else (x - 14.0, y - 12.0)
    else:
        return None
    return spot if on.view.sheet.grown(-DISC_PX / 2).holds(*spot) else None


def _shown(findings: Iterable[Finding], question: Question, look: PlanLook) -> list[Finding]:
    first = [look.finding] if look.finding is not None else []
    rest = [
        each
        for each in findings
        if each is not look.finding
        and (each.question is question or each.subject in look.selection)
        and not each.subject.lower().endswith(_SPOTS)
    ]
    return first + rest


def finding_ring(finding: Finding, picture: OverflowPicture | None, on: Drafting) -> list[Mark]:
    """The ring round the trouble of the selected finding: round its pool or its place."""
    around = _trouble(finding, picture, on)
    return [] if around is None else ringed(finding.severity, around)


def _trouble(finding: Finding, picture: OverflowPicture | None, on: Drafting) -> Rect | None:
    if finding.at is not None:
        at = on.px(finding.at)
        for rings in () if picture is None else picture.outlines:
            box = bounds([Subpath(on.px(ring)) for ring in rings])
            if box.grown(6.0).holds(float(at[0]), float(at[1])):
                return box
        return _about(at)
    return None


def disc_marks(discs: Sequence[Disc]) -> list[Mark]:
    """The signs, or the numbers, of findings on the plan."""
    marks: list[Mark] = []
    for each in discs:
        severity = each.finding.severity
        marks += disc(severity, each.x, each.y) if not each.number else numbered(each.number, severity, each.x, each.y)
    return marks


def disc_boxes(discs: Sequence[Disc]) -> list[Rect]:
    """The boxes that they take, px."""
    half = DISC_PX / 2 + 1
    return [Rect(each.x - half, each.y - half, 2 * half, 2 * half) for each in discs]
