"""A study with some of its values changed: a study like any other, with a file of its own."""

from collections.abc import Mapping, Sequence
from hashlib import sha256
from typing import Any

import tomli_w

from geometry.errors import InputError
from studies.study_file.changes import Change, changed
from studies.study_file.errors import StudyError
from studies.study_file.settings import changes_in
from studies.study_file.study import Study, study_from_table

PLANS = ("sweep", "plan", "optimise")
"""Tables that say what varies, and so are no part of a single design."""


def variant_of(study: Study, changes: Sequence[Change]) -> Study:
    """Return a study with changes made; its text is the file that would describe it.

    Raises:
        StudyError: A path names no key, or the changed study is not possible.
    """
    try:
        table = design_table(study.table, changes)
    except InputError as error:
        raise StudyError(study.path, *error.problems) from None
    made = "".join(f"# {change}\n" for change in changes)
    text = f"# {study.path.name} with\n{made}\n{tomli_w.dumps(table)}"
    return study_from_table(table, study.path, sha256(text.encode()).hexdigest(), text)


def with_settings(study: Study, settings: Sequence[str]) -> Study:
    """Return the study with values set as at the command line, PATH=VALUE; itself without any.

    Raises:
        StudyError, InputError: A setting that is none, or a study that is not possible with it.
    """
    if not settings:
        return study
    return variant_of(study, changes_in(settings))


def design_table(table: Mapping[str, Any], changes: Sequence[Change]) -> dict[str, Any]:
    """Return the table of a single design of a study.

    Raises:
        InputError: A path names no key, or a factor or addition meets no number.
    """
    return {key: value for key, value in changed(table, changes).items() if key not in PLANS}
