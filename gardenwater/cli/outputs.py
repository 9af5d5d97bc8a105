"""What an assessment writes into a folder: the names of its files, and whether those that stand there are its own."""

from __future__ import annotations

import json
from pathlib import Path

RECORD = "assessment.json"

ABOUT = {
    RECORD: "every number, and every finding",
    "water-reach.png": "the plan with the minutes that a can takes",
    "water-reach.tif": "the same as a raster, with spare head, distance, flow, reason and tank",
    "places.png": "the plan with where a new tank could stand, and the best spots",
    "places.tif": "the same as a raster: stand, share of the beds' area, feeder, feed, and why not",
    "overflow.png": "the plan with where spilled water goes",
    "overflow.geojson": "routes and pools",
    "lasting.png": "the plan on the first dry day of the driest year, or on that of its lowest store",
    "year.png": "that year: rain, store and need, day by day",
    "balance.csv": "every day of all years: rain, tanks, links, pipes and beds",
    "mud.png": "the plan with the ground that is wet underfoot",
    "mud.tif": "the same as a raster, with its reasons and the wetness index",
    "mends.geojson": "mends of the gravest troubles, with what remains",
}
"""What may be written, and what it is; the record first."""


SHEETS = {
    "sheet-ground.pdf": "the sheet of Ground, to print",
    "sheet-catch.pdf": "the sheet of Catch",
    "sheet-reach.pdf": "the sheet of Reach",
    "sheet-overflow.pdf": "the sheet of Overflow",
    "sheet-lasting.pdf": "the sheet of Lasting",
}
"""What is written besides when sheets to print are asked for."""


def listed(names: tuple[str, ...], indent: str) -> str:
    """The files of these names with what each is, one in a line."""
    return "\n".join(f"{indent}{name:20}{(ABOUT | SHEETS)[name]}" for name in names)


def strangers_in(folder: Path) -> tuple[str, ...]:
    """The files in a folder that an assessment would write over and that are not of an earlier one."""
    there = tuple(name for name in (*ABOUT, *SHEETS) if (folder / name).exists())
    return () if holds_an_assessment(folder) else there


def holds_an_assessment(folder: Path) -> bool:
    """Whether the record of an assessment stands in a folder."""
    try:
        content = json.loads((folder / RECORD).read_text("utf-8"))
    except (OSError, ValueError):
        return False
    return isinstance(content, dict) and str(content.get("made_by", "")).startswith("gardenwater")
