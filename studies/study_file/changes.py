"""Changes of a study: a path names keys of its file, a change gives them other values."""

from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from geometry.errors import InputError, Problem, refuse
from geometry.material import MATERIAL_IDS, Material, load_material
from studies.study_file.format.sentences import problems_of
from studies.study_file.format.study_tables import StudyTable
from studies.study_file.format.values import Acts
from studies.study_file.format.wording import key_path, shown, unit_of
from studies.study_file.key_places import (
    MATERIAL,
    Parts,
    default_list,
    parameters_at,
    places,
)

Value = float | int | str

SIGNS: dict[Acts, str] = {"value": "=", "factor": "*=", "shift": "+="}
"""How the command line writes what a value does."""


@dataclass(frozen=True)
class Change:
    """Another value for the keys that a path names.

    Attributes:
        path: As written.
        acts_as: Whether the value replaces, multiplies or is added to what is written.
        value: The value, factor or addition.
    """

    path: str
    acts_as: Acts
    value: Value

    def __str__(self) -> str:
        """Return the change as the command line takes it."""
        return f"{self.path}{SIGNS[self.acts_as]}{self.value}"


def written_at(table: Mapping[str, Any], place: Parts) -> Value | None:
    """Return what a study says at a place, its default where it says nothing, None for neither."""
    held = _at(table, place)
    if held is not None:
        return held if isinstance(held, int | float | str) else None
    default = _at(_with_defaults(table), place)
    if default is None:
        default = _catalogue_default(table, place)
    return default if isinstance(default, int | float | str) else None


def changed(table: Mapping[str, Any], changes: Sequence[Change]) -> dict[str, Any]:
    """Return a study's table with changes made, one after the other; the table stays as it is.

    Raises:
        InputError: A path names no key, or a factor or addition meets no number.
    """
    made: dict[str, Any] = deepcopy(dict(table))
    problems: list[Problem] = []
    for change in changes:
        try:
            for place in places(made, change.path):
                _set(made, place, _value(made, place, change))
        except InputError as error:
            problems += error.problems
    if problems:
        raise InputError(*dict.fromkeys(problems))
    return made


def merged(table: Mapping[str, Any], path: str) -> str:
    """Return a sentence where a value for a path takes the place of differing numbers, else ""."""
    found = [written_at(table, place) for place in places(table, path)]
    numbers = [value for value in found if isinstance(value, int | float)]
    if len(set(numbers)) < 2:
        return ""
    unit = f" {unit_of(path)}".rstrip()
    ends = f"{min(numbers):g} to {max(numbers):g}{unit}"
    sentence = f"{len(numbers)} values of {path}, {ends}, become one"
    return f"{sentence}; a factor (*=) keeps their ratios"


def number_at(table: Mapping[str, Any], place: Parts) -> float:
    """Return the number that a study says, or takes by default, at a place.

    Raises:
        InputError: There is no number.
    """
    held = written_at(table, place)
    if isinstance(held, bool) or not isinstance(held, int | float):
        what = "has no value" if held is None else f"is {shown(held)}"
        sentence = f"{what}, so nothing can be multiplied or added; give values instead"
        raise refuse(key_path(place), sentence)
    return held


def _value(table: Mapping[str, Any], place: Parts, change: Change) -> Value:
    if change.acts_as == "value":
        return change.value
    if isinstance(change.value, str):
        raise refuse(change.path, f"is to be changed by {shown(change.value)}; give a number")
    base = number_at(table, place)
    try:
        return base * change.value if change.acts_as == "factor" else base + change.value
    except OverflowError:
        sentence = "comes to a number of hundreds of digits; give a smaller factor or addition"
        raise refuse(key_path(place), sentence) from None


def _catalogue_default(table: Mapping[str, Any], place: Parts) -> Any:
    """Return what a catalogue case or a material of the catalogue has at a place."""
    holder, key = _at(table, place[:-1]), str(place[-1])
    if place[:-1] == MATERIAL:
        id_ = holder.get("like") if isinstance(holder, Mapping) else holder
        return _constant(load_material(id_), key) if id_ in MATERIAL_IDS else None
    return parameters_at(holder, place[:-1]).get(key) if isinstance(holder, Mapping) else None


def _constant(material: Material, key: str) -> float | None:
    if key == "ramberg_osgood_n":
        return material.hardening.tension_n if material.hardening else None
    found: float | None = getattr(material, key, None)
    return found


def _with_defaults(table: Mapping[str, Any]) -> dict[str, Any]:
    """Return the table with the schema's defaults.

    Raises:
        InputError: It is not valid, as a change made before left it so.
    """
    try:
        return StudyTable.model_validate(table).model_dump(by_alias=True, warnings=False)
    except ValidationError as error:
        raise InputError(*problems_of(error)) from None


def _at(table: Any, place: Parts) -> Any:
    for step in place:
        inside = isinstance(step, int) or isinstance(table, Mapping)
        try:
            table = table[step] if inside else None
        except (KeyError, IndexError, TypeError):
            return None
    return table


def _set(table: dict[str, Any], place: Parts, value: Value) -> None:
    holder: Any = table
    for number, (step, after) in enumerate(pairwise(place), start=1):
        inner = holder[step] if isinstance(step, int) else holder.get(step)
        inner = default_list(place[:number]) if inner is None else inner
        if inner is None or (isinstance(inner, str) and isinstance(after, str)):
            # a table left out begins here; a material by its id becomes one like it
            inner = {} if inner is None else {"like": inner}
        elif isinstance(inner, tuple):
            inner = list(inner)
        holder[step] = inner
        holder = inner
    holder[place[-1]] = value
