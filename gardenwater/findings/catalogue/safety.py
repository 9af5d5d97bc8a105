"""Findings of safety: who may be hurt, what may be harmed; local code and practitioners decide."""

from __future__ import annotations

from gardenwater.findings.entry import COMMON, ENGINEER, LOCAL, PRACTITIONER, Entry, Wording, entry
from gardenwater.findings.model import Question, Severity

_WEIGHT = (
    "Judgement, no source: over about 1 t, over about 0.6 m high, on slopes, near walls or excavations, ask a "
    "structural engineer or building control. Weight: water of the tank's capacity at 1,000 kg/m³ and its own weight"
)
_CHILDREN = "Accident prevention society: children drown in a few centimetres; lids, or rigid mesh that bears a child"
_UNSAFE, _WATCH = Severity.UNSAFE, Severity.WATCH

SAFETY: tuple[Entry, ...] = (
    entry(
        "safety.stand-high",
        _UNSAFE,
        Question.REACH,
        _WEIGHT,
        plain=Wording(
            "{subject's} stand is {stand_m:height_m} high and carries {weight_kg:mass_kg}",
            "Full, it presses {pressure_kpa:pressure_kpa} on its base of {base_m2:area_m2}.",
            "Lower it to {limit_m:height_m} or have it designed and braced; " + ENGINEER + ".",
        ),
    ),
    entry(
        "safety.stand-heavy",
        _UNSAFE,
        Question.REACH,
        _WEIGHT,
        plain=Wording(
            "{subject's} stand carries {weight_kg:mass_kg} on {base_m2:area_m2}",
            "Full, it presses {pressure_kpa:pressure_kpa} on its base, {stand_m:height_m} above the ground.",
            "Lower it to {limit_m:height_m} or have the base designed; " + ENGINEER + ".",
        ),
    ),
    entry(
        "safety.tank-heavy",
        _WATCH,
        Question.REACH,
        _WEIGHT,
        plain=Wording(
            "{subject} weighs {weight_kg:mass_kg} when full",
            "It presses {pressure_kpa:pressure_kpa} on its base of {base_m2:area_m2}. Firm, level ground bears that; "
            "soft or made ground does not.",
            "Give it a level, firm base; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "safety.tank-slender",
        _UNSAFE,
        Question.REACH,
        COMMON + ": height over twice the least width of the base tips easily",
        plain=Wording(
            "{subject} stands {height_m:height_m} high on a base {width_m:height_m} wide",
            "That is {ratio:number} times its width. Wind can tip it when it is empty, soft ground when it is full.",
            "Lower the stand, widen it, or tie the tank back; " + ENGINEER + ".",
        ),
    ),
    entry(
        "safety.base-pressure",
        _UNSAFE,
        Question.REACH,
        "IBC Table 1806.2, presumed bearing of clay and silt 71.8 kPa (1,500 lb/sq ft), seen in public code",
        plain=Wording(
            "{subject} presses {pressure_kpa:pressure_kpa} on the ground, more than it is presumed to bear",
            "Clay and silt are presumed to bear {bearing_kpa:pressure_kpa}; the full tank weighs {weight_kg:mass_kg}.",
            "Spread the load on a wider base; " + ENGINEER + ".",
        ),
    ),
    entry(
        "safety.tank-on-slope",
        _WATCH,
        Question.REACH,
        _WEIGHT,
        plain=Wording(
            "{subject} stands on ground that falls {fall_m:height_m} across its base",
            "The slope there is {one_in:one_in}, and the full tank weighs {weight_kg:mass_kg}.",
            "Cut a level bench into firm ground, never fill one up; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "safety.tank-near-wall",
        _WATCH,
        Question.REACH,
        _WEIGHT,
        plain=Wording(
            "{subject} stands {distance_m:length_m} from {other}, which is {wall_m:height_m} high",
            "If the wall holds ground back, {weight_kg:mass_kg} of full tank press on it.",
            "Stand it farther off than the wall is high; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "safety.lid-open",
        _UNSAFE,
        Question.CATCH,
        _CHILDREN,
        plain=Wording(
            "Lid of {subject} opens {opening_m:length_m} wide and has no lock",
            "A child can fall in.",
            "Fit a locking lid or a grid; " + LOCAL + ".",
        ),
    ),
    entry(
        "safety.tank-translucent",
        _WATCH,
        Question.CATCH,
        COMMON + ": light in a tank grows algae",
        plain=Wording("Light in {subject} grows algae", "", "Cover or paint it, or take an opaque tank."),
    ),
    entry(
        "safety.pond-open",
        _UNSAFE,
        Question.OVERFLOW,
        _CHILDREN,
        plain=Wording(
            "Children can reach {subject}, open water {depth_m:height_m} deep",
            "A child can drown in a few centimetres.",
            "Fence it, or lay a rigid grid that bears a child above the water; " + LOCAL + ".",
        ),
    ),
    entry(
        "safety.soakaway-near",
        _UNSAFE,
        Question.OVERFLOW,
        "Approved Document H (England), 3.25: not within 5 m of a building or road, seen second-hand; county SuDS "
        "guide the same",
        plain=Wording(
            "{subject} stands {distance_m:length_m} from {other}; common guidance is {limit_m:length_m}",
            "Water from it can soften the ground under the foundation.",
            "Move it {missing_m:length_m} {=away}; " + PRACTITIONER + ".",
        ),
    ),
    entry(
        "safety.tap-not-drinking",
        Severity.NOTE,
        Question.REACH,
        "BS 8515 and EN 16941-1: taps and pipes of water that is not for drinking are marked, from memory",
        plain=Wording("{subject} gives water that is not for drinking", "", "Mark the tap; " + LOCAL + "."),
    ),
)
