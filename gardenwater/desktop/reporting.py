"""What the Report menu does: a picture of the plan, and the whole assessment in a folder."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gardenwater.desktop.choosing import PLANS
from gardenwater.desktop.filework import FileWork
from gardenwater.errors import FileError
from gardenwater.work import Cancel, Progress, say

if TYPE_CHECKING:
    from gardenwater.assess.run import Assessment
    from gardenwater.desktop.plan.widget import PlanWidget

WriteAssessment = Callable[["Assessment", Path, Cancel], None]
"""Writes an assessment into a folder that is there; looks at cancel between files."""

_PICTURE_DPI = 192.0


def write_record(assessment: Assessment, folder: Path, _cancel: Cancel) -> None:
    """The record alone: every number and finding."""
    from gardenwater.files import written_aside

    with written_aside(folder / "assessment.json") as aside:
        aside.write_text(json.dumps(assessment.record(), ensure_ascii=False, indent=1), "utf-8")


class Reporting:
    """Makes pages and maps off the window's thread."""

    def __init__(self, work: FileWork, plan: PlanWidget, write: WriteAssessment) -> None:
        self._work, self._plan, self._write = work, plan, write

    def picture(self) -> None:
        """Ask where to put a picture of the plan as it is seen now."""
        name = f"{self._work.desk.present.name} {self._work.desk.question.value}.png"
        self._work.choose.to_save("Picture of the plan", PLANS, name, self.picture_to)

    def picture_to(self, path: Path) -> None:
        """Make the picture there; its ending says whether it is PNG, PDF or SVG."""
        desk, view, palette = self._work.desk, self._plan.view, self._work.look.roles
        site, answers, question, focus, pictures = desk.site, desk.answers, desk.question, desk.focus, desk.pictures

        def job(_cancel: Cancel, _progress: Progress) -> None:
            from gardenwater.files import written_aside
            from gardenwater.report.look import PlanLook
            from gardenwater.report.paper import write_drawing
            from gardenwater.report.plan import plan_layers
            from gardenwater.report.writing import KINDS_OF_FILE

            look = PlanLook(units=site.settings.units, focus_tank=focus)
            drawing = plan_layers(site, answers, view, question=question, look=look, pictures=pictures)
            kind = path.suffix.lstrip(".").lower() or "png"
            if kind not in KINDS_OF_FILE:
                raise FileError(f'No picture can be written as ".{kind}".', mend="End its name in .png, .pdf or .svg.")
            with written_aside(path) as aside:
                write_drawing(drawing, palette, aside, dpi=_PICTURE_DPI, kind=kind)

        self._work.run("Making the picture", job, lambda _: desk.noticed.emit(f"The picture is in {path}."))

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
