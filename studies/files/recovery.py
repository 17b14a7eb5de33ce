"""One command a results folder, and what a command that was killed left beside it.

`land` in `results_folder.py` renames twice. A kill before the second rename hides the earlier
results under another name, one after it leaves there what a run does not replace. The next
command brings back both, before it computes.
"""

import re
import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from geometry.errors import InputError
from studies.files.atomic_files import locked_beside, unwritable
from studies.files.results_folder import (
    COMPARISON_NAMES,
    COMPARISON_RECORD,
    DROPPED,
    FRESH,
    REPLACED,
    RESULTS_FILE,
    RUN_NAMES,
    can_replace,
    check_folder,
    empty,
)

_RANDOM = "[a-z0-9_]{8}"
"""What `mkdtemp` appends to a name."""


@contextmanager
def held(folder: Path, *study_files: str, replaced: bool = True) -> Iterator[None]:
    """Hold a results folder for this command alone, from before it computes to its last file.

    Args:
        folder: The place; refused as `check_folder` does.
        study_files: Names of the study files.
        replaced: Whether a new folder takes its place.

    Raises:
        InputError: Another command holds it, or it must not or cannot be written.
    """
    check_folder(folder, *study_files, replaced=replaced)
    with ExitStack() as stack:
        # where only the folder itself can be written, its stores have locks of their own
        if replaced or can_replace(folder):
            stack.enter_context(locked_beside(folder))
            if _recovered(folder.resolve()):
                check_folder(folder, *study_files, replaced=replaced)
        yield


def recover(folder: Path) -> None:
    """Bring back what a killed command hid, where a reader finds nothing else at work."""
    folder = folder.resolve()
    with suppress(OSError, InputError):
        if any(_left(folder, REPLACED)):
            with locked_beside(folder):
                _recovered(folder)


def _recovered(folder: Path) -> bool:
    """Return whether earlier results were hidden, after they are back and leftovers are gone."""
    hidden = _left(folder, REPLACED)
    try:
        for old in hidden:
            if folder.exists():
                empty(old, folder, _replaced_names(old, folder))
            else:
                old.rename(folder)
    except OSError as error:
        raise unwritable(folder, error) from None
    for left in (*_left(folder, FRESH), *_left(folder, DROPPED)):
        shutil.rmtree(left, ignore_errors=True)
    return bool(hidden)


def _replaced_names(old: Path, new: Path) -> tuple[str, ...]:
    """Return what the killed command replaced: what it writes lies in both folders."""
    for record, names in ((RESULTS_FILE, RUN_NAMES), (COMPARISON_RECORD, COMPARISON_NAMES)):
        if (old / record).exists() and (new / record).exists():
            return names
    return ()


def _left(folder: Path, mark: str) -> list[Path]:
    """Return the folders of a kind that a killed command left, the latest first."""
    name = re.compile(re.escape(f".{folder.name}{mark}") + _RANDOM)
    try:
        found = [one for one in folder.parent.iterdir() if name.fullmatch(one.name)]
    except OSError:
        return []
    return sorted(found, key=lambda one: one.stat().st_mtime, reverse=True)
