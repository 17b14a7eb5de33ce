"""Keys of a study in the trade's words, for axes, tables and sentences.

What a key is stands in the schema or the catalogue; where it lies is told on the bar's ruler.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from loadcases.catalogue import case_ids, load_template
from studies.study_file.format.keys import fields_of, table_at
from studies.study_file.format.values import Acts
from studies.study_file.format.wording import listed, unit_of
from studies.study_file.key_places import (
    EVERY,
    Parts,
    entry_names,
    name_of,
    places,
    steps_of,
    tagged,
)

NOMINAL = "x nominal"
"""Unit of a factor on what the study says."""

SHORT = {
    "material": "material",
    "roll_deg": "roll in the clamp",
    "blend_mm": "blend length at stations",
    "points_mm": "centre line",
    "bend_radii_mm": "bend radius",
    "ovality_percent": "ovality in bends",
    "torque_nm": "bolt torque",
    "nut_factor": "nut factor",
    "scatter": "preload scatter",
    "friction": "friction of clamp on tube",
    "normal_n_per_mm3": "clamp stiffness, normal",
    "tangential_n_per_mm3": "clamp stiffness, tangential",
    "level": "mesh level",
    "force_n": "force",
    "moment_nmm": "moment",
    "clamp_factor": "fatigue clamp factor",
    "surface_factor": "fatigue surface factor",
    "reliability_factor": "fatigue reliability factor",
}
"""Where the schema has a sentence, and a name is enough."""

ENTRIES = {
    "force_n": ("x", "y", "z"),
    "moment_nmm": ("x", "y", "z"),
    "clamp_factor": ("low", "middle", "high"),
    "surface_factor": ("low", "middle", "high"),
}
"""Names of the entries of lists of a fixed length."""


def words_of(table: Mapping[str, Any], path: str, acts: Acts = "value") -> str:
    """Return what a path names, where, and its unit, such as `wall thickness at 48 mm, mm`.

    Args:
        table: What the study file holds.
        path: As written.
        acts: Whether values replace, multiply or are added to what is written.

    Raises:
        InputError: The path names no key.
    """
    found = places(table, path)
    where = [_where(table, found, number, step) for number, step in enumerate(steps_of(path))]
    name = _what(table, found[0]) + "".join(where)
    unit = {"value": unit_of(_key(found[0])), "factor": NOMINAL, "shift": ""}[acts]
    if acts == "shift":
        unit = f"{unit_of(_key(found[0]))} added".strip()
    return f"{name}, {unit}" if unit else name


def _key(place: Parts) -> str:
    """Return the last key of a place; numbers of entries may follow it."""
    return next(str(part) for part in reversed(place) if isinstance(part, str))


def _what(table: Mapping[str, Any], place: Parts) -> str:
    key = _key(place)
    if key == "friction" and place[0] == "cases":
        return "friction at supports"
    if key in SHORT:
        return SHORT[key]
    home = place[: len(place) - 1 - list(reversed(place)).index(key)]
    holder = _held(table, home)
    if (use := holder.get("use") if isinstance(holder, Mapping) else None) in case_ids():
        meanings = {one.name: one.meaning for one in load_template(str(use)).parameters}
        if key in meanings:
            return meanings[key]
    model = table_at(tagged(home, holder if isinstance(holder, Mapping) else {}))
    field = fields_of(model).get(key) if model else None
    words = (field.description if field else None) or key
    return words.partition(":")[0].partition(";")[0].partition(",")[0]


def _where(table: Mapping[str, Any], found: Sequence[Parts], number: int, step: str) -> str:
    """Return where a step of a path leads to, nothing where it says nothing or names all."""
    before, parts = found[0][:number], list(dict.fromkeys(place[number] for place in found))
    if not isinstance(parts[0], int):
        home = number == 1 and before == ("bar",) and parts[0] in ("right", "left")
        bolts = before == ("clamp",) and parts[0] == "bolts"
        return f", {parts[0]} half" if home else ", clamp" if bolts else ""
    entries = _entries(table, before)
    if step == EVERY or (before[-1] in ("stations", "cases") and len(entries) < 2):
        return ""
    numbers = [part for part in parts if isinstance(part, int)]
    if before[-1] == "stations":
        return f" at {_stations([entries[n] for n in numbers])}"
    named = entry_names(entries, str(before[-1]), _held(table, before[:-1]))
    texts = [named[n] if n < len(named) else None for n in numbers]
    each = [text or _entry(before, n) for text, n in zip(texts, numbers, strict=True)]
    return f"{_joint(before)}{listed(each)}"


def _joint(before: Parts) -> str:
    """Return what parts an entry from what stands before: a coordinate belongs to its point."""
    return " " if isinstance(before[-1], int) else ", "


def _entries(table: Any, place: Parts) -> Sequence[Any]:
    held = _held(table, place)
    return held if isinstance(held, list | tuple) else ()


def _held(table: Any, place: Parts) -> Any:
    """Return what a study says at a place, an empty table where it says nothing."""
    for part in place:
        if isinstance(part, int):
            table = table[part]
        else:
            table = table.get(part, {}) if isinstance(table, Mapping) else {}
    return table


def _stations(stations: Sequence[Mapping[str, Any]]) -> str:
    """Return names of stations, or their places on the ruler: `bend and 220 mm`."""
    texts = [name_of(one) or f"{one.get('at_mm', 0):g}" for one in stations]
    named = name_of(stations[-1]) is not None
    return listed(texts) + ("" if named else " mm")


def _entry(before: Parts, number: int) -> str:
    """Return what an entry without a name of its own is called."""
    key = before[-1]
    if isinstance(key, int):
        return "xyz"[number] if number < 3 else str(number + 1)
    if key in ENTRIES:
        return ENTRIES[key][number]
    if key == "points_mm":
        return f"corner {number}"
    if key == "bend_radii_mm":
        return f"corner {number + 1}"
    return f"{key.removesuffix('s')} {number + 1}"
