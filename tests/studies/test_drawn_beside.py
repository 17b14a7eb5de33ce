"""Pictures drawn by several processes: the same work, and the same errors."""

import os
from functools import partial
from pathlib import Path

import pytest

from studies.pictures.beside import do_beside


def write_own_id(path: Path) -> None:
    """Leave behind which process was here."""
    path.write_text(str(os.getpid()), encoding="ascii")


@pytest.mark.parametrize("processes", [1, 2, 3])
def test_every_task_is_done_once(tmp_path: Path, processes: int) -> None:
    """By so many processes, none of them this one unless it is alone."""
    paths = [tmp_path / f"{number}" for number in range(5)]
    do_beside([partial(write_own_id, path) for path in paths], processes)
    done_by = {int(path.read_text(encoding="ascii")) for path in paths}
    assert len(done_by) == processes
    assert (os.getpid() in done_by) == (processes == 1)


def test_what_fails_in_a_copy_is_told_here(tmp_path: Path) -> None:
    """With its own error, as if it had been done here."""

    def fail() -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space left"):
        do_beside([partial(write_own_id, tmp_path / "one"), fail], 2)
    assert (tmp_path / "one").exists()


def test_what_a_copy_dies_of_is_tried_once_more(tmp_path: Path) -> None:
    """A copy that is ended from outside costs time and no picture."""
    leader = os.getpid()

    def die_in_a_copy() -> None:
        if os.getpid() != leader:
            os._exit(7)
        write_own_id(tmp_path / "one")

    do_beside([die_in_a_copy, partial(write_own_id, tmp_path / "two")], 2)
    assert {path.name for path in tmp_path.iterdir()} == {"one", "two"}
