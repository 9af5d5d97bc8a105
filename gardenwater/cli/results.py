"""What an assessment writes: a record, pictures, and maps in open formats."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Collection
from functools import partial
from pathlib import Path

import numpy as np
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import OverflowAnswer, ReachAnswer
from gardenwater.assess.run import Assessment
from gardenwater.cli.outputs import ABOUT, RECORD, SHEETS, holds_an_assessment
from gardenwater.errors import FileError
from gardenwater.files import Band, MapFeature, write_balance, write_bands, write_geojson, written_aside
from gardenwater.findings import Question
from gardenwater.overflow import MudWhy, Underfoot
from gardenwater.reach import Reason, WhyNot
from gardenwater.report import write_plan_picture, write_year_picture
from gardenwater.report.overflow_look import PLAIN, OverflowLook
from gardenwater.report.page_paper import paper_for
from gardenwater.report.page_words import site_bounds
from gardenwater.site.calendar import today_words
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.work import Cancel, stop_if

_L = 1000.0


def write_results(assessment: Assessment, folder: Path, cancel: Cancel, *, sheets: str = "") -> tuple[str, ...]:
    """Write all that there is into a folder; the names of what was written.

    sheets: size of the paper of sheets to print ("A4", "A3", "Letter"); none are written unless it is given.

    Each file is written whole or not at all, the record last, so that a folder with a record is a whole one; of an
    earlier assessment that stands there nothing is left. Raises FileError when a file cannot be written, Cancelled.
    """
    writers = (_sheets(assessment, sheets) if sheets else {}) | _writers(assessment)
    stop_if(cancel)
    _drop_earlier(folder, writers.keys())
    for name, write in writers.items():
        stop_if(cancel)
        write(folder / name, assessment)
    return tuple(name for name in (*ABOUT, *SHEETS) if name in writers)


Writers = dict[str, Callable[[Path, Assessment], None]]


def _writers(assessment: Assessment) -> Writers:
    """What there is to write, by name, the record last."""
    writers: Writers = {}
    if assessment.reach is not None:
        writers |= {"water-reach.png": write_reach_picture, "water-reach.tif": write_reach_raster}
    if assessment.places is not None:
        writers |= {"places.png": write_places_picture, "places.tif": write_places_raster}
    if assessment.overflow is not None:
        writers |= {"overflow.png": write_overflow_picture, "overflow.geojson": write_overflow_map}
    if assessment.lasting is not None:
        writers |= {"lasting.png": write_lasting_picture, "year.png": write_year, "balance.csv": write_days}
    if assessment.mud is not None:
        writers |= {"mud.png": write_mud_picture, "mud.tif": write_mud_raster}
    if assessment.mends:
        writers["mends.geojson"] = write_mends_map
    writers[RECORD] = write_record
    return writers


def _drop_earlier(folder: Path, written_anew: Collection[str]) -> None:
    """Remove the record of an earlier assessment, and those of its files that this one does not have.

    A picture of last year's Lasting beside today's Reach would be read as one assessment.
    """
    if not holds_an_assessment(folder):
        return
    for name in (RECORD, *(name for name in (*ABOUT, *SHEETS) if name not in written_anew)):
        try:
            (folder / name).unlink(missing_ok=True)
        except OSError as problem:
            raise FileError(
                f'"{folder / name}" of an earlier assessment cannot be removed: {problem.strerror}.',
                mend="Close it where it is open, or name another folder.",
            ) from problem


def _sheets(assessment: Assessment, size: str) -> Writers:
    """A sheet of each question that is answered."""
    answered: dict[str, tuple[Question, object]] = {
        "sheet-ground.pdf": (Question.GROUND, assessment.ground),
        "sheet-catch.pdf": (Question.CATCH, assessment.catch),
        "sheet-reach.pdf": (Question.REACH, assessment.reach),
        "sheet-overflow.pdf": (Question.OVERFLOW, assessment.overflow),
        "sheet-lasting.pdf": (Question.LASTING, assessment.lasting),
    }
    return {
        name: partial(write_sheet, question=question, size=size)
        for name, (question, answer) in answered.items()
        if answer is not None
    }


def write_sheet(path: Path, assessment: Assessment, *, question: Question, size: str) -> None:
    """The plan of a question on paper, with all that is needed to read it."""
    site = assessment.site
    paper = paper_for(size, site_bounds(site, assessment))
    with written_aside(path) as aside:
        write_plan_picture(site, assessment, aside, question=question, paper=paper, date=today_words(), kind="pdf")


def write_record(path: Path, assessment: Assessment) -> None:
    """Every number and every finding, as JSON."""
    with written_aside(path) as aside:
        words = json.dumps(assessment.record(), ensure_ascii=False, allow_nan=False, indent=2)
        aside.write_text(words + "\n", "utf-8")


def write_reach_picture(path: Path, assessment: Assessment) -> None:
    """The plan with the best reach of all tanks."""
    _write_picture(path, assessment, Question.REACH)


def write_places_picture(path: Path, assessment: Assessment) -> None:
    """The plan with where a new tank could stand."""
    asked = dataclasses.replace(assessment, stand=assessment.places)
    with written_aside(path) as aside:
        write_plan_picture(asked.site, asked, aside, question=Question.REACH)


def write_places_raster(path: Path, assessment: Assessment) -> None:
    """Where a new tank could stand as one raster; NaN where it cannot."""
    assert assessment.places is not None
    found = assessment.places.map
    codes = ", ".join(f"{why.value} {why.name.lower().replace('_', ' ')}" for why in WhyNot)
    site = assessment.site
    pipes = ", ".join(f"{number} {name_of(site, feed.key)}" for number, feed in enumerate(found.feeds, 1))
    bands = (
        Band(found.stand_m, "stand_m", "m"),
        Band(found.share, "share of the beds' area that is served"),
        Band(found.clears_m, "feed over the inlet", "m"),
        Band(found.feeder_m, "feeder_m", "m"),
        Band(found.reason.astype(np.float32), f"reason: {codes}"),
        Band((found.feed + 1).astype(np.float32), f"downpipe that feeds it: {pipes}"),
        Band(found.feed_level_m, "level that its feeder brings water to", "m"),
    )
    write_bands(path, bands, found.ground)


def write_overflow_picture(path: Path, assessment: Assessment) -> None:
    """The plan with routes and pools."""
    _write_picture(path, assessment, Question.OVERFLOW)


def write_lasting_picture(path: Path, assessment: Assessment) -> None:
    """The plan on the day that tells most of the driest year."""
    _write_picture(path, assessment, Question.LASTING)


def write_year(path: Path, assessment: Assessment) -> None:
    """The driest year, day by day."""
    with written_aside(path) as aside:
        write_year_picture(assessment, aside, kind="png")


def write_days(path: Path, assessment: Assessment) -> None:
    """Every litre of every day."""
    assert assessment.lasting is not None
    site = assessment.site
    write_balance(path, assessment.lasting.record, {thing.id: name_of(site, thing.id) for thing in site})


def write_mud_picture(path: Path, assessment: Assessment) -> None:
    """The plan with the ground that is wet underfoot."""
    _write_picture(path, assessment, Question.OVERFLOW, OverflowLook(underfoot=True))


def _write_picture(path: Path, assessment: Assessment, question: Question, overflow: OverflowLook = PLAIN) -> None:
    with written_aside(path) as aside:
        write_plan_picture(assessment.site, assessment, aside, question=question, overflow=overflow)


def write_mud_raster(path: Path, assessment: Assessment) -> None:
    """Ground underfoot as one raster; the lie of the land in the last two bands, NaN where no water comes."""
    assert assessment.mud is not None
    answer = assessment.mud
    classes = ", ".join(f"{each.value} {each.name.lower()}" for each in Underfoot)
    reasons = ", ".join(f"{each.value} {each.name.lower()}" for each in MudWhy if each.name)
    bands = (
        Band(answer.mud.underfoot.astype(np.float32), f"underfoot: {classes}"),
        Band(answer.mud.why.astype(np.float32), f"why, summed: {reasons}"),
        Band(answer.wetness.index, "topographic wetness index ln(a / tan b)"),
        Band(answer.wetness.upslope_m, "upslope area for each metre of level line", "m"),
    )
    write_bands(path, bands, answer.ground)


def write_mends_map(path: Path, assessment: Assessment) -> None:
    """Each thing that a mend puts on the plan, as GeoJSON."""
    site = assessment.site
    features = [
        _feature(
            thing.shape,
            thing.kind,
            trouble=found.trouble.code,
            about=name_of(site, found.trouble.subject),
            mend=mend.kind.value,
            choice=number,
            before_l=mend.before_l,
            remains_l=mend.remains_l,
            length_m=mend.length_m,
            fall_m=mend.fall_m,
            bore_mm=mend.bore_mm,
        )
        for found in assessment.mends
        for number, mend in enumerate(found.mends, 1)
        for thing in mend.things
    ]
    write_geojson(path, features, site.crs)


def write_reach_raster(path: Path, assessment: Assessment) -> None:
    """The best reach of all tanks as one raster. The tank's number counts the tanks of the record from 1; 0 is none."""
    assert assessment.reach is not None
    write_bands(path, reach_bands(assessment.reach), assessment.reach.ground)


def reach_bands(reach: ReachAnswer) -> tuple[Band, ...]:
    """The bands of the raster, each with what it is and its unit."""
    best = reach.best
    codes = ", ".join(f"{reason.value} {reason.name.lower().replace('_', ' ')}" for reason in Reason)
    tanks = ", ".join(f"{number} {tank.tank}" for number, tank in enumerate(reach.tanks, 1))
    return (
        Band(best.minutes_per_can, "minutes_per_can", "min"),
        Band(best.residual_head_m, "residual_head_m", "m"),
        Band(best.distance_m, "distance_m", "m"),
        Band(best.flow_l_min, "flow_l_min", "L/min"),
        Band(best.reason.astype(np.float32), f"reason: {codes}"),
        Band((best.tank_index + 1).astype(np.float32), f"tank: {tanks}"),
    )


def write_overflow_map(path: Path, assessment: Assessment) -> None:
    """Routes and pools of the wet day as GeoJSON."""
    assert assessment.overflow is not None
    features = overflow_features(assessment.site, assessment.overflow)
    write_geojson(path, features, assessment.site.crs)


def overflow_features(site: Site, overflow: OverflowAnswer) -> list[MapFeature]:
    """One feature for each route and each pool."""

    def owners(sources: tuple[int, ...]) -> str:
        return ", ".join(dict.fromkeys(name_of(site, overflow.sources[source].owner) for source in sources))

    spill = overflow.spill
    features = [
        _feature(
            route.line,
            "route",
            water_of=owners(route.sources),
            end=route.end.value,
            volume_l=route.volume_m3 * _L,
            volume_at_end_l=route.volume_end_m3 * _L,
            flow_l_s=route.flow_l_s,
            soaked_l=route.soaked_m3 * _L,
        )
        for route in spill.routes
    ]
    features += [
        _feature(
            pool.outline,
            "pool",
            water_of=owners(pool.sources),
            level_m=pool.level_m,
            depth_m=pool.depth_m,
            volume_l=pool.volume_m3 * _L,
            hours_to_soak=pool.hours_to_soak,
            runs_over=pool.runs_over,
        )
        for pool in spill.pools
    ]
    return features


def _feature(shape: BaseGeometry, what: str, **properties: str | float | bool) -> MapFeature:
    return MapFeature(shape, {"what": what, **properties})
