"""What each layer of the plan is made of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gardenwater.assess import Answers, CatchAnswer
from gardenwater.findings import Question
from gardenwater.report.catch_marks import part_signs
from gardenwater.report.drawing import Fill, Group, LayerName, Mark, Picture, Shape
from gardenwater.report.fields import to_view
from gardenwater.report.frame import frame, grid_crosses
from gardenwater.report.ground_picture import (
    GROUND_SHADING,
    OTHER_SHADING,
    GroundPicture,
    contour_marks,
    lie,
    shading,
    within_hull,
)
from gardenwater.report.look import PlanLook
from gardenwater.report.mud_picture import mud_wash
from gardenwater.report.overflow_look import OverflowLook
from gardenwater.report.overflow_picture import OverflowPicture, mud, pool_marks, quiet_marks, route_marks
from gardenwater.report.pictures import Pictures
from gardenwater.report.plan_things import layer_of, marks_clear, signs_of
from gardenwater.report.plan_words import Words
from gardenwater.report.reach_picture import limit_marks, marginal_hatch, wash
from gardenwater.report.results import Disc, disc_marks, finding_ring
from gardenwater.report.sheets import Sheet
from gardenwater.report.signs import Drafting, Order, Sign, marks_of, sign
from gardenwater.report.signs.built import paths_ground
from gardenwater.report.signs.proposed import followed, proposed
from gardenwater.report.signs.states import hovered, keyboard, selected, several
from gardenwater.report.signs.ways import line_marks
from gardenwater.report.stand_picture import spot_marks, stand_beds, stand_hatches, stand_limits, stand_wash
from gardenwater.report.ways import bed_way
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Path, Thing


@dataclass(frozen=True, slots=True, eq=False)
class Stage:
    """What one drawing is made of. resting, lifted: things in sight, without and with what is being dragged."""

    on: Drafting
    look: PlanLook
    answers: Answers | None
    pictures: Pictures | None
    overflow: OverflowPicture | None
    catch: CatchAnswer | None
    resting: tuple[Thing, ...]
    lifted: tuple[Thing, ...]
    words: Words
    strength: float


def chosen_things(site: Site, look: PlanLook) -> list[Thing]:
    """The selected things that there are."""
    return [thing for thing in map(site.get, look.selection) if thing is not None]


def own_signs(stage: Stage, name: LayerName, more: Sign | None = None) -> list[Mark]:
    """The signs of the resting things of one layer."""
    by_day = stage.look.day is not None
    own = [thing for thing in stage.resting if layer_of(thing, by_day=by_day) is name]
    return marks_clear([*signs_of(own, stage.on, stage.look), *(more or [])], stage.words.clearing.clip)


def mud_on_paths(stage: Stage) -> Sign:
    """Paths get soft too: mud is drawn over them once more."""
    on = stage.on
    paths = tuple(thing for thing in stage.resting if isinstance(thing, Path))
    if stage.overflow is None or not paths:
        return []
    marks = _soft_ground(stage)
    return [(Order.PATH, Group(tuple(marks), on.outline(paths_ground(paths))))] if marks else []


def roof_parts(stage: Stage) -> Sign:
    """The parts of the roofs, in Catch."""
    return part_signs(stage.catch, stage.on, stage.words.clearing.clip)


def ground_marks(stage: Stage) -> list[Mark]:
    """The paper, the picture under the plan, hill shading."""
    on, view = stage.on, stage.on.view
    marks: list[Mark] = [Shape((view.sheet.outline(),), Fill("paper"))]
    underlay = on.site.underlay
    if underlay is not None and underlay.shown:
        transform = to_view(underlay.transform, view)
        marks.append(Picture(underlay.payload, None, transform, smooth=True, strength=underlay.opacity))
    if stage.pictures is not None and not stage.look.in_print and on.question is not Question.GROUND:
        marks += shading(stage.pictures.ground, view, OTHER_SHADING)
    return marks


def wash_marks(stage: Stage) -> list[Mark]:
    """The wash of the question."""
    view, pictures = stage.on.view, stage.pictures
    if pictures is None:
        return []
    marks: list[Mark] = []
    if stage.on.question is Question.GROUND:
        marks += lie(pictures.ground, view)
        if not stage.look.in_print:
            marks += shading(pictures.ground, view, GROUND_SHADING)
    if pictures.reach is not None:
        marks += wash(pictures.reach, view, strength=stage.strength)
    if pictures.stand is not None:
        marks += stand_wash(pictures.stand, view, strength=stage.strength)
        marks += stand_beds(pictures.stand, stage.on)
    if stage.on.question is Question.OVERFLOW:
        marks += _soft_ground(stage)
    return marks


def _soft_ground(stage: Stage) -> list[Mark]:
    """Ground underfoot where that is looked at; else what is soft beside water."""
    view, strength = stage.on.view, stage.strength
    underfoot = None if stage.pictures is None else stage.pictures.mud
    if stage.look.overflow.underfoot and underfoot is not None:
        return mud_wash(underfoot, view, strength=strength)
    return [] if stage.overflow is None else mud(stage.overflow, view, strength=strength)


def contours_clear(stage: Stage) -> list[Mark]:
    """Contours, which give way to words."""
    if stage.pictures is None or not stage.look.contours:
        return []
    return [Group(tuple(_contours(stage.pictures.ground, stage.on)), stage.words.clearing.clip)]


def hatch_marks(stage: Stage) -> list[Mark]:
    """Hatches of a wash and grid crosses; both give way to words."""
    on, pictures = stage.on, stage.pictures
    marks: list[Mark] = []
    if pictures is not None and pictures.reach is not None:
        marks += marginal_hatch(pictures.reach, on.view, strength=stage.strength)
    if pictures is not None and pictures.stand is not None:
        marks += stand_hatches(pictures.stand, on.view, strength=stage.strength)
    if stage.look.frame:
        marks += grid_crosses(on.view, stage.look.units)
    return [Group(tuple(marks), stage.words.clearing.clip)] if marks else []


def _contours(ground: GroundPicture, on: Drafting) -> list[Mark]:
    """Contours; in Ground only as far as was measured."""
    asked = on.question is Question.GROUND
    marks = contour_marks(ground, on.view, washed=on.washed or asked)
    return [Group(tuple(marks), within_hull(ground, on.view))] if asked else marks


def limits_clear(stage: Stage) -> list[Mark]:
    """Edges of the classes of reach, or of stands, and the limit; they give way to words."""
    pictures, view = stage.pictures, stage.on.view
    marks: list[Mark] = []
    if pictures is not None and pictures.reach is not None:
        marks += limit_marks(pictures.reach, view, strength=stage.strength)
    if pictures is not None and pictures.stand is not None:
        marks += stand_limits(pictures.stand, view, strength=stage.strength)
    return [Group(tuple(marks), stage.words.clearing.clip)] if marks else []


def answer_marks(stage: Stage) -> list[Mark]:
    """Pools, routes, and the pipes of overflows."""
    view = stage.on.view
    marks: list[Mark] = []
    if stage.overflow is not None and stage.look.overflow.underfoot:
        marks += quiet_marks(stage.overflow, view)
    elif stage.overflow is not None:
        marks += pool_marks(stage.overflow, view, strength=stage.strength)
        marks += route_marks(stage.overflow, view, heads_px=stage.look.overflow.heads_px)
    return marks + own_signs(stage, LayerName.ANSWERS)


def overlay_marks(stage: Stage, discs: tuple[Disc, ...]) -> list[Mark]:
    """What is dragged, with the signs of its findings, and what is pointed at or selected."""
    on, look = stage.on, stage.look
    marks = marks_clear(signs_of(stage.lifted, on, look), ())
    hover = on.site.get(look.hover)
    if hover is not None and not hover.locked and hover.id not in look.selection:
        marks += hovered(hover, marks_of(sign(hover, on)), on)
    chosen = chosen_things(on.site, look)
    if len(chosen) == 1:
        marks += selected(chosen[0], on, handles=True)
    elif chosen:
        marks += several(chosen, on)
    if look.keyboard and chosen:
        marks += keyboard(chosen, on)
    marks += _ways(stage, chosen)
    if stage.pictures is not None and stage.pictures.stand is not None:
        marks += spot_marks(stage.pictures.stand.answer, on, shown=look.spot)
    if on.question is Question.OVERFLOW:
        marks += _weighed(on, look.overflow)
    if look.finding is not None:
        marks += finding_ring(look.finding, stage.overflow, on)
    return marks + disc_marks(discs)


def _weighed(on: Drafting, look: OverflowLook) -> list[Mark]:
    """The mend that is proposed, and the water that is followed."""
    marks: list[Mark] = []
    if look.mend is not None:
        for thing in look.mend.things:
            marks += proposed(thing, marks_of(sign(thing, on)), on)
    return marks + followed(look.steps, look.at_step, on)


def _ways(stage: Stage, chosen: Sequence[Thing]) -> list[Mark]:
    """The best way of a line to the selected bed, in Reach."""
    answers, on = stage.answers, stage.on
    if answers is None or on.question is not Question.REACH or answers.stand is not None or len(chosen) != 1:
        return []
    way = bed_way(answers, chosen[0].id, stage.look.focus_tank) if isinstance(chosen[0], Bed) else None
    if way is None:
        return []
    return line_marks(on.line(way), washed=on.washed, px_per_m=on.px_per_m, best_way=True)


def frame_marks(stage: Stage, sheets: tuple[Sheet, ...]) -> list[Mark]:
    """The sheets laid over the plan, and its edge."""
    look = stage.look
    marks = [mark for sheet in sheets for mark in sheet.marks]
    if not look.frame:
        return marks
    margin = "paper" if look.in_print else "sheet"
    return marks + frame(stage.on.view, look.units, margin_role=margin, text_factor=look.text_factor)
