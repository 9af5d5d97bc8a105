"""A person's session at the plan: draw, change, move, delete, undo, redo, copy, paste, save, in any order.

The model is as plain as can be: a list of sites written out as JSON values, and where in it we stand. It knows none of
the code under test but the writing out. Whatever happens, the present site reads as the list says, every past site is
still what it was, and the site is one that can be taken.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from gardenwater.errors import EditError
from gardenwater.site import clipboard, edits
from gardenwater.site.clipboard import Clip
from gardenwater.site.fields import references, specs
from gardenwater.site.history import History
from gardenwater.site.model import Site
from gardenwater.site.plain import thing_to_plain
from gardenwater.site.things import BY_KIND, Thing
from gardenwater.site.validate import check_site
from tests.strategies import things

Written = list[dict[str, Any]]

OF_EMITTERS = {"emitters", "emitter_l_h", "emitter_exponent", "least_head_m"}
"""With these goes the flow that is wanted."""
_STEPS = st.sampled_from([-30.0, -1.0, -0.1, 0.1, 1.0, 30.0])


def written(site: Site) -> Written:
    return [thing_to_plain(thing) for thing in site]


class Session(RuleBasedStateMachine):
    """The history under test, beside a list of written sites."""

    def __init__(self) -> None:
        super().__init__()
        self.history = History(Site())
        self.past: list[tuple[Site, Written]] = [(self.history.present, [])]
        self.at = 0
        self.saved: Written = []
        self.gesture = ""
        self.clip: Clip | None = None
        self.clip_written: Written = []

    # how the model goes on

    def now(self) -> Written:
        return self.past[self.at][1]

    def done(self, expected: Written, gesture: str = "") -> None:
        """An edit went through: one more site, or in a gesture another in the place of its last."""
        if expected == self.now():
            return
        merged = bool(gesture) and gesture == self.gesture
        self.past = self.past[: self.at if merged else self.at + 1]
        came_back = merged and expected == self.past[-1][1]
        if not came_back:
            self.past.append((self.history.present, expected))
        self.at = len(self.past) - 1
        self.gesture = "" if came_back else gesture

    def edit(self, label: str, edit: Callable[[Site], Site], gesture: str = "") -> Site | None:
        """Make the edit; None where it was refused, and then nothing has changed."""
        before = self.history.present
        refused: EditError | None = None
        try:
            return self.history.do(label, edit, gesture)
        except EditError as error:
            refused = error
        assert all((refused.what, refused.where, refused.mend))
        assert self.history.present is before
        return None

    def edit_expecting(self, label: str, edit: Callable[[Site], Site], expected: Written, gesture: str = "") -> None:
        if self.edit(label, edit, gesture) is not None:
            self.done(expected, gesture)

    def one(self, data: st.DataObject) -> dict[str, Any]:
        return data.draw(st.sampled_from(self.now()))

    def some(self, data: st.DataObject) -> list[str]:
        ids = [each["id"] for each in self.now()]
        return data.draw(st.lists(st.sampled_from(ids), min_size=1, max_size=3, unique=True))

    # what a person does

    @initialize(data=st.data())
    def begin(self, data: st.DataObject) -> None:
        for _ in range(data.draw(st.integers(0, 4))):
            self.draw_one(data.draw(things()), data)

    @rule(thing=things(), data=st.data())
    def draw(self, thing: Thing, data: st.DataObject) -> None:
        self.draw_one(thing, data)

    def draw_one(self, thing: Thing, data: st.DataObject) -> None:
        site = self.history.present
        fields: dict[str, Any] = {"id": site.free_id(thing.kind), "locked": False}
        for name, spec in references(type(thing)).items():
            there = [each["id"] for each in self.now() if each["kind"] == spec.refers]
            fields[name] = data.draw(st.sampled_from(["", *there]))
        new = dataclasses.replace(thing, **fields)
        self.edit_expecting("Draw", lambda site: edits.put(site, new), [*self.now(), thing_to_plain(new)])

    @precondition(lambda self: self.now())
    @rule(data=st.data())
    def rename(self, data: st.DataObject) -> None:
        it, name = self.one(data), data.draw(st.sampled_from(["North", "South", ""]))
        expected = [{**each, "name": name} if each is it else each for each in self.now()]
        self.edit_expecting("Rename", lambda site: edits.rename(site, it["id"], name), expected)

    @precondition(lambda self: self.now())
    @rule(data=st.data())
    def change_a_number(self, data: st.DataObject) -> None:
        """Any number of any thing to either end of its range; those that bring others along have their own tests."""
        it = self.one(data)
        ranges = {name: spec for name, spec in specs(BY_KIND[it["kind"]]).items() if spec.quantity is not None}
        alone = [name for name in ranges if it["kind"] not in {"tank", "bed"} or name in {"stand_height_m", "raised_m"}]
        if it["kind"] == "watering_line":
            alone = [name for name in alone if name not in OF_EMITTERS]
        if not alone:
            return
        name = data.draw(st.sampled_from(sorted(alone)))
        value = data.draw(st.sampled_from([ranges[name].least, ranges[name].most]))
        expected = [{**each, name: value} if each is it else each for each in self.now()]
        self.edit_expecting("Change", lambda site: edits.change(site, it["id"], **{name: value}), expected)

    @precondition(lambda self: self.now())
    @rule(data=st.data(), dx_m=_STEPS, dy_m=_STEPS, gesture=st.sampled_from(["", "nudge", "drag 7"]))
    def move(self, data: st.DataObject, dx_m: float, dy_m: float, gesture: str) -> None:
        """What was chosen has moved by so much; nothing but places has changed (what goes along has its own tests)."""
        ids, before = self.some(data), self.history.present
        after = self.edit("Move", lambda site: edits.move(site, ids, dx_m, dy_m), gesture)
        if after is None:
            return
        for old, new in zip(before, after, strict=True):
            places = {"shape", "deliver_x_m", "deliver_y_m"}
            assert {n: v for n, v in thing_to_plain(old).items() if n not in places} == {
                n: v for n, v in thing_to_plain(new).items() if n not in places
            }
            if old.id in ids:
                assert abs(new.shape.bounds[0] - old.shape.bounds[0] - dx_m) < 1e-9
                assert abs(new.shape.bounds[1] - old.shape.bounds[1] - dy_m) < 1e-9
        self.done(written(after), gesture)

    @precondition(lambda self: self.now())
    @rule(data=st.data())
    def delete(self, data: st.DataObject) -> None:
        gone = self.some(data)
        expected = [
            {name: "" if name != "id" and value in gone and name in references(BY_KIND[each["kind"]]) else value
             for name, value in each.items()}
            for each in self.now()
            if each["id"] not in gone
        ]  # fmt: skip
        locked = any(each["locked"] for each in self.now() if each["id"] in gone)
        after = self.edit("Delete", lambda site: edits.remove(site, gone))
        assert (after is None) == locked
        if after is not None:
            self.done(expected)

    @precondition(lambda self: self.now())
    @rule(data=st.data(), locked=st.booleans())
    def lock(self, data: st.DataObject, locked: bool) -> None:
        ids = self.some(data)
        expected = [{**each, "locked": locked} if each["id"] in ids else each for each in self.now()]
        self.edit_expecting("Lock", lambda site: edits.lock(site, ids, locked=locked), expected)

    @precondition(lambda self: self.now())
    @rule(data=st.data())
    def copy(self, data: st.DataObject) -> None:
        ids = self.some(data)
        self.clip = clipboard.copy(self.history.present, ids)
        self.clip_written = [each for each in self.now() if each["id"] in ids]

    @precondition(lambda self: self.clip is not None)
    @rule()
    def paste(self) -> None:
        """As many things as were copied are added, the same but for ids, names, locks and references."""
        clip, before = self.clip, self.now()
        after = self.edit("Paste", lambda site: clipboard.paste(site, clip))  # type: ignore[arg-type]
        assert after is not None
        news = written(after)[len(before) :]
        assert written(after)[: len(before)] == before
        for old, new in zip(self.clip_written, news, strict=True):
            own = {"id", "name", "locked", *references(BY_KIND[old["kind"]])}
            assert {n: v for n, v in new.items() if n not in own} == {n: v for n, v in old.items() if n not in own}
        self.done(written(after))

    @rule()
    def undo(self) -> None:
        self.history.undo()
        self.at = max(0, self.at - 1)
        self.gesture = ""

    @rule()
    def redo(self) -> None:
        self.history.redo()
        self.at = min(len(self.past) - 1, self.at + 1)
        self.gesture = ""

    @rule()
    def save(self) -> None:
        self.history.mark_saved()
        self.saved = self.now()
        self.gesture = ""

    # what holds at any time

    @invariant()
    def the_present_site_is_where_we_stand(self) -> None:
        assert written(self.history.present) == self.now()
        assert self.history.can_undo == (self.at > 0)
        assert self.history.can_redo == (self.at < len(self.past) - 1)

    @invariant()
    def no_past_site_has_changed(self) -> None:
        for site, as_it_was in self.past:
            assert written(site) == as_it_was

    @invariant()
    def saved_means_equal_to_what_was_saved(self) -> None:
        assert self.history.is_saved == (self.now() == self.saved)
        assert (self.history.changes_since_saved == 0) == self.history.is_saved

    @invariant()
    def the_site_can_be_taken(self) -> None:
        check_site(self.history.present)


TestSession = Session.TestCase
TestSession.settings = settings(max_examples=120, stateful_step_count=30)
