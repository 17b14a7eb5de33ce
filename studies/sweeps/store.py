"""Finished designs on disk: one file each, named by its key, whole or not there at all.

The table of a sweep is made from them, so whatever ends a sweep, the same command goes on.
"""

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout
from pydantic import ValidationError

from geometry.errors import InputError, refuse
from studies.sweeps.rows import DesignRow

STORE, LOCK = "designs", ".lock"

KEY_DIGITS = 32
"""Of a design's key in its file's name."""


@contextmanager
def locked(folder: Path) -> Iterator[Path]:
    """Yield the store in a results folder, held for this process alone.

    Raises:
        InputError: Another sweep writes there, or the folder cannot be written.
    """
    store = folder / STORE
    try:
        store.mkdir(parents=True, exist_ok=True)
        lock = FileLock(store / LOCK, timeout=0)
        lock.acquire()
    except Timeout:
        raise busy(folder) from None
    except OSError as error:
        raise unwritable(folder, error) from None
    try:
        yield store
    finally:
        lock.release()


def is_store(folder: Path) -> bool:
    """Return whether a sweep was begun in a results folder."""
    return (folder / STORE / LOCK).is_file()


def busy(folder: Path) -> InputError:
    """Return what to say where a sweep holds the folder."""
    return refuse("--out", f"a sweep writes to {folder} just now; wait for it, or name another")


def in_use(folder: Path) -> bool:
    """Return whether a sweep writes into a results folder just now."""
    if not is_store(folder):
        return False
    try:
        with FileLock(folder / STORE / LOCK, timeout=0):
            return False
    except Timeout:
        return True
    except OSError:
        return False


def stored(store: Path, key: str) -> DesignRow | None:
    """Return the row of a finished design, None where it is not finished.

    A design whose process died is not finished: the reason may be gone.
    """
    try:
        row = DesignRow.model_validate_json(_path(store, key).read_text(encoding="utf-8"))
    except (OSError, ValidationError, ValueError):
        return None
    return row if row.key == key and row.status != "lost" else None


def put(store: Path, row: DesignRow) -> None:
    """Write a row, so that after this call it is on disk and before it nothing is.

    Raises:
        InputError: It cannot be written; what is finished stays and can be read.
    """
    try:
        write_whole(_path(store, row.key), row.model_dump_json(indent=1) + "\n")
    except OSError as error:
        raise unwritable(store.parent, error) from None


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file under another name first, so that nobody ever sees half of it.

    Raises:
        OSError: It cannot be written; nothing half-written is left.
    """
    fresh = path.with_name(f".{path.name}.new")
    data = content.encode("utf-8") if isinstance(content, str) else content
    try:
        with fresh.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        fresh.replace(path)
    except OSError:
        with suppress(OSError):
            fresh.unlink()
        raise


def unwritable(folder: Path, error: OSError) -> InputError:
    """Return what to say where a sweep's folder cannot be written."""
    reason = (error.strerror or "the system refuses it").lower()
    return refuse(
        "--out",
        f"{folder} cannot be written any more ({reason}); what is finished there is kept, so make "
        "room and give the same command again",
    )


def _path(store: Path, key: str) -> Path:
    return store / f"{key[:KEY_DIGITS]}.json"
