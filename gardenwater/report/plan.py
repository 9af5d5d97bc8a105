"""The plan: every layer of it, from a site, its answers, a view and how it is looked at.

The desktop's painter and the paper's painter draw the same list. What takes time to make comes in as `Pictures`, made
off the window's thread; the rest is listed here for each frame, and layers that are made of the same as in the drawing
before are taken over from it as they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from gardenwater.assess import Answers, CatchAnswer
from gardenwater.findings import Question
from gardenwater.report.answer_words import stores_after
from gardenwater.report.catch_marks import flows_of, part_signs
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
from gardenwater.report.pictures import Pictures, pictures_of
from gardenwater.report.plan_drawing import Layers, PlanDrawing
from gardenwater.report.plan_sheets import sheets_of
from gardenwater.report.plan_things import depends_on, followers, in_sight, layer_of, marks_clear, near_ids, signs_of
from gardenwater.report.plan_words import Around, Words, word_marks, words_of
from gardenwater.report.reach_picture import limit_marks, marginal_hatch, wash
from gardenwater.report.results import Disc, disc_marks, discs_of, finding_ring, shows_overflow
from gardenwater.report.sheets import Sheet
from gardenwater.report.signs import Drafting, Order, Sign, marks_of, sign
from gardenwater.report.signs.built import paths_ground
from gardenwater.report.signs.proposed import followed, proposed
from gardenwater.report.signs.states import hovered, keyboard, selected, several, state_boxes
from gardenwater.report.signs.ways import line_marks
from gardenwater.report.stand_picture import spot_marks, stand_beds, stand_hatches, stand_limits, stand_wash
from gardenwater.report.view import View
from gardenwater.report.ways import bed_way
from gardenwater.report.year.day import DayState, bed_roles, running
from gardenwater.site.model import Site
from gardenwater.site.things import Bed, Path, Tank, Thing

HALF_STRENGTH = 0.5
"""Of a wash until it is exact."""


def plan_layers(
    site: Site,
    answers: Answers | None,
    view: View,
    *,
    question: Question,
    look: PlanLook,
    pictures: Pictures | None = None,
    before: PlanDrawing | None = None,
) -> PlanDrawing:
    """The drawing of a site's plan.

    answers: what was worked out; None before the first answer. pictures: of these answers, from `pictures_of` (made
    here, slowly, where they are missing). before: the drawing that this one follows: its layers are taken over where
    nothing has changed in them, and its labels keep their places.
    """
    if pictures is None and answers is not None:
        pictures = pictures_of(answers, question, focus_tank=look.focus_tank, units=look.units)
    on = _drafting(site, answers, view, question, look, pictures)
    things = in_sight(site, on, look)
    discs = discs_of(answers, site, on, look)
    working = answers is not None and answers.coarse
    sheets = sheets_of(site, on, look, pictures, working=working)
    around = Around(tuple(sheet.box for sheet in sheets), discs, tuple(state_boxes(_chosen(site, look), on)))
    words = words_of(things, answers, on, look, pictures, around, None if before is None else before.words)
    lifted = followers(site, look.dragged)
    stage = _Stage(
        on=replace(on, boxes=words.clearing.boxes),
        look=look,
        answers=answers,
        pictures=pictures,
        overflow=pictures.overflow if pictures is not None and shows_overflow(question, look) else None,
        catch=answers.catch if answers is not None and question is Question.CATCH else None,
        resting=tuple(thing for thing in things if thing.id not in lifted),
        lifted=tuple(thing for thing in things if thing.id in lifted),
        words=words,
        strength=HALF_STRENGTH if working else 1.0,
    )
    return _drawn(stage, discs, sheets, before)


def _chosen(site: Site, look: PlanLook) -> list[Thing]:
    """The selected things that there are."""
    return [thing for thing in map(site.get, look.selection) if thing is not None]


def _drafting(
    site: Site, answers: Answers | None, view: View, question: Question, look: PlanLook, pictures: Pictures | None
) -> Drafting:
    return Drafting(
        view=view,
        site=site,
        question=question,
        washed=pictures is not None and (pictures.reach is not None or pictures.stand is not None),
        store_l=MappingProxyType(_stores(site, answers, question, look.day)),
        bed_roles=MappingProxyType({} if look.day is None else bed_roles(look.day)),
        running=None if look.day is None else running(look.day),
        gutters=flows_of(answers, question),
        ground=None if answers is None else answers.ground.ground,
        in_print=look.in_print,
        near=near_ids(look, site),
    )


def _stores(site: Site, answers: Answers | None, question: Question, day: DayState | None) -> Mapping[str, float]:
    """Litres in each tank: now, in Overflow after the wet day, in Lasting on the day that is shown."""
    if day is not None:
        return {tank: held.volume_l for tank, held in day.tanks.items()}
    if question is Question.OVERFLOW and answers is not None and answers.catch is not None:
        return stores_after(site, answers.catch)
    return {tank.id: tank.water_l for tank in site.of(Tank)}


@dataclass(frozen=True, slots=True, eq=False)
class _Stage:
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


def _drawn(
    stage: _Stage, discs: tuple[Disc, ...], sheets: tuple[Sheet, ...], before: PlanDrawing | None
) -> PlanDrawing:
    """All layers, bottom first."""
    on, look, words = stage.on, stage.look, stage.words
    view, sheet, pictures = on.view, on.view.sheet, stage.pictures
    base = (view, on.question)
    ground = None if pictures is None else pictures.ground
    reach = None if pictures is None else pictures.reach or pictures.stand
    layers = Layers(before)
    layers.add(LayerName.GROUND, sheet, (*base, ground, on.site.underlay, look.in_print), lambda: _ground_marks(stage))
    layers.add(
        LayerName.WASH,
        sheet,
        (*base, ground, reach, stage.overflow, look.overflow.underfoot, stage.strength),
        lambda: _wash_marks(stage),
    )
    layers.add(
        LayerName.CONTOURS,
        sheet,
        (*base, ground, on.washed, words.clearing, look.contours, look.units),
        lambda: _contour_marks(stage),
    )
    hatches = (*base, reach, words.clearing, look.frame, look.units, stage.strength)
    layers.add(LayerName.HATCHES, sheet, hatches, lambda: _hatches(stage))
    own = (*base, on.washed, on.near, on.in_print, on.ground, look.only)

    def things(name: LayerName, *more: object) -> tuple[object, ...]:
        running = on.running if name is LayerName.ANSWERS else None
        return (*own, *more, running, *depends_on(name, stage.resting, on.site, by_day=look.day is not None))

    below, built, above = LayerName.THINGS_BELOW, LayerName.BUILT, LayerName.THINGS_ABOVE
    layers.add(
        below,
        sheet,
        things(below, words.clearing, stage.overflow, look.overflow.underfoot),
        lambda: _signs(stage, below, _mud_on_paths(stage)),
    )
    if look.day is not None:
        beds = things(LayerName.BEDS, words.clearing, tuple(on.bed_roles.items()))
        layers.add(LayerName.BEDS, sheet, beds, lambda: _signs(stage, LayerName.BEDS))
    layers.add(LayerName.LIMITS, sheet, (*base, reach, words.clearing, stage.strength), lambda: _limits(stage))
    parts = () if stage.catch is None else (stage.catch, words.clearing)
    layers.add(built, sheet, things(built, *parts), lambda: _signs(stage, built, _parts(stage)))
    seen = look.overflow
    answers = things(LayerName.ANSWERS, stage.overflow, stage.strength, seen.underfoot, seen.heads_px)
    layers.add(LayerName.ANSWERS, sheet, answers, lambda: _answer_marks(stage))
    held = tuple(sorted(on.store_l.items()))
    standing = () if look.day is not None else held
    layers.add(above, sheet, things(above, standing, tuple(on.gutters.items())), lambda: _signs(stage, above))
    if look.day is not None:
        layers.add(LayerName.STORES, sheet, things(LayerName.STORES, held), lambda: _signs(stage, LayerName.STORES))
    lifted = frozenset(thing.id for thing in stage.lifted)
    carried = tuple(each for each in discs if each.finding.subject in lifted)
    resting = tuple(each for each in discs if each.finding.subject not in lifted)
    layers.add(LayerName.OVERLAY, sheet, None, lambda: _overlay(stage, carried))
    layers.add(LayerName.FINDINGS, sheet, (view, resting), lambda: disc_marks(resting))
    layers.add(LayerName.LABELS, sheet, words, lambda: word_marks(words))
    edge = (view, look.units, look.text_factor, look.frame, look.in_print, tuple(each.made_of for each in sheets))
    layers.add(LayerName.FRAME, None, edge, lambda: _frame(stage, sheets))
    return PlanDrawing(
        width_px=view.width_px,
        height_px=view.height_px,
        layers=tuple(layers.made),
        view=view,
        words=words,
        discs=discs,
        sheets=tuple(each.box for each in sheets),
    )


def _signs(stage: _Stage, name: LayerName, more: Sign | None = None) -> list[Mark]:
    """The signs of the resting things of one layer."""
    by_day = stage.look.day is not None
    own = [thing for thing in stage.resting if layer_of(thing, by_day=by_day) is name]
    return marks_clear([*signs_of(own, stage.on, stage.look), *(more or [])], stage.words.clearing.clip)


def _mud_on_paths(stage: _Stage) -> Sign:
    """Paths get soft too: mud is drawn over them once more."""
    on = stage.on
    paths = tuple(thing for thing in stage.resting if isinstance(thing, Path))
    if stage.overflow is None or not paths:
        return []
    marks = _soft_ground(stage)
    return [(Order.PATH, Group(tuple(marks), on.outline(paths_ground(paths))))] if marks else []


def _parts(stage: _Stage) -> Sign:
    """The parts of the roofs, in Catch."""
    return part_signs(stage.catch, stage.on, stage.words.clearing.clip)


def _ground_marks(stage: _Stage) -> list[Mark]:
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


def _wash_marks(stage: _Stage) -> list[Mark]:
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


def _soft_ground(stage: _Stage) -> list[Mark]:
    """Ground underfoot where that is looked at; else what is soft beside water."""
    view, strength = stage.on.view, stage.strength
    underfoot = None if stage.pictures is None else stage.pictures.mud
    if stage.look.overflow.underfoot and underfoot is not None:
        return mud_wash(underfoot, view, strength=strength)
    return [] if stage.overflow is None else mud(stage.overflow, view, strength=strength)


def _contour_marks(stage: _Stage) -> list[Mark]:
    """Contours, which give way to words."""
    if stage.pictures is None or not stage.look.contours:
        return []
    return [Group(tuple(_contours(stage.pictures.ground, stage.on)), stage.words.clearing.clip)]


def _hatches(stage: _Stage) -> list[Mark]:
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


def _limits(stage: _Stage) -> list[Mark]:
    """Edges of the classes of reach, or of stands, and the limit; they give way to words."""
    pictures, view = stage.pictures, stage.on.view
    marks: list[Mark] = []
    if pictures is not None and pictures.reach is not None:
        marks += limit_marks(pictures.reach, view, strength=stage.strength)
    if pictures is not None and pictures.stand is not None:
        marks += stand_limits(pictures.stand, view, strength=stage.strength)
    return [Group(tuple(marks), stage.words.clearing.clip)] if marks else []


def _answer_marks(stage: _Stage) -> list[Mark]:
    """Pools, routes, and the pipes of overflows."""
    view = stage.on.view
    marks: list[Mark] = []
    if stage.overflow is not None and stage.look.overflow.underfoot:
        marks += quiet_marks(stage.overflow, view)
    elif stage.overflow is not None:
        marks += pool_marks(stage.overflow, view, strength=stage.strength)
        marks += route_marks(stage.overflow, view, heads_px=stage.look.overflow.heads_px)
    return marks + _signs(stage, LayerName.ANSWERS)


def _overlay(stage: _Stage, discs: tuple[Disc, ...]) -> list[Mark]:
    """What is dragged, with the signs of its findings, and what is pointed at or selected."""
    on, look = stage.on, stage.look
    marks = marks_clear(signs_of(stage.lifted, on, look), ())
    hover = on.site.get(look.hover)
    if hover is not None and not hover.locked and hover.id not in look.selection:
        marks += hovered(hover, marks_of(sign(hover, on)), on)
    chosen = _chosen(on.site, look)
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


def _ways(stage: _Stage, chosen: Sequence[Thing]) -> list[Mark]:
    """The best way of a line to the selected bed, in Reach."""
    answers, on = stage.answers, stage.on
    if answers is None or on.question is not Question.REACH or answers.stand is not None or len(chosen) != 1:
        return []
    way = bed_way(answers, chosen[0].id, stage.look.focus_tank) if isinstance(chosen[0], Bed) else None
    if way is None:
        return []
    return line_marks(on.line(way), washed=on.washed, px_per_m=on.px_per_m, best_way=True)


def _frame(stage: _Stage, sheets: tuple[Sheet, ...]) -> list[Mark]:
    """The sheets laid over the plan, and its edge."""
    look = stage.look
    marks = [mark for sheet in sheets for mark in sheet.marks]
    if not look.frame:
        return marks
    margin = "paper" if look.in_print else "sheet"
    return marks + frame(stage.on.view, look.units, margin_role=margin, text_factor=look.text_factor)
