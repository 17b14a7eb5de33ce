"""What varies as the command line says it: `PATH=1.4,1.6`, `PATH=1.2:2.0:5`, `PATH*=0.9,1.1`."""

import re
from collections.abc import Mapping, Sequence
from typing import TypeVar

from pydantic import ValidationError

from geometry.errors import InputError, Problem, refuse
from studies.study_file.changes import SIGNS, Change, Value
from studies.study_file.format.sentences import problems_of
from studies.study_file.format.sweep_tables import SweepTable
from studies.study_file.format.table import Table
from studies.study_file.format.values import Acts
from studies.study_file.format.wording import quoted

Settled = TypeVar("Settled", bound=Table)

_ACTS: dict[str, Acts] = {sign: acts for acts, sign in SIGNS.items()}

_SETTING = re.compile(r"(?P<path>[^=]*?)(?P<sign>[*+]?=)(?P<values>.*)", re.DOTALL)
_RANGE = re.compile(r"(?P<from>[^:]+):(?P<to>[^:]+):(?P<count>[^:]+)")


def sweep_in(setting: str) -> SweepTable:
    """Return the sweep that a setting of the command line says.

    Raises:
        InputError: It is no setting, or its values are not possible.
    """
    path, acts, values = _split(setting)
    table: dict[str, object] = {"path": path, "acts_as": acts}
    ends = _RANGE.fullmatch(values)
    if ends:
        table["linspace"] = {key: value_in(text) for key, text in ends.groupdict().items()}
    else:
        table["values"] = tuple(value_in(text) for text in values.split(","))
    try:
        return SweepTable.model_validate(table)
    except ValidationError as error:
        raise InputError(*problems_of(error)).within(f"--set {path}") from None


def changes_in(settings: Sequence[str]) -> tuple[Change, ...]:
    """Return the changes of settings that give one value each.

    Raises:
        InputError: A setting is none, or gives several values.
    """
    found, problems = [], []
    for setting in settings:
        path, acts, values = _split(setting)
        if "," in values or _RANGE.fullmatch(values):
            sentence = f"gives several values, {values}; give one, or use `barwright sweep`"
            problems.append(Problem(f"--set {path}", sentence))
        found.append(Change(path, acts, value_in(values)))
    if problems:
        raise InputError(*problems)
    return tuple(found)


def settled(table: Settled, said: Mapping[str, object], where: str) -> Settled:
    """Return a table of the study with what the command line says over it; None says nothing.

    Raises:
        InputError: What the command line says is not possible.
    """
    given = {key: value for key, value in said.items() if value is not None}
    try:
        return type(table).model_validate({**table.model_dump(by_alias=True), **given})
    except ValidationError as error:
        raise InputError(*problems_of(error)).within(where) from None


def value_in(text: str) -> Value:
    """Return a number where a text is one, the text where it is none."""
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


def _split(setting: str) -> tuple[str, Acts, str]:
    found = _SETTING.fullmatch(setting.strip())
    if not found or not found["path"] or not found["values"]:
        sentence = f"is {quoted(setting)}; write PATH=VALUE,VALUE, PATH=FROM:TO:COUNT, or with *="
        raise refuse("--set", f"{sentence} for factors and += for additions")
    return found["path"].strip(), _ACTS[found["sign"]], found["values"].strip()
