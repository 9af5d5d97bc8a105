"""Findings of Ground, and of settings that are missing: what all answers rest on."""

from __future__ import annotations

import math
from collections.abc import Iterator

from gardenwater.findings import Finding
from gardenwater.findings.making import made
from gardenwater.ground import Ground, GroundAnswer, GroundOrigin, level_at
from gardenwater.site.model import GroundHandle, GroundKind, Settings, Site
from gardenwater.site.things import Bed, Diverter, Downpipe, LevelPeg, SlopeArrow, Tank, Tap

_CASES = {
    GroundOrigin.RASTER: "raster",
    GroundOrigin.PEGS: "pegs",
    GroundOrigin.CONTOURS: "contours",
    GroundOrigin.MIXED: "mixed",
    GroundOrigin.ARROWS: "arrows",
    GroundOrigin.FLAT: "flat",
}
_NEED_A_LEVEL = (Tank, Downpipe, Diverter, Tap)


def ground_findings(site: Site, answer: GroundAnswer) -> Iterator[Finding]:
    """Where the levels come from, how good they are, and which things have none."""
    yield _origin(site, answer)
    if site.ground is not None:
        yield from _raster(site.ground)
    else:
        # the first notice is the origin in other words
        for notice in answer.notices[1:]:
            yield made("ground.notice", words={"notice": notice.rstrip(".")})
    yield from _off(site, answer.ground)


def settings_findings(settings: Settings) -> Iterator[Finding]:
    """What the settings lack."""
    lacking = {
        "latitude": settings.latitude_deg is None,
        "altitude": settings.altitude_m is None,
    }
    if any(lacking.values()):
        case = "both" if all(lacking.values()) else next(name for name, lacks in lacking.items() if lacks)
        yield made("settings.no-place", case=case)


def _origin(site: Site, answer: GroundAnswer) -> Finding:
    ground = answer.ground
    spots = {
        GroundOrigin.PEGS: len(site.of(LevelPeg)),
        GroundOrigin.MIXED: len(site.of(LevelPeg)),
        GroundOrigin.CONTOURS: len(site.survey.contours),
        GroundOrigin.ARROWS: len(site.of(SlopeArrow)),
    }
    numbers = {
        "error_m": answer.level_error_m,
        "spots": float(spots.get(answer.origin, 0)),
        "rows": float(ground.shape[0]),
        "cols": float(ground.shape[1]),
        "cell_m": ground.cell_x_m,
        "level_m": site.settings.flat_level_m,
    }
    return made("ground.origin", case=_CASES[answer.origin], numbers=numbers)


def _raster(handle: GroundHandle) -> Iterator[Finding]:
    for notice in handle.notices:
        yield made("ground.notice", words={"notice": notice.rstrip(".")})
    if handle.kind is GroundKind.SURFACE:
        yield made("ground.surface")
    elif handle.kind is GroundKind.UNKNOWN:
        yield made("ground.kind-unknown")
    if handle.shift_m or handle.tilt_east or handle.tilt_north:
        tilted = handle.tilt_east or handle.tilt_north
        yield made("ground.fitted", case="tilted" if tilted else "", numbers={"shift_m": handle.shift_m})


def _off(site: Site, ground: Ground) -> Iterator[Finding]:
    """Things whose level counts and that stand where the ground has none; beds are named by Reach."""
    for kind in _NEED_A_LEVEL:
        for thing in site.of(kind):
            spot = thing.shape.representative_point()
            at = (spot.x, spot.y)
            if math.isnan(level_at(ground, *at)):
                yield made("ground.thing-off", thing.id, at=at)
    if not site.of(Tank):
        for bed in site.of(Bed):
            spot = bed.shape.representative_point()
            if math.isnan(level_at(ground, spot.x, spot.y)):
                yield made("ground.thing-off", bed.id, at=(spot.x, spot.y))
