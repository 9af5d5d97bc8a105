"""What gestures add to the edits of the site."""

from __future__ import annotations

from collections.abc import Iterable

from gardenwater.site import clipboard, edits
from gardenwater.site.model import Site


def doubled(site: Site, ids: Iterable[str], dx_m: float, dy_m: float) -> Site:
    """The site with copies of these things, put aside by so much."""
    twice = clipboard.paste(site, clipboard.copy(site, tuple(ids)), None)
    return edits.move(twice, new_ids(site, twice), dx_m, dy_m)


def new_ids(before: Site, after: Site) -> tuple[str, ...]:
    """Ids of the things that `after` has and `before` has not."""
    return tuple(thing.id for thing in after if thing.id not in before)
