"""Folders that are costly to make, made by one worker for all."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from filelock import FileLock


def made_once(folders: pytest.TempPathFactory, name: str, make: Callable[[Path], Path]) -> Path:
    """Return the folder `name` of this run, which the first that asks makes.

    Args:
        folders: Where this run keeps its temporary folders; a worker has a folder of its own there.
        name: The folder's name; the others that ask for it wait.
        make: Makes the folder in a given one, whole or not at all, and returns its path.
    """
    own = folders.getbasetemp()
    shared = own.parent if "PYTEST_XDIST_WORKER" in os.environ else own
    with FileLock(shared / f"{name}.lock"):
        found = shared / name
        return found if found.is_dir() else make(shared)
