"""The folder of finished designs, held by one sweep at a time however that one ends."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from filelock import FileLock, Timeout

from geometry.errors import InputError, refuse

STORE, LOCK = "designs", ".lock"

HALF_WRITTEN = ".*.new"
"""Files that are not yet whole, beside those that they will replace."""


@contextmanager
def locked(folder: Path) -> Iterator[Path]:
    """Yield the store in a results folder, held for this process alone.

    What an earlier sweep left half-written, killed in the middle of it, goes.

    Raises:
        InputError: Another sweep writes there, or the folder cannot be written.
    """
    store = folder / STORE
    try:
        store.mkdir(parents=True, exist_ok=True)
        lock = FileLock(store / LOCK, timeout=0)
        lock.acquire()
        for left in (*store.glob(HALF_WRITTEN), *folder.glob(HALF_WRITTEN)):
            left.unlink()
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


def unwritable(folder: Path, error: OSError) -> InputError:
    """Return what to say where a sweep's folder cannot be written."""
    reason = (error.strerror or "the system refuses it").lower()
    return refuse(
        "--out",
        f"{folder} cannot be written any more ({reason}); what is finished there is kept, so make "
        "room and give the same command again",
    )
