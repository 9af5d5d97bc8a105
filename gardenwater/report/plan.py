"""The plan: every layer of it, from a site, its answers, a view and how it is looked at.

The desktop's painter and the paper's painter draw the same list. What takes time to make comes in as `Pictures`, made
off the window's thread; the rest is listed here for each frame, and layers that are made of the same as in the drawing
before are taken over from it as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from gardenwater.assess import Answers
from gardenwater.findings import Question
from gardenwater.report.answer_words import stores_after
from gardenwater.report.catch_marks import flows_of
from gardenwater.report.drawing import LayerName
from gardenwater.report.look import PlanLook
from gardenwater.report.pictures import Pictures, pictures_of
from gardenwater.report.plan_drawing import Layers, PlanDrawing
from gardenwater.report.plan_marks import (
    Stage,
    answer_marks,
    chosen_things,
    contours_clear,
    frame_marks,
    ground_marks,
    hatch_marks,
    limits_clear,
    mud_on_paths,
    overlay_marks,
    own_signs,
    roof_parts,
    wash_marks,
)
from gardenwater.report.plan_sheets import sheets_of
from gardenwater.report.plan_things import by_layer, depends_on, followers, in_sight, near_ids
from gardenwater.report.plan_words import Around, word_marks, words_of
from gardenwater.report.results import Disc, disc_marks, discs_of, shows_overflow
from gardenwater.report.sheets import Sheet
from gardenwater.report.signs import Drafting
from gardenwater.report.signs.states import state_boxes
from gardenwater.report.view import View
from gardenwater.report.year.day import DayState, bed_roles, running
from gardenwater.site.model import Site
from gardenwater.site.things import Tank

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
    around = Around(tuple(sheet.box for sheet in sheets), discs, tuple(state_boxes(chosen_things(site, look), on)))
    words = words_of(things, answers, on, look, pictures, around, None if before is None else before.words)
    lifted = followers(site, look.dragged)
    stage = Stage(
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


def _drawn(stage: Stage, discs: tuple[Disc, ...], sheets: tuple[Sheet, ...], before: PlanDrawing | None) -> PlanDrawing:
    """All layers, bottom first."""
    on, look, words = stage.on, stage.look, stage.words
    view, sheet, pictures = on.view, on.view.sheet, stage.pictures
    base = (view, on.question)
    ground = None if pictures is None else pictures.ground
    reach = None if pictures is None else pictures.reach or pictures.stand
    lines = None if pictures is not None and pictures.reach is not None and pictures.reach.frame is not None else reach
    layers = Layers(before)
    layers.add(LayerName.GROUND, sheet, (*base, ground, on.site.underlay, look.in_print), lambda: ground_marks(stage))
    layers.add(
        LayerName.WASH,
        sheet,
        (*base, ground, reach, stage.overflow, look.overflow.underfoot, stage.strength),
        lambda: wash_marks(stage),
    )
    layers.add(
        LayerName.CONTOURS,
        sheet,
        (*base, ground, on.washed, words.clearing, look.contours, look.units),
        lambda: contours_clear(stage),
    )
    hatches = (*base, lines, words.clearing, look.frame, look.units, stage.strength)
    layers.add(LayerName.HATCHES, sheet, hatches, lambda: hatch_marks(stage))
    layered = by_layer(stage.resting, by_day=look.day is not None)
    own = (*base, on.washed, on.near, on.in_print, on.ground, look.only)

    def things(name: LayerName, *more: object) -> tuple[object, ...]:
        running = on.running if name is LayerName.ANSWERS else None
        return (*own, *more, running, *depends_on(name, layered.get(name, ()), on.site))

    below, built, above = LayerName.THINGS_BELOW, LayerName.BUILT, LayerName.THINGS_ABOVE
    layers.add(
        below,
        sheet,
        things(below, words.clearing, stage.overflow, look.overflow.underfoot),
        lambda: own_signs(stage, below, mud_on_paths(stage)),
    )
    if look.day is not None:
        beds = things(LayerName.BEDS, words.clearing, tuple(on.bed_roles.items()))
        layers.add(LayerName.BEDS, sheet, beds, lambda: own_signs(stage, LayerName.BEDS))
    layers.add(LayerName.LIMITS, sheet, (*base, lines, words.clearing, stage.strength), lambda: limits_clear(stage))
    parts = () if stage.catch is None else (stage.catch, words.clearing)
    layers.add(built, sheet, things(built, *parts), lambda: own_signs(stage, built, roof_parts(stage)))
    seen = look.overflow
    answers = things(LayerName.ANSWERS, stage.overflow, stage.strength, seen.underfoot, seen.heads_px)
    layers.add(LayerName.ANSWERS, sheet, answers, lambda: answer_marks(stage))
    held = tuple(sorted(on.store_l.items()))
    standing = () if look.day is not None else held
    layers.add(above, sheet, things(above, standing, tuple(on.gutters.items())), lambda: own_signs(stage, above))
    if look.day is not None:
        layers.add(LayerName.STORES, sheet, things(LayerName.STORES, held), lambda: own_signs(stage, LayerName.STORES))
    lifted = frozenset(thing.id for thing in stage.lifted)
    carried = tuple(each for each in discs if each.finding.subject in lifted)
    resting = tuple(each for each in discs if each.finding.subject not in lifted)
    layers.add(LayerName.OVERLAY, sheet, None, lambda: overlay_marks(stage, carried))
    layers.add(LayerName.FINDINGS, sheet, (view, resting), lambda: disc_marks(resting))
    layers.add(LayerName.LABELS, sheet, words, lambda: word_marks(words))
    edge = (view, look.units, look.text_factor, look.frame, look.in_print, tuple(each.made_of for each in sheets))
    layers.add(LayerName.FRAME, None, edge, lambda: frame_marks(stage, sheets))
    return PlanDrawing(
        width_px=view.width_px,
        height_px=view.height_px,
        layers=tuple(layers.made),
        view=view,
        words=words,
        discs=discs,
        sheets=tuple(each.box for each in sheets),
    )
