"""Which sheets lie over the plan in this view, and where they slide to."""

from __future__ import annotations

import shapely

from gardenwater.findings import Question
from gardenwater.report.drawing import Rect
from gardenwater.report.keys import key_groups
from gardenwater.report.look import PlanLook
from gardenwater.report.pictures import Pictures
from gardenwater.report.results import result_boxes, shows_overflow
from gardenwater.report.sheets import (
    KEY_HEIGHT_PX,
    KEY_MOST_PX,
    NO_KEY_UNDER_PX,
    NORTH_SIZE,
    Sheet,
    bar_size,
    fitting_swatch,
    key,
    key_width,
    north,
    scale_bar,
    slide,
)
from gardenwater.report.signs.context import Drafting
from gardenwater.report.signs.proposed import proposed_box
from gardenwater.report.signs.states import box_of
from gardenwater.report.stand_picture import spot_box
from gardenwater.report.view import View
from gardenwater.site.model import Site
from gardenwater.site.things import Thing

_ROOM_FOR_ALL_PX = 420.0
_SIGN_PX = 8.0


def sheets_of(
    site: Site, on: Drafting, look: PlanLook, pictures: Pictures | None, *, working: bool
) -> tuple[Sheet, ...]:
    """Scale bar, north and key, each where it hides nothing that matters."""
    sheet = on.view.sheet
    if not look.sheets or sheet.width < _ROOM_FOR_ALL_PX or sheet.height < _ROOM_FOR_ALL_PX / 2:
        return ()
    avoid = _avoided(site, on, look, pictures)
    made: list[Sheet] = []
    box = slide(bar_size(on.view, look.units, look.measure), (False, True), sheet, avoid, ())
    made.append(scale_bar(on.view, box.x, box.y, look.units, look.measure))
    box = slide(NORTH_SIZE, (True, False), sheet, avoid, [each.box for each in made])
    made.append(north(box.x, box.y))
    groups = key_groups(
        site,
        on.question,
        pictures,
        look.units,
        look.focus_tank,
        working=working,
        day=look.day,
        underfoot=look.overflow.underfoot,
    )
    room = min(KEY_MOST_PX, sheet.width - made[0].box.width - 40.0)
    swatch_px = fitting_swatch(groups, look.measure, room) if groups else None
    if swatch_px is not None and sheet.width >= NO_KEY_UNDER_PX:
        size = key_width(groups, look.measure, swatch_px), KEY_HEIGHT_PX
        box = slide(size, (True, True), sheet, avoid, [each.box for each in made])
        made.append(key(groups, box.x, box.y, look.measure, swatch_px))
    return tuple(made)


def _about(things: tuple[Thing, ...], view: View) -> tuple[Rect, ...]:
    """The boxes round things, px, with room for a small sign."""
    corners = shapely.bounds([thing.shape for thing in things]).reshape(-1, 2, 2)
    return tuple(
        Rect(left, top, right - left, bottom - top).grown(_SIGN_PX)
        for (left, bottom), (right, top) in view.all_to_px(corners).tolist()
    )


def _avoided(site: Site, on: Drafting, look: PlanLook, pictures: Pictures | None) -> list[Rect]:
    """What no sheet hides: what is selected, pools, the ends of routes, the place of the selected finding."""
    asked = [site.get(thing_id) for thing_id in look.selection]
    boxes = [box_of(thing, on).grown(14.0) for thing in asked if thing is not None]
    if pictures is not None and shows_overflow(on.question, look):
        boxes += result_boxes(pictures.overflow, on)
    if look.day is not None:
        told = (site.get(thing_id) for thing_id in (*look.day.beds, *look.day.tanks))
        boxes += _about(tuple(thing for thing in told if thing is not None), on.view)
    if pictures is not None and pictures.stand is not None:
        boxes += [spot_box(each, on.view) for each in pictures.stand.answer.proposals]
    if look.overflow.mend is not None and on.question is Question.OVERFLOW:
        boxes.append(proposed_box(look.overflow.mend.things, on).grown(8.0))
    if look.finding is not None and look.finding.at is not None:
        x, y = on.view.to_px(*look.finding.at)
        boxes.append(Rect(x - 30, y - 30, 60, 60))
    return boxes
