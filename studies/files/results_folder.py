"""How files reach the results folder: all of a run, or none.

Everything is written into a new folder beside the old one, which then takes its place.
Files of other commands (a sweep's, a user's notes) move over; a folder that does not hold
our results is refused. What a kill leaves half-done, the next command mends (`recovery.py`).
"""

import json
import os
import shutil
from collections.abc import Callable, Sequence
from contextlib import suppress
from errno import EACCES
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

from geometry.errors import InputError, refuse
from studies.files.atomic_files import busy, in_use, is_store
from studies.files.interruptions import uninterrupted

RESULTS_FILE, REPORT_FILE = "results.json", "report.html"
COMPARISON_RECORD, COMPARISON_FILE = "comparison.json", "comparison.html"
SWEEP_RECORD, SWEEP_FILE = "sweep.json", "sweep.html"
OPTIMISE_RECORD = "optimise.json"
PLAN_RECORD, PLAN_FILE = "plan.json", "plan.html"
PRESS_RECORD, PRESS_PICTURE, PRESS_PAGE = "press.json", "press.png", "press.html"
SPECIMENS_RECORD, SPECIMENS_PAGE = "specimens.json", "specimens.html"
OUR_FORMATS = {
    RESULTS_FILE: "barwright-results",
    COMPARISON_RECORD: "barwright-comparison",
    SWEEP_RECORD: "barwright-sweep",
    OPTIMISE_RECORD: "barwright-optimise",
    PRESS_RECORD: "barwright-press",
    PLAN_RECORD: "barwright-plan",
    SPECIMENS_RECORD: "barwright-specimens",
}
"""What marks a folder as ours: a file with its format written in it."""

PLANS = "plans"
"""Folder in a results folder that holds a folder a case with the plan of its test."""

RUN_FOLDERS = {"figures": ".png", "fields": ".vtu"}
RUN_NAMES = (RESULTS_FILE, REPORT_FILE, *RUN_FOLDERS)
"""What a run owns in its folder; a rerun replaces these and nothing else."""

FRESH, REPLACED, DROPPED = ".new-", ".old-", ".gone-"
"""Hidden folders beside a results folder, by a mark after its name: one that is being filled, one
that was replaced and still holds what stays, one that is being removed."""

MOST_NAME_BYTES = 200
"""Of a results folder: what is written beside it has a longer name, and 255 is the limit."""

COMPARISON_NAMES = (COMPARISON_RECORD, COMPARISON_FILE)
"""What a comparison owns in its folder, likewise."""


def check_folder(folder: Path, *study_files: str, replaced: bool = True) -> None:
    """Refuse a place where results must not be put.

    Args:
        folder: The place.
        study_files: Names of the study files; results of another one are not replaced.
        replaced: Whether a new folder takes its place, which needs a writable parent too.

    Raises:
        InputError: It is a file, holds something that is not ours or results of another
            study file, or cannot be written.
    """
    try:
        _check_content(folder, *study_files)
        folder.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritable(folder, error) from None
    _check_writable(folder.resolve(), replaced=replaced)


def _check_writable(folder: Path, *, replaced: bool) -> None:
    """Refuse a protected folder before anything is computed: a rename would replace it."""
    there = [folder] if folder.exists() else []
    for place in there + ([folder.parent] if replaced or not there else []):
        if not os.access(place, os.W_OK | os.X_OK):
            raise _unwritable(folder, PermissionError(EACCES, os.strerror(EACCES)))


def can_replace(folder: Path) -> bool:
    """Return whether a new folder can take the place of this one."""
    return os.access(folder.resolve().parent, os.W_OK | os.X_OK)


def _check_content(folder: Path, *study_files: str) -> None:
    size = len(os.fsencode(folder.name))
    if size > MOST_NAME_BYTES:
        raise refuse(
            "--out",
            f"the folder's name has {size} bytes but must have at most {MOST_NAME_BYTES}; give a "
            "shorter one",
        )
    if folder.is_symlink() and not folder.exists():
        raise refuse("--out", f"{folder} is a broken link; name another folder")
    if folder.exists() and not folder.is_dir():
        raise refuse("--out", f"{folder} is a file; name a folder")
    if folder.is_dir() and any(folder.iterdir()) and not is_ours(folder):
        raise refuse(
            "--out",
            f"{folder} holds files and no results of barwright; name a new or an empty folder",
        )
    others = {_text_at(landed(folder, name), "study", "file") for name in OUR_FORMATS}
    others -= {"", *study_files}
    if study_files and others:
        raise refuse(
            "--out",
            f"{folder} holds results of {others.pop()}; give {study_files[0]} a `name` of its own, "
            "or another folder",
        )
    if in_use(folder):
        raise busy(folder)


def check_press_folder(folder: Path, sha256: str) -> None:
    """Refuse a folder that holds the reduction of another press record.

    Raises:
        InputError: It does; other files of this program may lie there.
    """
    held = landed(folder, PRESS_RECORD)
    if held and _text_at(held, "record", "sha256") != sha256:
        raise refuse(
            "--out",
            f"{folder} holds the reduction of {_text_at(held, 'record', 'file') or 'another file'}"
            ", or of this file before it was changed; name another folder",
        )


def is_ours(folder: Path) -> bool:
    """Return whether a folder holds results of this program, be it of a sweep just begun."""
    plans = (one.parent for one in folder.glob(f"{PLANS}/*/{PLAN_RECORD}"))
    return (
        is_store(folder)
        or any(landed(folder, name) for name in OUR_FORMATS)
        or any(landed(one, PLAN_RECORD) for one in plans)
    )


def landed(folder: Path, name: str = RESULTS_FILE) -> dict[str, Any]:
    """Return the content of results.json, or of another record, empty where none of ours is."""
    try:
        content = json.loads((folder / name).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    ours = isinstance(content, dict) and content.get("format") == OUR_FORMATS[name]
    return content if ours else {}


def landed_cases(folder: Path) -> list[dict[str, Any]]:
    """Return the cases in results.json, those with an id."""
    cases = landed(folder).get("cases")
    found = cases if isinstance(cases, list) else []
    return [one for one in found if isinstance(one, dict) and isinstance(one.get("id"), str)]


def _text_at(content: dict[str, Any], *keys: str) -> str:
    found: Any = content
    for key in keys:
        found = found.get(key) if isinstance(found, dict) else None
    return found if isinstance(found, str) else ""


def land(folder: Path, write: Callable[[Path], None], names: Sequence[str] = RUN_NAMES) -> None:
    """Let `write` fill a new folder and put it in the place of `folder`.

    Args:
        folder: The place.
        write: Writes into a folder.
        names: What is replaced; everything else that lies in the place stays.

    Raises:
        InputError: The folder must not or cannot be written.
    """
    check_folder(folder)
    afterwards, folder = f"the new results are in {folder}", folder.resolve()
    try:
        fresh = Path(mkdtemp(prefix=f".{folder.name}{FRESH}", dir=folder.parent))
    except OSError as error:
        raise _unwritable(folder, error) from None
    try:
        write(fresh)
        fresh.chmod(0o755)
        with uninterrupted(afterwards):
            _swap(fresh, folder, names)
    except OSError as error:
        raise _unwritable(folder, error) from None
    finally:
        # gone after a swap; after a failure nothing half-written may stay
        shutil.rmtree(fresh, ignore_errors=True)


def _swap(fresh: Path, folder: Path, names: Sequence[str]) -> None:
    old = _marked(fresh, FRESH, REPLACED)
    if folder.exists():
        folder.rename(old)
    try:
        fresh.rename(folder)
    except OSError:
        with suppress(OSError):
            old.rename(folder)
        raise
    if old.exists():
        empty(old, folder, names)


def empty(old: Path, folder: Path, names: Sequence[str]) -> None:
    """Move what stays from a folder to the one that replaced it, and remove the rest.

    Args:
        old: A folder that was replaced.
        folder: The new one.
        names: What is replaced.

    Raises:
        OSError: The system refuses it; what has not moved is in the old folder.
    """
    for item in _not_ours(old, names):
        target = _free(folder / item.relative_to(old))
        target.parent.mkdir(exist_ok=True)
        item.rename(target)
    # by another name first: one that is removed in part holds nothing that stays
    shutil.rmtree(old.rename(_marked(old, REPLACED, DROPPED)), ignore_errors=True)


def _marked(hidden: Path, mark: str, other: str) -> Path:
    name, _, end = hidden.name.rpartition(mark)
    return hidden.with_name(f"{name}{other}{end}")


def _free(target: Path) -> Path:
    while os.path.lexists(target):
        target = target.with_name(f"{target.name}.earlier")
    return target


def _not_ours(old: Path, names: Sequence[str]) -> list[Path]:
    """Return what the command did not write: other files, or of another kind in its folders."""
    beside = [item for item in old.iterdir() if item.name not in names]
    strange = [
        item
        for name, suffix in RUN_FOLDERS.items()
        if name in names and (old / name).is_dir()
        for item in (old / name).iterdir()
        if item.suffix != suffix
    ]
    return beside + strange


def _unwritable(folder: Path, error: OSError) -> InputError:
    reason = error.strerror or "the system refuses it"
    return refuse("--out", f"{folder} cannot be written ({reason.lower()}); name another folder")
