"""Finding a thing by its name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QWidget

from gardenwater.desktop.desk import Desk
from gardenwater.desktop.dialogs.pick_word import PickSheet
from gardenwater.desktop.look import Look
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.site.things import Bed, Tank, Thing

if TYPE_CHECKING:
    from gardenwater.desktop.plan.widget import PlanWidget


def nothing_called(site: Site, words: str) -> str:
    """What is said when no thing is called so."""
    return f'No thing is called "{words}". Beds: {len(site.of(Bed))}, tanks: {len(site.of(Tank))}.'


def found(site: Site, words: str) -> list[tuple[str, str]]:
    """Things whose name or kind holds the words: what is shown and the id; names that begin with them first."""
    wanted = words.strip().casefold()
    hits: list[tuple[int, str, str, str]] = []
    for thing in site:
        name = name_of(site, thing.id)
        rank = _rank(name, thing, wanted)
        if rank is not None:
            kind = "" if thing.word.casefold() in name.casefold() else f", {thing.word.lower()}"
            hits.append((rank, name, thing.id, f"{name}{kind}"))
    return [(shown, thing_id) for _, _, thing_id, shown in sorted(hits)]


def _rank(name: str, thing: Thing, wanted: str) -> int | None:
    folded = name.casefold()
    if folded.startswith(wanted):
        return 0
    if wanted in folded:
        return 1
    return 2 if wanted in thing.word.casefold() else None


class FindSheet(PickSheet):
    """Type a name; Enter selects the thing and shows it."""

    def __init__(self, desk: Desk, plan: PlanWidget, look: Look, parent: QWidget) -> None:
        super().__init__("Find", "Name of a thing", look, parent)
        self._desk, self._plan = desk, plan
        self.look_up("")

    def offers(self, words: str) -> list[tuple[str, str]]:
        """Things called so."""
        return found(self._desk.site, words)

    def no_offer(self, words: str) -> str:
        """No thing is called so."""
        return nothing_called(self._desk.site, words)

    def take(self, key: str) -> None:
        """Select it and show it."""
        self._desk.select((key,))
        thing = self._desk.site.get(key)
        if thing is not None:
            self._plan.show_spot((thing.shape.centroid.x, thing.shape.centroid.y))
        self._plan.setFocus()
