"""Older site files brought up to today's schema, one step for each version.

A step takes the records of its version and returns those of the next: rename a column, give a new one its value, split
a table. Raise `SCHEMA_VERSION` in `tables`, enter the step under the version it starts from, and put a file of the old
version into tests/data with a test that opens it. Steps work on records, so that kept unsaved work is migrated as well.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

from gardenwater.errors import FileError
from gardenwater.files.tables import SCHEMA_VERSION, SITE, Records
from gardenwater.files.words import shown_name, unreadable

Step = Callable[[Records], Records]

STEPS: Mapping[int, Step] = {}
"""From each version to the next. Version 1 is the first."""


def version_of(records: Records, file: Path) -> int:
    """The schema version that the records were written in; FileError when they do not say it."""
    rows = records.get(SITE.name, [])
    version = rows[0].get("schema_version") if len(rows) == 1 else None
    if not isinstance(version, int) or version < 1:
        raise unreadable(file, "it does not say which version wrote it", "Take an older copy of the file.")
    return version


def migrated(
    records: Records, file: Path, *, steps: Mapping[int, Step] = STEPS, current: int = SCHEMA_VERSION
) -> Records:
    """The records in today's schema; FileError for those of a later version of the program."""
    version = version_of(records, file)
    if version > current:
        raise FileError(
            f'"{shown_name(file)}" was written by a later version (schema {version}; this one reads up to {current}). '
            "Nothing was changed.",
            mend="Open it with that version.",
        )
    for step in range(version, current):
        records = steps[step](records)
    return records
