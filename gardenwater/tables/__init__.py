"""Rows of data with their sources, loaded from resources/."""

from __future__ import annotations

from gardenwater.tables.load import TABLES, Table, read_table, table
from gardenwater.tables.paths import resource, sample_site
from gardenwater.tables.rows import (
    Cover,
    Crop,
    LineBore,
    LineEnd,
    LineFitting,
    LineWall,
    Row,
    Shelter,
    Soil,
    Surface,
    TankSize,
)

__all__ = [
    "TABLES",
    "Cover",
    "Crop",
    "LineBore",
    "LineEnd",
    "LineFitting",
    "LineWall",
    "Row",
    "Shelter",
    "Soil",
    "Surface",
    "Table",
    "TankSize",
    "read_table",
    "resource",
    "sample_site",
    "table",
]
