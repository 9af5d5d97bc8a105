"""What the card says, as plain values: a line, three figures, tables. No widgets, so that it is tested without."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Figure:
    """One of the three figures: a value to act on, and what it is."""

    value: str
    caption: str
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class TableRow:
    """One row; quiet ones (out of reach) stand back. thing: id to select when it is pressed, or empty."""

    cells: tuple[str, ...]
    thing: str = ""
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Table:
    """A small table; the first column is names, the others are numbers set to the right.

    gives_way: columns that are left out, in this order, on a card too narrow for all of them.
    """

    heads: tuple[str, ...]
    rows: tuple[TableRow, ...]
    gives_way: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Contents:
    """The card above its fields. needs: what a question lacks, in its own words, instead of all the rest.

    more: the engineers' numbers, name and value. sources: where the numbers come from, a sentence each.
    """

    icon: str = ""
    icon_role: str = "ink"
    title: str = ""
    place: str = ""
    about: str = ""
    figures: tuple[Figure, ...] = ()
    tables: tuple[Table, ...] = ()
    caution: str = ""
    needs: str = ""
    more: tuple[tuple[str, str], ...] = ()
    sources: tuple[str, ...] = ()
