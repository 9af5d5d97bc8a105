"""Past and coming sites: undo, redo, the saved point, gestures that count as one step."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from gardenwater.site.model import Site

MOST_STEPS = 1000
"""How many steps are kept. Sites share what did not change, so a step costs about the things it changed."""


@dataclass(frozen=True, slots=True)
class _Step:
    """A site, the label of the edit that made it, and the gesture that the edit was part of."""

    site: Site
    label: str = ""
    gesture: str = ""


class History:
    """A line of sites with a pointer to the present one. Sites are values: undo and redo move the pointer.

    It belongs to one thread; the sites may be read by any.
    """

    def __init__(self, site: Site, *, most_steps: int = MOST_STEPS) -> None:
        """Start at `site`, which counts as saved; at most `most_steps` edits can be undone."""
        self._steps: list[_Step] = [_Step(site)]
        self._at = 0
        self._most = max(1, most_steps)
        self._saved = site
        self._saved_at = 0
        self._lost = 0
        self._merging = False

    @property
    def present(self) -> Site:
        """The site as it is now."""
        return self._steps[self._at].site

    def do(self, label: str, edit: Callable[[Site], Site], gesture: str = "") -> Site:
        """Make an edit and give the site after it; what could be redone is let go.

        label: what undo says ("Move Shed tank"). gesture: edits in a row with the same words become one step, named by
        the last of them, until undo, redo, a save or `end_gesture` comes between. An edit that gives back the same site
        is no step, and a gesture that ends where it began leaves none. What the edit raises goes on, and nothing has
        changed.
        """
        before = self._steps[self._at]
        site = edit(before.site)
        if site is before.site or site == before.site:
            return before.site
        merged = bool(gesture) and self._merging and before.gesture == gesture and self._at > 0
        if merged:
            self._at -= 1
        came_back = merged and site == self.present
        self._drop_from(self._at + 1)
        if not came_back:
            self._append(_Step(site, label, gesture))
        self._merging = not came_back
        return self.present

    def _append(self, step: _Step) -> None:
        self._steps.append(step)
        self._at += 1
        over = len(self._steps) - 1 - self._most
        if over > 0:
            del self._steps[:over]
            self._at -= over
            self._saved_at -= over

    def _drop_from(self, at: int) -> None:
        """Let go the steps from `at` on; when the saved one is among them, count the way to it as changes."""
        if self._saved_at >= at:
            self._lost += self._saved_at - (at - 1)
            self._saved_at = at - 1
        del self._steps[at:]

    def end_gesture(self) -> None:
        """The next edit is a step of its own, whatever its gesture's words."""
        self._merging = False

    @property
    def can_undo(self) -> bool:
        """Whether there is an edit to undo."""
        return self._at > 0

    @property
    def can_redo(self) -> bool:
        """Whether there is an undone edit to make again."""
        return self._at + 1 < len(self._steps)

    @property
    def undo_label(self) -> str:
        """The edit that undo would take back ("Move Shed tank"); empty when there is none."""
        return self._steps[self._at].label if self.can_undo else ""

    @property
    def redo_label(self) -> str:
        """The edit that redo would make again; empty when there is none."""
        return self._steps[self._at + 1].label if self.can_redo else ""

    def undo(self) -> Site:
        """Go back one edit; the present site where there is none."""
        self._at -= self.can_undo
        self._merging = False
        return self.present

    def redo(self) -> Site:
        """Make the next undone edit again; the present site where there is none."""
        self._at += self.can_redo
        self._merging = False
        return self.present

    def mark_saved(self) -> None:
        """The present site is the one on disk."""
        self._saved, self._saved_at, self._lost = self.present, self._at, 0
        self._merging = False

    @property
    def is_saved(self) -> bool:
        """Whether the present site is the one on disk, by whatever way it became so."""
        return self.present is self._saved or self.present == self._saved

    @property
    def changes_since_saved(self) -> int:
        """How many edits, made or undone, lie between the site on disk and the present one; 0 when they are equal."""
        return 0 if self.is_saved else max(1, self._lost + abs(self._at - self._saved_at))
