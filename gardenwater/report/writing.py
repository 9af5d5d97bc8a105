"""Plans written to files: as a picture of what the screen shows, or as a printed sheet."""

from __future__ import annotations

from pathlib import Path

from gardenwater.assess import Answers
from gardenwater.errors import InputError
from gardenwater.findings import Question
from gardenwater.report.look import PlanLook
from gardenwater.report.overflow_look import PLAIN, OverflowLook
from gardenwater.report.page_paper import Paper
from gardenwater.report.page_words import site_bounds
from gardenwater.report.pages import plan_page
from gardenwater.report.palette import Scheme, palette, paper_palette
from gardenwater.report.paper import PAPER_PX_PER_INCH, SCREEN_PX_PER_INCH, write_drawing
from gardenwater.report.pictures import pictures_of
from gardenwater.report.plan import plan_layers
from gardenwater.report.plan_drawing import PlanDrawing
from gardenwater.report.typeface import measure
from gardenwater.report.view import View
from gardenwater.report.year.page import telling_day
from gardenwater.site.model import Site

SIZE_PX = (1264.0, 940.0)
"""Size of a picture: that of the plan in a window of 1600 by 1000."""

KINDS_OF_FILE = ("png", "pdf", "svg")


def plan_picture(
    site: Site,
    answers: Answers | None,
    *,
    question: Question,
    size_px: tuple[float, float] = SIZE_PX,
    focus_tank: str = "",
    overflow: OverflowLook = PLAIN,
) -> PlanDrawing:
    """The whole site as on the screen: plan, key, scale bar and north, with the signs of findings."""
    units = site.settings.units
    view = View.of(site_bounds(site, answers), *size_px, room_px=2.0)
    made = None if answers is None else pictures_of(answers, question, focus_tank=focus_tank, units=units)
    year = telling_day(answers) if question is Question.LASTING else None
    day = None if year is None else year.state
    look = PlanLook(focus_tank=focus_tank, overflow=overflow, units=units, measure=measure, day=day)
    return plan_layers(site, answers, view, question=question, look=look, pictures=made)


def write_plan_picture(
    site: Site,
    answers: Answers | None,
    path: Path,
    *,
    question: Question,
    size_px: tuple[float, float] | None = None,
    paper: Paper | None = None,
    scheme: Scheme = Scheme.LIGHT,
    focus_tank: str = "",
    overflow: OverflowLook = PLAIN,
    date: str = "",
    number: str = "",
    dpi: float | None = None,
    kind: str = "",
) -> None:
    """Write the plan to a PNG, PDF or SVG: a picture of `size_px` as on the screen, or a sheet of `paper` for print.

    kind: "png", "pdf" or "svg"; the path's ending unless given. Sheets are on white paper, by day only. dpi: of a PNG,
    and of the pictures within the others; 192 for pictures, 300 for sheets unless given. Raises InputError for another
    kind of file, or when both a size and a paper are given.
    """
    kind = (kind or path.suffix.lstrip(".")).lower()
    if kind not in KINDS_OF_FILE:
        raise InputError(f"A plan is written to PNG, PDF or SVG, not to {kind or 'no kind'}.", where=str(path))
    if paper is not None:
        if size_px is not None:
            raise InputError("A sheet has its paper's size.", where="size_px", mend="Give a size or a paper, not both.")
        page = plan_page(
            site,
            answers,
            question=question,
            paper=paper,
            focus_tank=focus_tank,
            overflow=overflow,
            date=date,
            number=number,
        )
        write_drawing(page, paper_palette(), path, px_per_inch=PAPER_PX_PER_INCH, dpi=dpi or 300.0, kind=kind)
        return
    picture = plan_picture(
        site, answers, question=question, size_px=size_px or SIZE_PX, focus_tank=focus_tank, overflow=overflow
    )
    write_drawing(picture, palette(scheme), path, px_per_inch=SCREEN_PX_PER_INCH, dpi=dpi or 192.0, kind=kind)
