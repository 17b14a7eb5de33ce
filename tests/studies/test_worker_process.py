"""A process beside this one: its answers come through files, and it ends whatever it does."""

from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack
from os import kill
from signal import SIGKILL
from threading import Thread
from time import sleep

import pytest

from geometry.errors import SolveError
from studies.files.worker_process import Aside, answer_in, one_thread_each

LARGE = 60_000_000
"""Bytes that take a while to send and do not fit into a pipe."""


def large(count: int) -> bytes:
    """Return so many bytes."""
    return bytes(count)


def failing() -> None:
    """Refuse."""
    raise SolveError("no balance")


def own_number() -> int:
    """Return the number of the process."""
    from os import getpid

    return getpid()


def test_answers_and_refusals_come_through() -> None:
    """A large answer whole, a refusal as it was raised, and the end of the process as such."""
    with ExitStack() as stack, one_thread_each():
        aside = Aside(stack)
        assert len(answer_in(aside.submit(large, LARGE))) == LARGE
        with pytest.raises(SolveError, match="no balance"):
            answer_in(aside.submit(failing))
        kill(answer_in(aside.submit(own_number)), SIGKILL)
        with pytest.raises(BrokenProcessPool):
            answer_in(aside.submit(sleep, 30))


@pytest.mark.parametrize("after_s", [0.02, 0.1, 0.2])
def test_it_ends_while_an_answer_is_on_its_way(after_s: float) -> None:
    """Leaving the block takes no longer than the process needs to end."""

    def leave() -> None:
        with ExitStack() as stack:
            aside = Aside(stack)
            answer_in(aside.submit(own_number))
            aside.submit(large, LARGE)
            sleep(after_s)

    leaving = Thread(target=leave, daemon=True)
    leaving.start()
    leaving.join(20)
    assert not leaving.is_alive()
