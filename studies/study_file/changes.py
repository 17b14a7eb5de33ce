"""Changes of a study: a path names keys of its file, a change gives them other values.

A path is written as messages write it, `bar.stations[1].wall_mm`; `[1,2]` names several entries of
a list, `*` every one, and a case may be named by its id, `cases[my-case].loads[*].force_n[2]`.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from geometry.errors import InputError, Problem, refuse
from geometry.material import MATERIAL_IDS, Material, load_material
from loadcases.catalogue import case_ids, load_template
from studies.study_file.format.case_tables import case_kind
from studies.study_file.format.keys import fields_of, table_at, unknown_key
from studies.study_file.format.material_tables import material_kind
from studies.study_file.format.sentences import problems_of
from studies.study_file.format.study_tables import StudyTable
from studies.study_file.format.values import Acts
from studies.study_file.format.wording import key_path, listed, quoted, shown

Parts = tuple[str | int, ...]
Value = float | int | str

SIGNS: dict[Acts, str] = {"value": "=", "factor": "*=", "shift": "+="}
"""How the command line writes what a value does."""

EVERY = "*"
MATERIAL = ("bar", "material")
NEAREST = "is no key of this table; the nearest is"

_NUMBER = re.compile(r" *[0-9]{1,9} *")
_STEP = re.compile(r"\[([^\[\]]+)\]|(?:^|\.)([^.\[\]]+)")


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


def places(table: Mapping[str, Any], path: str) -> tuple[Parts, ...]:
    """Return the places in a study's table that a path names, at least one.

    Raises:
        InputError: The path is none, or names no key that a study knows.
    """
    parts = _parsed(path)
    found = list(_found(table, parts, ()))
    known = [place for place, problem in found if problem is None]
    if known:
        # an entry named twice is changed once
        return tuple(dict.fromkeys(known))
    problems = [problem for _, problem in found if problem] or ["names nothing; the list is empty"]
    # of several entries the one that holds the key that was meant says most
    raise refuse(path, next((one for one in problems if NEAREST in one), problems[0]))


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


def _parsed(path: str) -> tuple[str, ...]:
    """Return the steps of a path as written, the numbers of entries too."""
    if not path.isprintable():
        sentence = "holds a line break or a control character; write the path in one line"
        raise refuse(quoted(path), sentence)
    steps = list(_STEP.finditer(path))
    whole = "".join(step[0] for step in steps) == path
    if not whole or not steps:
        sentence = "is no path of a study file; write it like bar.stations[1].wall_mm"
        raise refuse(quoted(path), sentence)
    return tuple(step[1] or step[2] for step in steps)


def _found(held: Any, rest: tuple[str, ...], place: Parts) -> Iterator[tuple[Parts, str | None]]:
    """Yield every place that a path leads to, and what is wrong with it, None if nothing is."""
    if not rest:
        whole = isinstance(held, Mapping | list) and place != MATERIAL
        yield place, "names a whole table or list; go on to a key in it" if whole else None
        return
    step, *others = rest
    if isinstance(held, list | tuple):
        numbers = _entries(held, step, place)
        if isinstance(numbers, str):
            yield place, numbers
            return
        for number in numbers:
            yield from _found(held[number], tuple(others), (*place, number))
        return
    if held is None and step == EVERY:
        yield place, f"names nothing; the study has no {key_path(place)}"
        return
    if place == MATERIAL and isinstance(held, str):
        held = {"like": held}
    table = held if isinstance(held, Mapping) else {}
    problem = _unknown(held, table, step, place)
    if problem:
        yield (*place, step), problem
        return
    yield from _found(table.get(step), tuple(others), (*place, step))


def _entries(held: Sequence[Any], step: str, place: Parts) -> list[int] | str:
    """Return the numbers of the entries that a step names, or what is wrong with it."""
    if step == EVERY:
        return list(range(len(held)))
    names = [_name_of(entry) for entry in held]
    if step in names:
        return [names.index(step)]
    several = step.split(",")
    # a list has fewer entries than a number of ten digits; digits of other scripts are none
    if all(_NUMBER.fullmatch(one) and int(one) < len(held) for one in several):
        return [int(one) for one in several]
    what = f"{key_path(place)} holds {len(held)} entries, counted from 0"
    ids = [name for name in names if name]
    named = f", or named {listed(ids, 'or')}" if ids else ""
    return f"has no entry {quoted(step)}; {what}{named}"


def _name_of(entry: Any) -> str | None:
    name = entry.get("id", entry.get("use")) if isinstance(entry, Mapping) else None
    return name if isinstance(name, str) else None


def _unknown(held: Any, table: Mapping[str, Any], key: str, place: Parts) -> str | None:
    """Return what is wrong with a key of a table, None where the study knows it."""
    if key in table:
        return None
    if held is not None and not isinstance(held, Mapping):
        return f"leads into {key_path(place)}, which is no table; end the path there"
    model = table_at(_tagged(place, table))
    if model is None and held is None:
        return f"leads nowhere; there is no table {key_path(place)}"
    if key in (fields_of(model) if model else {}) or key in _parameters(table, place):
        return None
    near = get_close_matches(key, _parameters(table, place), n=1)
    return f"{NEAREST} {near[0]}" if near else unknown_key(key, model).sentence


def _tagged(place: Parts, table: Mapping[str, Any]) -> Parts:
    """Return the place of a table with the tag by which the schema tells alternatives apart."""
    if place == MATERIAL:
        return (*place, material_kind(table))
    return (*place, case_kind(table)) if place[:1] == ("cases",) and len(place) == 2 else place


def _parameters(table: Mapping[str, Any], place: Parts) -> Mapping[str, Any]:
    """Return the parameters of the catalogue case at a place, with their defaults."""
    use = table.get("use")
    if place[:1] != ("cases",) or len(place) != 2 or use not in case_ids():
        return {}
    return {p.name: p.default for p in load_template(str(use)).parameters}


def _catalogue_default(table: Mapping[str, Any], place: Parts) -> Any:
    """Return what a catalogue case or a material of the catalogue has at a place."""
    holder, key = _at(table, place[:-1]), str(place[-1])
    if place[:-1] == MATERIAL:
        id_ = holder.get("like") if isinstance(holder, Mapping) else holder
        return _constant(load_material(id_), key) if id_ in MATERIAL_IDS else None
    return _parameters(holder, place[:-1]).get(key) if isinstance(holder, Mapping) else None


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
    for step, after in pairwise(place):
        inner = holder[step] if isinstance(step, int) else holder.get(step)
        if inner is None or (isinstance(inner, str) and isinstance(after, str)):
            # a table left out begins here; a material by its id becomes one like it
            inner = {} if inner is None else {"like": inner}
            holder[step] = inner
        elif isinstance(inner, tuple):
            inner = holder[step] = list(inner)
        holder = inner
    holder[place[-1]] = value
