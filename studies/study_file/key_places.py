"""Paths of a study's keys, and the places in its table that they name.

A path is written as messages write it, `bar.stations[1].wall_mm`; `[1,2]` names several entries of
a list, `*` every one, and a station by its name or a case by its id may be named too,
`bar.stations.tip.wall_mm`, `cases[my-case].loads[*].force_n[2]`; a bend is called by its name
wherever a half has it, `bar.right.bends.knee.angle_deg`, `bar.right.bend_radii_mm[knee]`.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic.fields import FieldInfo

from geometry.errors import refuse
from loadcases.catalogue import case_ids, load_template
from studies.study_file.format.case_tables import case_kind
from studies.study_file.format.keys import fields_of, table_at, unknown_key
from studies.study_file.format.material_tables import material_kind
from studies.study_file.format.wording import key_path, listed, quoted, toml

Parts = tuple[str | int, ...]

EVERY = "*"
MATERIAL = ("bar", "material")
NEAREST = "is no key of this table; the nearest is"

_NUMBER = re.compile(r"[0-9]{1,9}")
_STEP = re.compile(r"\[([^\[\]]+)\]|(?:^|\.)([^.\[\]]+)")


def places(table: Mapping[str, Any], path: str) -> tuple[Parts, ...]:
    """Return the places in a study's table that a path names, at least one.

    Raises:
        InputError: The path is none, or names no key that a study knows.
    """
    parts = steps_of(path)
    found = list(_found(table, parts, ()))
    known = [place for place, problem in found if problem is None]
    if known:
        # an entry named twice is changed once
        return tuple(dict.fromkeys(known))
    problems = [problem for _, problem in found if problem] or ["names nothing; the list is empty"]
    # of several entries the one that holds the key that was meant says most
    raise refuse(path, next((one for one in problems if NEAREST in one), problems[0]))


def steps_of(path: str) -> tuple[str, ...]:
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


def _found(
    held: Any, rest: tuple[str, ...], place: Parts, beside: Mapping[str, Any] | None = None
) -> Iterator[tuple[Parts, str | None]]:
    """Yield every place that a path leads to, and what is wrong with it, None if nothing is.

    `beside` is the table that what is held stands in: it may name the entries of a list.
    """
    if not rest:
        whole = isinstance(held, Mapping | list) and place != MATERIAL
        yield place, "names a whole table or list; go on to a key in it" if whole else None
        return
    step, *others = rest
    held = default_list(place) if held is None else held
    if isinstance(held, list | tuple):
        numbers = _entries(held, step, place, beside or {})
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
    yield from _found(table.get(step), tuple(others), (*place, step), table)


def _entries(
    held: Sequence[Any], step: str, place: Parts, beside: Mapping[str, Any]
) -> list[int] | str:
    """Return the numbers of the entries that a step names, or what is wrong with it."""
    if step == EVERY:
        return list(range(len(held)))
    names = entry_names(held, str(place[-1]), beside)
    found = [_entry(one.strip(), names) for one in step.split(",")]
    if None not in found:
        return [number for number in found if number is not None]
    what = f"{key_path(place)} holds {len(held)} entries, counted from 0"
    ids = [name for name in names if name]
    named = f", or named {listed(ids, 'or')}" if ids else ""
    return f"has no entry {quoted(step)}; {what}{named}"


def _entry(step: str, names: Sequence[str | None]) -> int | None:
    """Return the number of the entry of that name or number, None where there is none."""
    if step in names:
        return names.index(step)
    # a list has fewer entries than a number of ten digits; digits of other scripts are none
    return int(step) if _NUMBER.fullmatch(step) and int(step) < len(names) else None


def name_of(entry: Any) -> str | None:
    """Return the name by which a path can call an entry of a list, None where it has none."""
    if not isinstance(entry, Mapping):
        return None
    name = next((entry[key] for key in ("id", "use", "name") if key in entry), None)
    return name if isinstance(name, str) else None


def entry_names(held: Sequence[Any], key: str, beside: Any) -> list[str | None]:
    """Return the name of each entry of a list; corners of a half are called by their bends.

    Args:
        held: The list.
        key: Its key.
        beside: What it stands in, a table or another list.
    """
    bends = beside.get("bend_names") if isinstance(beside, Mapping) else None
    before = {"bend_radii_mm": 0, "bends": 0, "points_mm": 1}.get(key)
    if before is None or not isinstance(bends, list):
        return [name_of(entry) for entry in held]
    named = [None] * before + [one if isinstance(one, str) else None for one in bends]
    return (named + [None] * len(held))[: len(held)]


def default_list(place: Parts) -> list[Any] | None:
    """Return the list that counts where a study leaves one out, None where there is none."""
    field = _field(place)
    default = field.default if field else None
    return list(default) if isinstance(default, tuple) and default else None


def _field(place: Parts) -> FieldInfo | None:
    """Return what the schema says of a key, None where it knows none there."""
    table = table_at(place[:-1]) if place else None
    return fields_of(table).get(str(place[-1])) if table else None


def _unknown(held: Any, table: Mapping[str, Any], key: str, place: Parts) -> str | None:
    """Return what is wrong with a key of a table, None where the study knows it."""
    if key in table:
        return None
    if held is not None and not isinstance(held, Mapping):
        return f"leads into {key_path(place)}, which is no table; end the path there"
    model = table_at(tagged(place, table))
    if model is None and held is None:
        return _leads_nowhere(place)
    if key in (fields_of(model) if model else {}) or key in parameters_at(table, place):
        return None
    near = get_close_matches(key, parameters_at(table, place), n=1)
    return f"{NEAREST} {near[0]}" if near else unknown_key(key, model).sentence


def _leads_nowhere(place: Parts) -> str:
    field = _field(place)
    example = field.examples[0] if field and field.examples else None
    if not isinstance(example, list):
        return f"leads nowhere; there is no table {key_path(place)}"
    written = f"{key_path(place)} = {toml(example)}"
    return f"changes an entry of a list that the study leaves out; write it there, {written}"


def tagged(place: Parts, table: Mapping[str, Any]) -> Parts:
    """Return the place of a table with the tag by which the schema tells alternatives apart."""
    if place == MATERIAL:
        return (*place, material_kind(table))
    return (*place, case_kind(table)) if place[:1] == ("cases",) and len(place) == 2 else place


def parameters_at(table: Mapping[str, Any], place: Parts) -> Mapping[str, Any]:
    """Return the parameters of the catalogue case at a place, with their defaults."""
    use = table.get("use")
    if place[:1] != ("cases",) or len(place) != 2 or use not in case_ids():
        return {}
    return {p.name: p.default for p in load_template(str(use)).parameters}
