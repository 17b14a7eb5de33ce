"""Unknown keys: what was meant, and the unit that is used here."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from studies.study_file.format.case_tables import CollapseTable
from studies.study_file.format.clamp_tables import ClampTable
from studies.study_file.format.study_tables import FatigueTable, StudyTable
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable
from studies.study_file.format.wording import UNITS, listed, unit_of

_FOREIGN = re.compile(
    r"_(cm|dm|m|um|in|inch|inches|ft|kn|dan|lbf|lb|lbs|kgf|ksi|psi|gpa|pa|bar|rad|nm|knm|oz|g_cm3)$"
)

_FOREIGN_NAMES = {
    "in": "inches",
    "inch": "inches",
    "kn": "kN",
    "nm": "N·m",
    "nmm": "N·mm",
    "knm": "kN·m",
    "gpa": "GPa",
    "pa": "Pa",
    "n": "N",
    "g_cm3": "g/cm3",
}

_OTHER_NAMES = {
    "diameter": "od_mm",
    "outer_diameter": "od_mm",
    "thickness": "wall_mm",
    "wall_thickness": "wall_mm",
    "position": "at_mm",
    "weight": "mass_g",
    "length": "tail_mm",
    "clr": "radius_mm",
    "alloy": "material",
    "e_modulus": "youngs_modulus_mpa",
    "yield_strength": "proof_stress_mpa",
    "yield_stress": "proof_stress_mpa",
    "uts": "ultimate_stress_mpa",
    "tensile_strength": "ultimate_stress_mpa",
    "type": "use",
}

RENAMED_KEYS: dict[type[BaseModel], dict[str, str]] = {
    StudyTable: {"lighten": "optimise"},
    ClampTable: {"grip": "model"},
    CollapseTable: {
        "to_mm": "displacement_mm",
        "to_deg": "rotation_deg",
        "hold": "sustained",
        "levels": "unload_at",
    },
    PlanTable: {"keep": "measures", "indices": "sobol_indices"},
    OptimiseTable: {
        "least_yield_factor": "min_yield_factor",
        "least_governing_factor": "min_governing_factor",
        "least_fatigue_factor": "min_fatigue_factor",
        "most_wall_used": "max_wall_utilisation",
        "most_deflection_mm": "max_deflection_mm",
    },
}
"""The keys of earlier study files, by table, with the names that they have now."""


SUPERSEDED_KEYS: dict[type[BaseModel], dict[str, tuple[str, str]]] = {
    FatigueTable: {
        "clamp_edge_factor": (
            "multiplied stress that has the edge's own concentration in it; give clamp_factor, "
            "[low, middle, high] over nominal stress at 1e5 cycles, or leave it out",
            "clamp_factor",
        )
    }
}
"""Keys of earlier study files whose meaning is gone: what to say, and the key in their place."""


@dataclass(frozen=True)
class UnknownKey:
    """A key that the schema does not know: the sentence, and the key meant if one is likely."""

    sentence: str
    meant: str | None = None


def fields_of(table: type[BaseModel]) -> dict[str, FieldInfo]:
    """Return the fields of a table by the keys of the file."""
    return {info.alias or name: info for name, info in table.model_fields.items()}


def table_at(parts: tuple[str | int, ...]) -> type[BaseModel] | None:
    """Return the table that stands at a place of the study file, None where none does.

    A tag such as `<OwnCaseTable>` after a key chooses among its alternatives.
    """
    tables: list[type[BaseModel]] = [StudyTable]
    for part in (part for part in parts if isinstance(part, str)):
        if part.startswith("<"):
            tables = [table for table in tables if table.__name__ == part.strip("<>")]
        else:
            fields = [field for table in tables if (field := fields_of(table).get(part))]
            tables = list(_tables_in(fields[0].annotation)) if fields else []
    return tables[0] if tables else None


def unknown_key(key: str, table: type[BaseModel] | None) -> UnknownKey:
    """Return what to say about a key that `table` does not know."""
    known = list(fields_of(table)) if table else []
    if table and (earlier := _earlier_key(key, table)):
        return earlier
    meant = _same_stem(key, known)
    if meant:
        return UnknownKey(_unit_sentence(key, meant), meant)
    other = _OTHER_NAMES.get(_stem(key))
    if other in known:
        return UnknownKey(f"is no key of this table; write {other}", other)
    homes = list(_homes(StudyTable, ""))
    here = {where for one, where in homes if one is table}
    home = next((w for one, w in homes if key in fields_of(one) and w not in here), None)
    if home:
        return UnknownKey(f"is no key of this table; it belongs to {home}")
    near = get_close_matches(key, known, n=1)
    if near:
        return UnknownKey(f"is no key of this table; the nearest is {near[0]}", near[0])
    return UnknownKey(
        f"is no key of this table; it knows {listed(known)}" if known else "is unknown"
    )


def _homes(table: type[BaseModel], path: str) -> Iterator[tuple[type[BaseModel], str]]:
    """Yield a table and those in it, each with the words for where its keys stand."""
    yield table, f"[{path}]" if path else "the top of the file"
    for key, info in fields_of(table).items():
        inner = f"{path}.{key}" if path else key
        rows = tuple in {get_origin(one) for one in (info.annotation, *get_args(info.annotation))}
        for one in _tables_in(info.annotation):
            (_, where), *others = _homes(one, inner)
            # the rows of a list within a table are seldom written as tables of their own
            yield one, (inner if path else f"[{where}]") if rows else where
            yield from others


def _earlier_key(key: str, table: type[BaseModel]) -> UnknownKey | None:
    """Return what to say about a key of earlier study files."""
    if gone := SUPERSEDED_KEYS.get(table, {}).get(key):
        return UnknownKey(*gone)
    now = RENAMED_KEYS.get(table, {}).get(key)
    return UnknownKey(f"is now called {now}; rename the key", now) if now else None


def _tables_in(annotation: object) -> Iterator[type[BaseModel]]:
    """Yield the table types inside an annotation, outermost first."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    arguments: tuple[Any, ...] = get_args(annotation)
    for argument in arguments:
        yield from _tables_in(argument)


def _stem(key: str) -> str:
    """Return a key without the unit at its end, be it ours or a foreign one."""
    key = _FOREIGN.sub("", key.lower())
    suffix = next((s for s in UNITS if key.endswith(s)), "")
    return key.removesuffix(suffix)


def _same_stem(key: str, known: list[str]) -> str | None:
    return next((k for k in known if k != key and _stem(k) == _stem(key)), None)


def _unit_sentence(key: str, meant: str) -> str:
    unit = unit_of(meant)
    if not unit and _FOREIGN.search(key.lower()):
        return f"carries a unit, but {meant} has none; see `barwright schema study` for its values"
    if not unit:
        return f"is no key of this table; write {meant}, which has no unit"
    foreign = key.lower()[len(_stem(key)) :].lstrip("_")
    if foreign:
        foreign = _FOREIGN_NAMES.get(foreign, foreign)
        return f"is in {foreign}, but the unit here is {unit}; convert the value and write {meant}"
    return f"carries no unit; the unit here is {unit}, so write {meant}"
