"""What the Report menu does: a picture of the plan, a sheet to print, and the whole assessment in a folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gardenwater.desktop.choosing import PLANS, SHEETS
from gardenwater.desktop.filework import FileWork
from gardenwater.errors import FileError
from gardenwater.findings import Question
from gardenwater.site.calendar import today_words
from gardenwater.work import Cancel, Progress, say

if TYPE_CHECKING:
    from gardenwater.assess import Answers
    from gardenwater.assess.run import Assessment
    from gardenwater.desktop.plan.widget import PlanWidget
    from gardenwater.report.look import PlanLook
    from gardenwater.site.model import Site

WriteAssessment = Callable[["Assessment", Path, Cancel], None]
"""Writes an assessment into a folder that is there; looks at cancel between files."""

_PICTURE_DPI = 192.0


def write_record(assessment: Assessment, folder: Path, _cancel: Cancel) -> None:
    """The record alone: every number and finding."""
    from gardenwater.files import written_aside

    with written_aside(folder / "assessment.json") as aside:
        aside.write_text(json.dumps(assessment.record(), ensure_ascii=False, indent=1), "utf-8")


def _kind_of(path: Path, usual: str) -> str:
    """The kind of picture that a path's ending names; FileError for another."""
    from gardenwater.report.writing import KINDS_OF_FILE

    kind = path.suffix.lstrip(".").lower() or usual
    if kind not in KINDS_OF_FILE:
        raise FileError(f'No picture can be written as ".{kind}".', mend="End its name in .png, .pdf or .svg.")
    return kind


@dataclass(frozen=True, slots=True, eq=False)
class _Seen:
    """What the plan shows: a site, its answers, the question that they are of, and how it is looked at."""

    site: Site
    answers: Answers | None
    question: Question
    look: PlanLook


class Reporting:
    """Makes pages and maps off the window's thread."""

    def __init__(self, work: FileWork, plan: PlanWidget, write: WriteAssessment) -> None:
        self._work, self._plan, self._write = work, plan, write

    def picture(self) -> None:
        """Ask where to put a picture of the plan as it is seen now."""
        name = f"{self._work.desk.present.name} {self._seen().question.value}.png"
        self._work.choose.to_save("Picture of the plan", PLANS, name, self.picture_to)

    def picture_to(self, path: Path) -> None:
        """Make the picture there; its ending says whether it is PNG, PDF or SVG."""
        seen, pictures = self._seen(), self._work.desk.pictures
        view, palette = self._plan.view, self._work.look.roles

        def job(_cancel: Cancel, _progress: Progress) -> None:
            from gardenwater.files import written_aside
            from gardenwater.report.paper import write_drawing
            from gardenwater.report.plan import plan_layers

            kind = _kind_of(path, "png")
            drawing = plan_layers(
                seen.site, seen.answers, view, question=seen.question, look=seen.look, pictures=pictures
            )
            with written_aside(path) as aside:
                write_drawing(drawing, palette, aside, dpi=_PICTURE_DPI, kind=kind)

        self._work.run("Making the picture", job, lambda _: self._noticed(f"The picture is in {path}."))

    def sheet(self, size: str) -> None:
        """Ask where to put a sheet to print, on paper of one of `page_paper.SIZES`."""
        name = f"{self._work.desk.present.name} {self._seen().question.value} {size}.pdf"
        self._work.choose.to_save(f"Sheet on {size}", SHEETS, name, lambda path: self.sheet_to(path, size))

    def sheet_to(self, path: Path, size: str) -> None:
        """Make the sheet there: the whole site with the question that is asked, and all that is needed to read it."""
        seen = self._seen()

        def job(_cancel: Cancel, _progress: Progress) -> None:
            from gardenwater.files import written_aside
            from gardenwater.report import write_plan_picture
            from gardenwater.report.page_paper import paper_for
            from gardenwater.report.page_words import site_bounds

            kind = _kind_of(path, "pdf")
            with written_aside(path) as aside:
                write_plan_picture(
                    seen.site,
                    seen.answers,
                    aside,
                    question=seen.question,
                    paper=paper_for(size, site_bounds(seen.site, seen.answers)),
                    focus_tank=seen.look.focus_tank,
                    overflow=seen.look.overflow,
                    date=today_words(),
                    kind=kind,
                )

        self._work.run("Making the sheet", job, lambda _: self._noticed(f"The sheet is in {path}."))

    def _seen(self) -> _Seen:
        """What the plan shows now: it goes on showing the question that was answered last until the next one is."""
        from gardenwater.report.look import PlanLook

        desk, shown = self._work.desk, self._work.desk.answered
        question = desk.question if shown is None else shown.question
        look = PlanLook(
            focus_tank="" if shown is None else shown.focus,
            day=desk.day_state if question is Question.LASTING else None,
            spot=desk.standing.spot,
            overflow=desk.spilling.look,
            units=desk.units,
        )
        return _Seen(desk.site, desk.answers, question, look)

    def _noticed(self, words: str) -> None:
        self._work.desk.noticed.emit(words)

    def assessment(self) -> None:
        """Ask for a folder and write the whole assessment into it."""
        self._work.choose.a_folder("Assessment to a folder", self.assessment_to)

    def assessment_to(self, folder: Path) -> None:
        """Work everything out and write it there."""
        desk, write = self._work.desk, self._write
        site = desk.present

        def job(cancel: Cancel, progress: Progress) -> Any:
            from gardenwater.assess.run import assess

            assessment = assess(site, cancel=cancel, progress=progress)
            say(progress, 0.9, "Writing the assessment")
            write(assessment, folder, cancel)
            return len(assessment.findings)

        def done(count: int) -> None:
            desk.noticed.emit(f"The assessment is in {folder}: {count} findings.")

        self._work.run("Assessing", job, done)
