"""Whether a thing, the settings, or a whole site can be taken; errors name thing and field, and the mend.

What is checked is what cannot be drawn or computed with. What is unwise, out of reach or against common practice is
a finding, never an error.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from gardenwater.errors import EditError, InputError
from gardenwater.site.climate import change_faults, monthly_faults
from gardenwater.site.fault import Fault
from gardenwater.site.fields import FieldSpec, flags, references, specs
from gardenwater.site.listing import items_of
from gardenwater.site.model import Contour, Settings, Sight, Site, Survey
from gardenwater.site.names import called, kinds_of, word_of
from gardenwater.site.rules import rule_faults
from gardenwater.site.shapes import shape_fault
from gardenwater.site.things import KINDS, LevelPeg, Thing
from gardenwater.tables import table
from gardenwater.units import Quantity, UnitSystem, exact_text, range_text

LONGEST_NAME = 200
LONGEST_NOTE = 20_000
_YES_OR_NO = "Choose yes or no."
_LISTED = 12  # choices that are named in a mend
_FURTHEST_LEVEL_M = 9000.0
_LONGEST_STAFF_M = 10.0


def _is_number(value: Any) -> bool:
    """Whether a value is a finite number; NaN, infinity and yes or no are none."""
    try:
        return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)
    except OverflowError:  # a whole number of more than 308 digits
        return False


def _number_fault(value: Any, spec: FieldSpec, quantity: Quantity, system: UnitSystem) -> Fault | None:
    if value is None and spec.optional:
        return None
    known = _is_number(value)
    if known and spec.least <= value <= spec.most:
        return None
    limits = range_text(spec.least, spec.most, quantity, system)
    mend = f"Give {limits}, or leave it empty." if spec.optional else f"Give {limits}."
    if not known:
        return Fault(spec.label, f"{spec.label} is no number.", mend)
    return Fault(spec.label, f"{spec.label} is {exact_text(value, quantity, system)}.", mend)


def _choice_fault(value: Any, spec: FieldSpec) -> Fault | None:
    if spec.options is not None:
        if isinstance(value, spec.options):
            return None
        listed = ", ".join(f'"{option}"' for option in spec.options)
        return Fault(spec.label, f'{spec.label} is "{value}".', f"Choose one of: {listed}.")
    if isinstance(value, str) and value in table(spec.table):
        return None
    keys = [f'"{row.key}"' for row in table(spec.table)]
    more = f" and {len(keys) - _LISTED} more" if len(keys) > _LISTED else ""
    mend = f"Choose one of: {', '.join(keys[:_LISTED])}{more}."
    return Fault(spec.label, f'{spec.label} is "{value}", which is not in its table.', mend)


def _listed_fault(value: Any, spec: FieldSpec, system: UnitSystem) -> Fault | None:
    fault = words_fault(value, spec.label)
    if fault is not None:
        return fault
    try:
        items = items_of(value)
    except InputError as error:
        return Fault(spec.label, error.what, error.mend)
    assert spec.quantity_each is not None
    for key, number in items:
        if key not in table(spec.listed):
            keys = ", ".join(f'"{row.key}"' for row in table(spec.listed).rows[:_LISTED])
            return Fault(spec.label, f'"{key}" is not in its table.', f"Choose among: {keys}.")
        fault = _number_fault(number, spec, spec.quantity_each, system)
        if fault is not None:
            return fault
    return None


def words_fault(value: Any, label: str, longest: int = LONGEST_NAME, *, lines: bool = False) -> Fault | None:
    """What keeps `value` from being words that can be shown and saved; `lines`: it may have several lines."""
    if not isinstance(value, str):
        return Fault(label, f"{label} is not words.", "Type words, or leave it empty.")
    if len(value) > longest:
        return Fault(label, f"{label} has {len(value)} characters.", f"Give at most {longest}.")
    shown = value.replace("\n", " ").replace("\t", " ") if lines else value
    if not all(sign.isprintable() or sign.isspace() for sign in shown) or (not lines and len(value.splitlines()) > 1):
        return Fault(label, f"{label} holds signs that cannot be shown.", "Type it again, on one line.")
    return None


def _field_fault(value: Any, spec: FieldSpec, system: UnitSystem, *, is_flag: bool) -> Fault | None:
    if spec.quantity is not None:
        return _number_fault(value, spec, spec.quantity, system)
    if spec.listed:
        return _listed_fault(value, spec, system)
    if spec.table or spec.options is not None:
        return _choice_fault(value, spec)
    if is_flag:
        if isinstance(value, bool):
            return None
        return Fault(spec.label, f"{spec.label} is neither yes nor no.", _YES_OR_NO)
    longest = LONGEST_NOTE if spec.label == "Note" else LONGEST_NAME
    return words_fault(value, spec.label, longest, lines=spec.label == "Note")


def _field_faults(record: Any, system: UnitSystem) -> Iterator[Fault]:
    kind = type(record)
    for name, spec in specs(kind).items():
        fault = _field_fault(getattr(record, name), spec, system, is_flag=name in flags(kind))
        if fault is not None:
            yield fault


def _id_faults(thing_id: Any) -> Iterator[Fault]:
    words = thing_id if isinstance(thing_id, str) else ""
    if not words.isprintable() or not 0 < len(words) <= LONGEST_NAME or any(map(str.isspace, words)):
        yield Fault("Id", "Its id cannot be used.", "Give letters, digits and dashes, without spaces.")


def _thing_faults(thing: Thing, system: UnitSystem) -> Iterator[Fault]:
    """Faults of one thing; those between fields only where each field is right by itself."""
    alone = [
        *_id_faults(thing.id),
        *_field_faults(thing, system),
        *([] if isinstance(thing.locked, bool) else [Fault("Locked", "Locked is neither yes nor no.", _YES_OR_NO)]),
        *filter(None, [shape_fault(thing.shape, thing.geometry)]),
    ]
    yield from alone or rule_faults(thing, system)


def check(thing: Thing, *, system: UnitSystem = UnitSystem.METRIC) -> None:
    """Whether a thing, by itself, can stand on a site: ranges, choices, shape, fields that belong together.

    system: the units of the error's words. Raises EditError naming thing and field, and the mend.
    """
    if type(thing) not in KINDS:
        raise EditError(f"{type(thing).__name__} is no kind of thing.", mend="Take one of site.things.KINDS.")
    for fault in _thing_faults(thing, system):
        raise fault.error(called(thing))


def check_settings(settings: Settings) -> None:
    """Whether the settings can be taken, the usual line's too. Raises EditError naming the field, and the mend."""
    system = settings.units if isinstance(settings.units, UnitSystem) else UnitSystem.METRIC
    for owner, record in (("Settings", settings), ("Usual line", settings.line)):
        for fault in _field_faults(record, system):
            raise fault.error(owner)


def reference_errors(site: Site, thing: Thing) -> Iterator[EditError]:
    """Errors of the references of a thing: to nothing, or to a thing of another kind."""
    for name, spec in references(type(thing)).items():
        target_id = getattr(thing, name)
        target = site.get(target_id)
        if not target_id or (target is not None and target.kind in kinds_of(spec.refers)):
            continue
        word = word_of(spec.refers)
        what = f"There is no {word} here." if target is None else f"{called(target)} is no {word}."
        mend = f"Choose a {word}, or leave it empty."
        yield EditError(what, where=f"{called(thing)}, {spec.label}", mend=mend)


def _contour_fault(contour: Contour) -> Fault | None:
    if not _is_number(contour.level_m) or abs(contour.level_m) > _FURTHEST_LEVEL_M:
        return Fault("Level", "Its level is no number of metres.", "Give the level of the whole contour.")
    return shape_fault(contour.shape, "LineString")


def _sight_fault(sight: Sight, site: Site) -> Fault | None:
    readings = (("Back sight", sight.back_m), ("Sight between", sight.between_m), ("Fore sight", sight.fore_m))
    for label, reading in readings:
        if reading is not None and (not _is_number(reading) or abs(reading) > _LONGEST_STAFF_M):
            return Fault(label, "It is no reading of a staff.", "Give metres, at most 10.")
    level = sight.known_level_m
    if level is not None and (not _is_number(level) or abs(level) > _FURTHEST_LEVEL_M):
        return Fault("Known level", "It is no level.", "Give metres above the datum.")
    if sight.peg and not isinstance(site.get(sight.peg), LevelPeg):
        return Fault("Peg", "There is no such level peg here.", "Choose a level peg, or leave it empty.")
    return words_fault(sight.spot, "Spot")


def survey_errors(site: Site, survey: Survey) -> Iterator[EditError]:
    """Errors of what was measured or traced, counted from one in the words."""
    for number, contour in enumerate(survey.contours, 1):
        fault = _contour_fault(contour)
        if fault is not None:
            yield fault.error(f"Contour {number}")
    for number, sight in enumerate(survey.level_book, 1):
        fault = _sight_fault(sight, site)
        if fault is not None:
            yield fault.error(f"Level book, row {number}")


def climate_errors(site: Site) -> Iterator[EditError]:
    """Errors of the monthly figures and of the change of climate."""
    system = site.settings.units
    figures: tuple[tuple[str, Any, Any], ...] = (
        ("Monthly figures", site.monthly, monthly_faults),
        ("Changed climate", site.change, change_faults),
    )
    for owner, given, faults in figures:
        if given is None:
            continue
        for fault in (*faults(given, system), words_fault(given.source, "Source")):
            if fault is not None:
                yield fault.error(owner)


def _raised(call: Any, *args: Any, **kwargs: Any) -> Iterator[EditError]:
    try:
        call(*args, **kwargs)
    except EditError as error:
        yield error


def errors_of(site: Site) -> Iterator[EditError]:
    """Every error of a site, one for each thing at most, then those of references, settings and survey."""
    for label, words, longest in (("Name", site.name, LONGEST_NAME), ("About", site.about, LONGEST_NOTE)):
        fault = words_fault(words, label, longest, lines=label == "About")
        if fault is not None:
            yield fault.error("Site")
    yield from _raised(check_settings, site.settings)
    for thing in site:
        yield from _raised(check, thing, system=site.settings.units)
    for thing in site:
        yield from reference_errors(site, thing)
    yield from survey_errors(site, site.survey)
    yield from climate_errors(site)


def check_site(site: Site) -> None:
    """Whether a whole site can be taken. Raises the first of `errors_of`; ids are unique by the site's own making."""
    for error in errors_of(site):
        raise error
