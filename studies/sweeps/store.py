"""Finished designs on disk: one file each, named by its key, whole or not there at all.

The table of a sweep is made from them, so whatever ends a sweep, the same command goes on. A design
of another version of the program lies there until the new one takes its place.
"""

import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from pydantic import ValidationError

from studies.files.atomic_files import DESIGNS, unwritable, write_whole
from studies.files.format_version import refuse_older
from studies.files.provenance import Provenance, is_current
from studies.sweeps.rows import FORMAT_VERSION, DesignRow, made_here

KEY_DIGITS = 32
"""Of a design's key in its file's name."""


def stored(store: Path, key: str) -> DesignRow | None:
    """Return the row of a finished design, None where it is not finished.

    A design whose process died is not finished: the reason may be gone. Nor is one that another
    version of the program or its libraries computed.
    """
    try:
        row = DesignRow.model_validate_json(_path(store, key).read_text(encoding="utf-8"))
    except (OSError, ValidationError, ValueError):
        return None
    finished = row.key == key and row.status != "worker failed"
    return row if finished and made_here(row) else None


def older_count(store: Path, keys: Iterable[str]) -> int:
    """Return how many designs were finished by another version of the program or its libraries."""
    return sum(_is_older(_path(store, key)) for key in set(keys))


def older_in(store: Path) -> int:
    """Return how many designs of a store another version finished, whatever is asked for now."""
    return sum(map(_is_older, store.glob("[!.]*.json")))


def _is_older(path: Path) -> bool:
    try:
        row = json.loads(path.read_text(encoding="utf-8"))
        made_by = Provenance(row["sources_sha256"], row["libraries"])
        return row["status"] != "worker failed" and not is_current("design", made_by)
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return False


def refuse_older_files(folder: Path, records: Mapping[str, int]) -> None:
    """Refuse a folder whose designs or records an earlier version wrote.

    Args:
        folder: Results folder; of its designs one file stands for all.
        records: Names of the records, such as sweep.json, and the format of each.

    Raises:
        InputError: One of them has an earlier format.
    """
    first = min((folder / DESIGNS).glob("[!.]*.json"), default=None)
    formats = {folder / name: version for name, version in records.items()}
    if first:
        formats[first] = FORMAT_VERSION
    for path, version in formats.items():
        refuse_older(path, version, "keep it as it is, and name another folder with --out")


def put(store: Path, row: DesignRow) -> None:
    """Write a row, so that after this call it is on disk and before it nothing new is.

    Where a process died, a design of another version stays, for nothing replaces it yet.

    Raises:
        InputError: It cannot be written; what is finished stays and can be read.
    """
    path = _path(store, row.key)
    if row.status == "worker failed" and _is_older(path):
        return
    try:
        write_whole(path, row.model_dump_json(indent=1) + "\n")
    except OSError as error:
        raise unwritable(store.parent, error) from None


def _path(store: Path, key: str) -> Path:
    return store / f"{key[:KEY_DIGITS]}.json"
