"""What an assessment writes: a record, pictures, and maps in open formats."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
from shapely.geometry.base import BaseGeometry

from gardenwater.assess.answers import OverflowAnswer, ReachAnswer
from gardenwater.assess.run import Assessment
from gardenwater.files import Band, MapFeature, write_bands, write_geojson, written_aside
from gardenwater.findings import Question
from gardenwater.reach import Reason
from gardenwater.report import write_plan_picture
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.work import Cancel, stop_if

RECORD = "assessment.json"

_L = 1000.0


ABOUT = {
    RECORD: "every number, and every finding",
    "water-reach.png": "the plan with the minutes that a can takes",
    "water-reach.tif": "the same as a raster, with spare head, distance, flow, reason and tank",
    "overflow.png": "the plan with where spilled water goes",
    "overflow.geojson": "routes and pools",
}
"""What may be written, and what it is."""


def write_results(assessment: Assessment, folder: Path, cancel: Cancel) -> tuple[str, ...]:
    """Write all that there is into a folder; the names of what was written.

    Each file is written whole or not at all, the record last, so that a folder with a record is a whole one. Raises
    FileError when a file cannot be written, Cancelled.
    """
    writers: dict[str, Callable[[Path, Assessment], None]] = {}
    if assessment.reach is not None:
        writers |= {"water-reach.png": write_reach_picture, "water-reach.tif": write_reach_raster}
    if assessment.overflow is not None:
        writers |= {"overflow.png": write_overflow_picture, "overflow.geojson": write_overflow_map}
    writers[RECORD] = write_record
    for name, write in writers.items():
        stop_if(cancel)
        write(folder / name, assessment)
    return tuple(name for name in ABOUT if name in writers)


def write_record(path: Path, assessment: Assessment) -> None:
    """Every number and every finding, as JSON."""
    with written_aside(path) as aside:
        words = json.dumps(assessment.record(), ensure_ascii=False, allow_nan=False, indent=2)
        aside.write_text(words + "\n", "utf-8")


def write_reach_picture(path: Path, assessment: Assessment) -> None:
    """The plan with the best reach of all tanks."""
    _write_picture(path, assessment, Question.REACH)


def write_overflow_picture(path: Path, assessment: Assessment) -> None:
    """The plan with routes and pools."""
    _write_picture(path, assessment, Question.OVERFLOW)


def _write_picture(path: Path, assessment: Assessment, question: Question) -> None:
    with written_aside(path) as aside:
        write_plan_picture(assessment.site, assessment, aside, question=question)


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
    """One feature for each route, pool and place where water leaves."""

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
