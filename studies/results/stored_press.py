"""Press records that were reduced before, read back from their folders."""

from collections.abc import Sequence
from pathlib import Path

from pydantic import ValidationError

from geometry.errors import InputError, Problem, refuse
from studies.bench.record import PressRecord
from studies.bench.specimens import LETTERS
from studies.files.recovery import recover
from studies.files.results_folder import PRESS_RECORD


def read_pressed(folders: Sequence[Path]) -> list[PressRecord]:
    """Return the records in folders of `barwright press --out`.

    Raises:
        InputError: Fewer than two or more than eight, or folders that hold no record of this
            version's form.
    """
    if not 1 < len(folders) <= len(LETTERS):
        sentence = f"{len(folders)} folders are given; give 2 to {len(LETTERS)}"
        raise refuse("PRESSED", sentence)
    found, problems = list[PressRecord](), list[Problem]()
    for folder in folders:
        recover(folder)
        try:
            text = (folder / PRESS_RECORD).read_text(encoding="utf-8")
            found.append(PressRecord.model_validate_json(text))
        except (OSError, UnicodeDecodeError, ValidationError):
            sentence = (
                f"{folder} holds no {PRESS_RECORD} that can be read; reduce its record with "
                "`barwright press RECORD --out` first"
            )
            problems.append(Problem("PRESSED", sentence))
    if problems:
        raise InputError(*problems)
    return found
