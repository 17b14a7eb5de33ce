"""Work done by several processes beside each other, copies of this one, where it can be copied.

Copies share all that has been computed, so nothing is handed over. macOS and Windows have no copies
that graphics libraries survive; there everything is done in turn.
"""

import os
import signal
import sys
from collections.abc import Callable, Sequence
from multiprocessing import get_context
from pathlib import Path

MOST_PROCESSES = 4

Task = Callable[[], object]


def processors() -> int:
    """Return how many processes may be of use here: 1 where a process cannot be copied."""
    if sys.platform != "linux":
        return 1
    return min(len(os.sched_getaffinity(0)), MOST_PROCESSES)


def do_beside(tasks: Sequence[Task], processes: int) -> None:
    """Do independent tasks, which leave files behind, in so many processes.

    What a process did not end well is done again here, so that its error is told as any other.
    """
    if processes < 2:
        _do(tasks)
        return
    parts = [tasks[first::processes] for first in range(processes)]
    context, leader = get_context("fork"), os.getpid()
    copies = [context.Process(target=_do_as_copy, args=(part, leader)) for part in parts]
    try:
        for copy in copies:
            copy.start()
        for copy in copies:
            copy.join()
    finally:
        for copy in copies:
            if copy.is_alive():
                copy.terminate()
                copy.join()
    for part, copy in zip(parts, copies, strict=True):
        if copy.exitcode:
            _do(part)


def _do(tasks: Sequence[Task]) -> None:
    for task in tasks:
        task()


def _do_as_copy(tasks: Sequence[Task], leader: int) -> None:
    """Do tasks in a copy of a process: interrupts are left to that one, and its end is the end."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    # the leader tells what went wrong
    sys.stderr = Path(os.devnull).open("w", encoding="utf-8")  # noqa: SIM115 it ends with the process
    for task in tasks:
        if os.getppid() != leader:
            return
        task()
