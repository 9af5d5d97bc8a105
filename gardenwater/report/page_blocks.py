"""The blocks of a printed sheet: key, signs, findings, tables; each is drawn from a place downwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gardenwater.findings import Finding
from gardenwater.findings.wording import SEVERITY_WORDS
from gardenwater.report.drawing import Align, Mark, Measure, Pen, Rect, Shape, Text, TextStyle
from gardenwater.report.paths import run
from gardenwater.report.sheets import KeyGroup
from gardenwater.report.signs.samples import SAMPLE_HEIGHT_PX, SAMPLE_WIDTH_PX, sample, spill_sample
from gardenwater.report.signs.states import SEVERITY_ROLES, numbered, severity_sign

PX_PER_PT = 101.6 / 72.0
TITLE = TextStyle(24 * PX_PER_PT, semibold=True)
SUBJECT = TextStyle(13 * PX_PER_PT)
HEAD = TextStyle(11 * PX_PER_PT, semibold=True)
BODY = TextStyle(9.5 * PX_PER_PT)
FIRM = TextStyle(9.5 * PX_PER_PT, semibold=True)
SMALL = TextStyle(9 * PX_PER_PT)
SLANTED = TextStyle(9 * PX_PER_PT, italic=True)
_LEADING = 1.35
_RULE = Pen("rule", 1.2)
_SPACE_PX = 14.0
_GAP_PX, _LEAST_SAMPLE_PX, _LEAST_PITCH_PX = 6.0, 11.0, 15.0
_GROUPS_ABREAST, _NARROW_PX = 2, 30.0


@dataclass(slots=True)
class Writer:
    """Draws blocks one below the other. x, width: of the column, px. y: where the next block begins."""

    x: float
    y: float
    width: float
    measure: Measure
    marks: list[Mark]

    def rule(self) -> None:
        """A rule between two blocks."""
        self.y += _SPACE_PX * 0.5
        self.marks.append(Shape((run([(self.x, self.y), (self.x + self.width, self.y)]),), pen=_RULE))
        self.y += _SPACE_PX * 0.6

    def space(self, px: float) -> None:
        """Room before what comes next."""
        self.y += px

    def line(self, words: str, style: TextStyle, role: str = "ink") -> None:
        """One line of words, or several where they do not fit on one."""
        for part in wrapped(words, style, self.width, self.measure):
            self.y += style.size_px * _LEADING
            self.marks.append(Text(self.x, self.y - style.size_px * 0.3, part, style, role))

    def pair(self, name: str, value: str, indent: float) -> None:
        """A name, and its value beside it."""
        height = SMALL.size_px * _LEADING * 1.08
        self.y += height
        base = self.y - SMALL.size_px * 0.3
        self.marks.append(Text(self.x, base, name, SMALL, "ink_soft"))
        for index, part in enumerate(wrapped(value, SMALL, self.width - indent, self.measure)):
            if index:
                self.y += height
            self.marks.append(Text(self.x + indent, base + index * height, part, SMALL, "ink"))


def wrapped(words: str, style: TextStyle, width_px: float, measure: Measure) -> list[str]:
    """Words in lines that fit, broken at spaces; a longer word stands on a line of its own."""
    lines: list[str] = []
    line = ""
    for word in words.split(" "):
        longer = f"{line} {word}" if line else word
        if line and measure(longer, style)[0] > width_px:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def key_block(writer: Writer, groups: Sequence[KeyGroup]) -> None:
    """The key of the wash: a swatch and its word in each row; several groups stand in two columns."""
    if len(groups) < _GROUPS_ABREAST:
        for group in groups:
            _key_group(writer, group, 44.0)
        return
    left = Writer(writer.x, writer.y, writer.width / 2 - 6, writer.measure, writer.marks)
    right = Writer(writer.x + writer.width / 2 + 6, writer.y, writer.width / 2 - 6, writer.measure, writer.marks)
    for group in groups:
        _key_group(left if left.y <= right.y else right, group, 28.0)
    writer.y = max(left.y, right.y)


def _key_group(writer: Writer, group: KeyGroup, wide: float) -> None:
    high = BODY.size_px * 1.22
    writer.line(group.title, HEAD if wide > _NARROW_PX else FIRM)
    if group.note:
        writer.line(group.note, SMALL, "ink_soft")
    writer.space(5.0)
    for swatch in group.swatches:
        if not swatch.touching:
            writer.space(BODY.size_px * 0.35)
        box = Rect(writer.x, writer.y, wide, high)
        writer.marks += swatch.draw(box)
        if swatch.words:
            writer.marks.append(Text(box.right + 10, box.bottom - high * 0.27, swatch.words, BODY, "ink"))
        writer.y += high
    writer.space(7.0)


def signs_block(writer: Writer, kinds: Sequence[tuple[str, str]], bottom: float) -> None:
    """The signs used on this sheet, two in a row, made to fit above `bottom`; `spill` is a route with its pool."""
    writer.line("Signs", HEAD)
    writer.space(5.0)
    most = 2 * max(int((bottom - writer.y) / _LEAST_PITCH_PX), 1)
    if len(kinds) > most:
        kinds = [*kinds[: most - 1], ("", f"and {len(kinds) - most + 1} more")]
    rows = -(-len(kinds) // 2)
    pitch = min((bottom - writer.y) / max(rows, 1), SAMPLE_HEIGHT_PX + _GAP_PX)
    high = max(pitch - _GAP_PX, _LEAST_SAMPLE_PX)
    wide, half = SAMPLE_WIDTH_PX * high / SAMPLE_HEIGHT_PX, writer.width / 2
    for index, (kind, word) in enumerate(kinds):
        row, column = divmod(index, 2)
        x, y = writer.x + column * half, writer.y + row * pitch
        if kind:
            writer.marks += spill_sample(x, y, high) if kind == "spill" else sample(kind, x, y, high)
        lines = wrapped(word, SMALL, half - wide - 12, writer.measure) if pitch > 2.1 * SMALL.size_px else [word]
        first = y + high / 2 + SMALL.size_px * 0.34 - (len(lines) - 1) * SMALL.size_px * 0.5
        for number, part in enumerate(lines):
            writer.marks.append(Text(x + wide + 8, first + number * SMALL.size_px, part, SMALL, "ink"))
    writer.y += rows * pitch


def findings_block(writer: Writer, findings: Sequence[tuple[Finding, str]], bottom: float) -> int:
    """Findings by their number on the plan: sign, word of severity, sentence. Returns how many were listed.

    Those that do not fit are counted in words.
    """
    writer.line("Findings", HEAD)
    writer.space(5.0)
    if not findings:
        writer.line("Nothing to mend.", BODY)
    for index, (finding, words) in enumerate(findings):
        indent = 92.0
        lines = wrapped(words, SMALL, writer.width - indent, writer.measure)
        height = max(22.0, len(lines) * SMALL.size_px * 1.25 + 5)
        left = len(findings) - index
        if writer.y + height > bottom - (18.0 if left > 1 else 0.0):
            writer.line(f"and {left} more", SMALL, "ink_soft")
            return index
        middle = writer.y + 11.0
        role = SEVERITY_ROLES[finding.severity]
        writer.marks += numbered(index + 1, finding.severity, writer.x + 10, middle)
        writer.marks += severity_sign(finding.severity, writer.x + 32, middle, 12.0, "paper")
        base = middle + SMALL.size_px * 0.34
        writer.marks.append(Text(writer.x + 44, base, SEVERITY_WORDS[finding.severity], SMALL, role))
        for row, part in enumerate(lines):
            writer.marks.append(Text(writer.x + indent, base + row * SMALL.size_px * 1.25, part, SMALL, "ink"))
        writer.y += height
    return len(findings)


def table_block(writer: Writer, title: str, rows: Sequence[tuple[str, str]], bottom: float) -> None:
    """Names and answers in one column or two; those that do not fit are counted in words."""
    writer.line(title, HEAD)
    writer.space(5.0)
    height = SMALL.size_px * 1.7
    most = max(1, int((bottom - writer.y) / height))
    widest = max(sum(writer.measure(words, SMALL)[0] for words in row) for row in rows) + 14.0
    columns = 1 if len(rows) <= most or widest > (writer.width - 26) / 2 else 2
    room = most * columns
    shown = list(rows) if len(rows) <= room else [*rows[: room - 1], (f"and {len(rows) - room + 1} more", "")]
    width = writer.width / columns - (26 if columns > 1 else 0)
    top = writer.y
    per_column = -(-len(shown) // columns)
    for index, (name, answer) in enumerate(shown):
        column, row = divmod(index, per_column) if per_column else (0, 0)
        x, base = writer.x + column * (width + 26), top + (row + 1) * height - SMALL.size_px * 0.45
        writer.marks.append(Text(x, base, name, SMALL, "ink"))
        writer.marks.append(Text(x + width, base, answer, SMALL, "ink_soft", Align.RIGHT))
    writer.y = top + per_column * height
