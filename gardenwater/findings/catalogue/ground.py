"""Findings of Ground and of the site's settings: what the answers rest on."""

from __future__ import annotations

from gardenwater.findings.entry import Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_Q = Question.GROUND
_ORIGIN = "The site's own levels and settings"
_NOTE = Severity.NOTE
_MORE_PEGS = "More pegs where beds and tanks stand make them better."

GROUND: tuple[Entry, ...] = (
    entry(
        "ground.origin",
        _NOTE,
        _Q,
        _ORIGIN,
        raster=Wording(
            "Levels are from a raster, good to {error_m:height_m}",
            "{cols:number} by {rows:number} cells of {cell_m:length_m}.",
            "Fit it to level pegs to see how far it is off.",
        ),
        pegs=Wording(
            "Levels are from {spots#peg|pegs}, good to {error_m:height_m}",
            "Between the pegs they are worked out; outside of them nothing is known.",
            _MORE_PEGS,
        ),
        contours=Wording(
            "Levels are from {spots#contour|contours}, good to {error_m:height_m}",
            "Between the contours they are worked out; outside of them nothing is known.",
            _MORE_PEGS,
        ),
        mixed=Wording(
            "Levels are from {spots#peg|pegs} and contours, good to {error_m:height_m}",
            "Between them they are worked out; outside of them nothing is known.",
            _MORE_PEGS,
        ),
        arrows=Wording(
            "Levels are from {spots#slope arrow|slope arrows}, good to {error_m:height_m}",
            "The ground is taken as falling evenly.",
            "Level pegs say more than arrows.",
        ),
        flat=Wording(
            "No levels yet: the ground is taken as flat at {level_m:level_m}",
            "",
            "Add three level pegs or a raster.",
        ),
    ),
    entry(
        "ground.surface",
        _NOTE,
        _Q,
        "Raster: said to be a surface",
        plain=Wording(
            "This raster shows roofs and trees as ground",
            "Reach and overflow under them are not true.",
            "Take a bare-earth raster where there is one.",
        ),
    ),
    entry(
        "ground.kind-unknown",
        _NOTE,
        _Q,
        "Raster: not said what its levels are of",
        plain=Wording(
            "Whether this raster is of bare earth is not known",
            "If it shows roofs and trees as ground, reach and overflow under them are not true.",
            "Say what it is of in the ground's card.",
        ),
    ),
    entry(
        "ground.fitted",
        _NOTE,
        _Q,
        "Least squares over the level pegs",
        plain=Wording("The raster was shifted by {shift_m:height_m} to fit the level pegs"),
        tilted=Wording("The raster was shifted by {shift_m:height_m} and tilted to fit the level pegs"),
    ),
    entry("ground.notice", _NOTE, _Q, "What was done on reading", plain=Wording("{=notice}")),
    entry(
        "ground.thinned",
        _NOTE,
        Question.REACH,
        "Plan: the ground has more cells than are worked through at once",
        plain=Wording(
            "Reach is worked out on cells of {cell_m:length_m}, not {fine_m:length_m}",
            "The ground has {cells:number} cells. Of joined cells the highest counts, so reach is not overstated.",
            "Cut the raster to the garden.",
        ),
    ),
    entry(
        "ground.thing-off",
        Severity.FAILS,
        _Q,
        "Plan: the thing and the ground's levels",
        plain=Wording(
            "{subject} stands where the ground has no level",
            "It has no part in the answers.",
            "Move it, or add levels there.",
        ),
    ),
    entry(
        "settings.no-place",
        _NOTE,
        Question.LASTING,
        "Settings: latitude and altitude",
        both=Wording(
            "Latitude and altitude are not given",
            "What the beds want is worked out from them.",
            "Give them in the site's settings.",
        ),
        latitude=Wording(
            "Latitude is not given", "What the beds want is worked out from it.", "Give it in the site's settings."
        ),
        altitude=Wording(
            "Altitude is not given", "What the beds want is worked out from it.", "Give it in the site's settings."
        ),
    ),
)
