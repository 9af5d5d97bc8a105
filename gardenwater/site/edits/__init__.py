"""Edits: functions that give a new site and leave the old one as it is.

Each takes a site first and gives the changed site. What it changed is checked; an edit that cannot be made raises
EditError naming thing and field, with the mend, and nothing is changed. An edit that changes nothing gives the same
site back. `ids` is one id or several. Locked things are not moved, turned, reshaped or removed.
"""

from __future__ import annotations

from gardenwater.site.edits.place import RAISED_FIELD, move, raise_, reshape, turn
from gardenwater.site.edits.sheet import (
    add_log,
    clear_weather,
    rename_site,
    set_change,
    set_ground,
    set_monthly,
    set_survey,
    set_underlay,
    set_weather,
    settings,
    usual_line,
)
from gardenwater.site.edits.things import change, lock, put, remove, rename, reorder

__all__ = [
    "RAISED_FIELD",
    "add_log",
    "change",
    "clear_weather",
    "lock",
    "move",
    "put",
    "raise_",
    "remove",
    "rename",
    "rename_site",
    "reorder",
    "reshape",
    "set_change",
    "set_ground",
    "set_monthly",
    "set_survey",
    "set_underlay",
    "set_weather",
    "settings",
    "turn",
    "usual_line",
]
