"""How a field of a thing is declared: one place says its label, unit, range and help.

The validation, the card of the window, the site file's columns and the command line all read these.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from gardenwater.units import Quantity


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """What a field holds and what it may be.

    quantity: what a number is (None for words, choices and flags); the value is held in the unit of its name.
    least, most: the range that is taken, ends included. caution_over: taken, but `caution` is said.
    table: name of a table of choices in resources/ whose row keys are taken.
    refers: the kind of thing whose id is taken ("taker": any of the kinds that take overflow).
    options: the enum whose members are taken. optional: None (or empty words) is taken.
    listed: name of a table of which several rows may be taken, each with a number of `quantity_each` in the range; held
    as words, see `site.listing`.
    group: under which fold of the card it stands.
    """

    label: str
    help: str = ""
    quantity: Quantity | None = None
    least: float = float("-inf")
    most: float = float("inf")
    caution_over: float | None = None
    caution: str = ""
    table: str = ""
    refers: str = ""
    options: type[StrEnum] | None = None
    listed: str = ""
    quantity_each: Quantity | None = None
    optional: bool = False
    group: str = ""


def _field(default: Any, spec: FieldSpec) -> Any:
    return dataclasses.field(default=default, metadata={"spec": spec})


def number(
    default: float | None,
    label: str,
    quantity: Quantity,
    least: float,
    most: float,
    group: str = "",
    help: str = "",
    *,
    caution_over: float | None = None,
    caution: str = "",
) -> Any:
    """A number with its range; `default=None` makes it optional (None: not given)."""
    return _field(
        default,
        FieldSpec(label, help, quantity, least, most, caution_over, caution, optional=default is None, group=group),
    )


def choice(default: str, label: str, table: str, group: str = "", help: str = "") -> Any:
    """A row of a table of choices, by its key."""
    return _field(default, FieldSpec(label, help, table=table, group=group))


def option(default: StrEnum, label: str, group: str = "", help: str = "") -> Any:
    """One member of an enum."""
    return _field(default, FieldSpec(label, help, options=type(default), group=group))


def refer(label: str, kind: str, group: str = "", help: str = "") -> Any:
    """The id of another thing; empty when there is none."""
    return _field("", FieldSpec(label, help, refers=kind, optional=True, group=group))


def words(label: str, group: str = "", help: str = "") -> Any:
    """Free words."""
    return _field("", FieldSpec(label, help, optional=True, group=group))


def listed(
    label: str, table: str, quantity_each: Quantity, least: float, most: float, group: str = "", help: str = ""
) -> Any:
    """Several rows of a table of choices, each with a number: how many there are, or how long it is."""
    spec = FieldSpec(
        label, help, least=least, most=most, listed=table, quantity_each=quantity_each, optional=True, group=group
    )
    return _field("", spec)


def flag(default: bool, label: str, group: str = "", help: str = "") -> Any:
    """Yes or no."""
    return _field(default, FieldSpec(label, help, group=group))


_SPECS: dict[type, Mapping[str, FieldSpec]] = {}
_REFERENCES: dict[type, Mapping[str, FieldSpec]] = {}
_FLAGS: dict[type, frozenset[str]] = {}
# Worked out once for each kind: an edit while dragging asks some hundred times a second.


def specs(kind: type[Any]) -> Mapping[str, FieldSpec]:
    """The declared fields of a kind of thing (or of Settings), in their order."""
    if kind not in _SPECS:
        declared = {f.name: f.metadata["spec"] for f in dataclasses.fields(kind) if "spec" in f.metadata}
        _SPECS[kind] = MappingProxyType(declared)
    return _SPECS[kind]


def references(kind: type[Any]) -> Mapping[str, FieldSpec]:
    """The fields of a kind of thing that hold the id of another thing."""
    if kind not in _REFERENCES:
        _REFERENCES[kind] = MappingProxyType({name: spec for name, spec in specs(kind).items() if spec.refers})
    return _REFERENCES[kind]


def flags(kind: type[Any]) -> frozenset[str]:
    """The fields of a kind of thing that are yes or no."""
    if kind not in _FLAGS:
        usual = {f.name: f.default for f in dataclasses.fields(kind)}
        _FLAGS[kind] = frozenset(name for name in specs(kind) if isinstance(usual[name], bool))
    return _FLAGS[kind]
