"""A study with some of its values changed: a study like any other, with a file of its own."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from hashlib import sha256
from typing import Any

import tomli_w

from geometry.errors import InputError
from studies.study_file.changes import Change, changed, merged
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
    made = "\n".join(("with", *map(str, changes)))
    return with_warnings(of_table(study, table, made), tuple(_merged(study.table, changes)))


def of_table(study: Study, table: dict[str, Any], words: str) -> Study:
    """Return the study that another table describes; its text says first how it was made.

    Raises:
        StudyError: The study is not possible.
    """
    remark = "\n# ".join(words.splitlines())
    text = f"# {study.path.name} {remark}\n\n{tomli_w.dumps(table)}"
    made = study_from_table(table, study.path, sha256(text.encode()).hexdigest(), text)
    return replace(made, measured=study.measured)


def with_warnings(study: Study, sentences: Sequence[str]) -> Study:
    """Return a study with further warnings, each once."""
    return replace(study, warnings=tuple(dict.fromkeys((*study.warnings, *sentences))))


def with_settings(study: Study, settings: Sequence[str]) -> Study:
    """Return the study with values set as at the command line, PATH=VALUE; itself without any.

    Raises:
        StudyError, InputError: A setting that is none, or a study that is not possible with it.
    """
    if not settings:
        return study
    return variant_of(study, changes_in(settings))


def _merged(table: Mapping[str, Any], changes: Sequence[Change]) -> Iterator[str]:
    """Yield a sentence for each change that makes differing numbers one."""
    for change in changes:
        if change.acts_as == "value" and (sentence := merged(table, change.path)):
            yield sentence
        table = changed(table, [change])


def design_table(table: Mapping[str, Any], changes: Sequence[Change]) -> dict[str, Any]:
    """Return the table of a single design of a study.

    Raises:
        InputError: A path names no key, or a factor or addition meets no number.
    """
    return {key: value for key, value in changed(table, changes).items() if key not in PLANS}
