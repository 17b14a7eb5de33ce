"""The studies of a comparison: files, or one file and variants of it."""

import re
from collections.abc import Sequence
from pathlib import Path

from geometry.errors import InputError, Problem, refuse
from loadcases.case import NAME_LENGTH
from studies.study_file.as_measured import read_as
from studies.study_file.changes import Change
from studies.study_file.chosen_cases import require_cases
from studies.study_file.format.values import Acts
from studies.study_file.key_places import EVERY, places, steps_of
from studies.study_file.settings import changes_in
from studies.study_file.study import Study
from studies.study_file.variants import variant_of

FEWEST, MOST = 2, 8
"""Designs that one page can show."""

_SIGN_WORDS: dict[Acts, str] = {"value": "-", "factor": "-x", "shift": "-plus"}


def read_studies(
    paths: Sequence[Path], settings: Sequence[str] = (), *, as_measured: bool = False
) -> list[Study]:
    """Return the studies to compare: those of files, then a variant of one file a setting.

    Args:
        paths: Study files.
        settings: Changes that make a variant, PATH=VALUE, several joined by a semicolon.
        as_measured: Whether each is taken as its specimen was measured.

    Raises:
        InputError: Fewer than two, more than a page shows, two of one name, or settings and not
            one file.
        StudyError: A file or a variant is wrong, or has no case.
    """
    count = len(paths) + len(settings)
    if settings and len(paths) != 1:
        raise refuse("--set", f"changes one study, but {len(paths)} are named; name one of them")
    if not FEWEST <= count <= MOST:
        sentence = f"names {count} designs; name {FEWEST} to {MOST} study files"
        raise refuse("STUDY", f"{sentence}, or one and a --set for each other design")
    studies = [read_as(path, as_measured=as_measured) for path in paths]
    for study in studies:
        require_cases(study)
    studies += [_variant(studies[0], setting) for setting in settings]
    refuse_twice([study.name for study in studies])
    return studies


def refuse_twice(names: Sequence[str]) -> None:
    """Refuse studies of one name, which nobody could tell from each other.

    Raises:
        InputError: Two have one name.
    """
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        sentence = "is the name of two of the studies; give each a `name` of its own"
        raise InputError(*(Problem("name", f"'{name}' {sentence}") for name in twice))


def _variant(study: Study, setting: str) -> Study:
    """Return the study with the changes of a setting, named after them unless they name it."""
    changes = changes_in([part for part in setting.split(";") if part.strip()] or [setting])
    if not any(change.path == "name" for change in changes):
        name = _name(study, changes)
        changes = (Change("name", "value", name), *changes)
    return variant_of(study, changes)


def _name(study: Study, changes: Sequence[Change]) -> str:
    """Return a name that can be a folder's, such as `my-bar-wall_mm-x0.9`."""
    words = (_words(study, change) for change in changes)
    return "-".join([study.name, *words])[:NAME_LENGTH].rstrip("-._")


def _words(study: Study, change: Change) -> str:
    """Return entries that the path names, its key, and what is done to it."""
    steps, place = steps_of(change.path), places(study.table, change.path)[0]
    pairs = list(zip(steps, place, strict=True))
    entries = [step for step, part in pairs if isinstance(part, int) and step != EVERY]
    keys = [step for step, part in pairs if isinstance(part, str)]
    text = f"{'-'.join([*entries, keys[-1]])}{_SIGN_WORDS[change.acts_as]}{change.value}"
    return re.sub(r"[^a-z0-9._-]+", "-", text.lower()).strip("-._")
