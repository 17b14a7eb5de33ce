"""What is kept on disk as it is finished: whole files, in a folder that one command holds.

A command that works for long keeps each finished part at once, a sweep its designs, a path its
steps, so that whatever ends it, nothing finished is lost.
"""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from geometry.errors import InputError, refuse

DESIGNS, PATHS = "designs", "collapse"
"""Folders of finished designs, and of the steps of paths, in a results folder."""

STORES, LOCK = (DESIGNS, PATHS), ".lock"

HALF_WRITTEN = ".*.new"
"""Files that are not yet whole, beside those that they will replace."""


@contextmanager
def locked(folder: Path, name: str = DESIGNS) -> Iterator[Path]:
    """Yield a store in a results folder, held for this process alone however it ends.

    What an earlier command left half-written, killed in the middle of it, goes.

    Raises:
        InputError: Another command writes there, or the folder cannot be written.
    """
    store = folder / name
    with _held_or_refused(folder):
        store.mkdir(parents=True, exist_ok=True)
        lock = FileLock(store / LOCK, timeout=0)
        lock.acquire()
        for left in (*store.rglob(HALF_WRITTEN), *folder.glob(HALF_WRITTEN)):
            left.unlink()
    try:
        yield store
    finally:
        lock.release()


@contextmanager
def locked_beside(folder: Path) -> Iterator[None]:
    """Hold a results folder by a file beside it, for the folder itself may be replaced.

    Raises:
        InputError: Another command holds it, or the file cannot be written.
    """
    at = folder.resolve()
    path = at.with_name(f".{at.name}{LOCK}")
    lock = FileLock(path, timeout=0)
    with _held_or_refused(folder):
        lock.acquire()
    try:
        yield
    finally:
        # while it is held, or it might be another command's
        with suppress(OSError):
            path.unlink(missing_ok=True)
        lock.release()


@contextmanager
def _held_or_refused(folder: Path) -> Iterator[None]:
    """Say in a sentence what keeps a results folder from being held in the block."""
    try:
        yield
    except Timeout:
        raise busy(folder) from None
    except OSError as error:
        raise unwritable(folder, error) from None


def is_store(folder: Path) -> bool:
    """Return whether a sweep or a path was begun in a results folder."""
    return any((folder / name / LOCK).is_file() for name in STORES)


def busy(folder: Path) -> InputError:
    """Return what to say where another command holds the folder."""
    return refuse(
        "--out", f"another command writes to {folder} just now; wait for it, or name another folder"
    )


def in_use(folder: Path) -> bool:
    """Return whether a command keeps what it finishes in a results folder just now."""
    return any(_is_held(folder / name / LOCK) for name in STORES)


def _is_held(lock: Path) -> bool:
    if not lock.is_file():
        return False
    try:
        with FileLock(lock, timeout=0):
            return False
    except Timeout:
        return True
    except OSError:
        return False


def unwritable(folder: Path, error: OSError, option: str = "") -> InputError:
    """Return what to say where the folder cannot be written; the option goes on from what is."""
    reason = (error.strerror or "the system refuses it").lower()
    return refuse(
        "--out",
        f"{folder} cannot be written any more ({reason}); what is finished there is kept, so make "
        f"room and give the same command again{option}",
    )


def write_each(folder: Path, contents: Mapping[str, str | bytes]) -> None:
    """Write files into a folder, each whole; that which marks the folder as ours comes last.

    Raises:
        InputError: The folder cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in contents.items():
            write_whole(folder / name, content)
    except OSError as error:
        raise unwritable(folder, error) from None


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
