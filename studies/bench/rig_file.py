"""A press described in a file, so that it is described once: keys as the options of the command.

bore_mm = 40                 # or area_mm2
force_unit = "bar"
gauge_class_percent = 1.0
full_scale = 60
resolution = 0.5
travel_resolution_mm = 0.01
friction_percent = [1, 3]
block = "block.csv"          # beside this file
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from geometry.errors import InputError, Problem, refuse
from geometry.limits import unknown_name
from studies.bench.rig import Rig, bore_area_mm2
from studies.study_file.errors import StudyError
from studies.study_file.format.reading import read_table
from studies.study_file.format.wording import shown

TEXTS = ("force_column", "travel_column", "force_unit", "travel_unit", "block")
PAIRS = ("friction_percent",)
KEYS = (*(one.name for one in fields(Rig)), "bore_mm", "block")


@dataclass(frozen=True)
class RigFile:
    """A press in a file.

    Attributes:
        given: What it says, by keys of `Rig`, and `bore_mm`.
        block: Record of a rigid block, None where none is named.
    """

    given: Mapping[str, Any]
    block: Path | None


NOTHING = RigFile({}, None)


def read_rig_file(path: Path) -> RigFile:
    """Return the press in a file.

    Raises:
        StudyError: It cannot be read, or every key that is not known or of another kind.
    """
    if not path.exists():
        raise StudyError(path, Problem("", "does not exist; check the name of the press's file"))
    table = read_table(path).table
    if problems := [found for key, value in table.items() if (found := _problem(key, value))]:
        raise StudyError(path, *problems)
    block = table.pop("block", None)
    given = {key: tuple(value) if key in PAIRS else value for key, value in table.items()}
    try:
        rig_of(given)
    except InputError as error:
        raise StudyError(path, *error.problems) from None
    return RigFile(given, path.parent / str(block) if block else None)


def rig_of(given: Mapping[str, Any], file: RigFile = NOTHING) -> Rig:
    """Return the press that options describe, each before what a file says.

    Args:
        given: By keys of `Rig`, and `bore_mm`; None for what is not given.
        file: The press in a file.

    Raises:
        InputError: Bore and area are both given, or a number that no press has.
    """
    named = {key: value for key, value in given.items() if value is not None}
    if {"bore_mm", "area_mm2"} <= set(named):
        raise refuse("bore_mm", "does not go with an area; give one of them")
    size = {"bore_mm", "area_mm2"} if {"bore_mm", "area_mm2"} & set(named) else set[str]()
    whole = {**{key: one for key, one in file.given.items() if key not in size}, **named}
    bore_mm = whole.pop("bore_mm", None)
    if bore_mm is not None:
        whole["area_mm2"] = bore_area_mm2(bore_mm)
    return Rig(**whole)


def _problem(key: str, value: object) -> Problem | None:
    if key not in KEYS:
        return unknown_name(key, "key of a press", key, KEYS)
    if key in TEXTS:
        return None if isinstance(value, str) else _wrong(key, value, "a text in quotes")
    if key in PAIRS:
        pair = isinstance(value, list) and len(value) == 2 and all(map(_is_number, value))
        return None if pair else _wrong(key, value, "least and largest, as [0, 5]")
    return None if _is_number(value) else _wrong(key, value, "a number without quotes")


def _wrong(key: str, value: object, wanted: str) -> Problem:
    return Problem(key, f"is {shown(value)}; give {wanted}")


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
