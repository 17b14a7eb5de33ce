"""A process of this machine that computes for this one, with one thread, and ends with it.

Nothing heavy is imported here: a worker is there at once, and reads how many threads it may use
before the libraries that ask for it.
"""

import os
import signal
import threading
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack, contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Read by the libraries of linear algebra when they are loaded: one thread for each worker."""


def worker_process(stack: ExitStack) -> ProcessPoolExecutor:
    """Return a pool of one process, which ends with the stack; its current work is dropped then.

    Raises:
        OSError, NotImplementedError: The system gives no process, handle or semaphore.
    """
    ours: Connection
    theirs: Connection
    context = get_context("spawn")
    theirs, ours = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(1, context, prepare, (theirs,))
    stack.callback(_shut_down, pool, ours, theirs)
    return pool


def prepare(lifeline: Connection) -> None:
    """Leave interrupts to the process that leads, and end with it however it ends.

    Args:
        lifeline: Its other end is held by the leading process; it breaks when that one ends or
            closes it.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(lifeline,), daemon=True).start()


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Let processes that start meanwhile use one thread each."""
    before = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                os.environ.pop(name, None)
            else:
                os.environ[name] = value


def _end_with(lifeline: Connection) -> None:
    try:
        lifeline.recv()
    except (EOFError, OSError):
        os.kill(os.getpid(), signal.SIGTERM)


def _shut_down(pool: ProcessPoolExecutor, *ends: Connection) -> None:
    """End a pool's process at once: its current work is dropped."""
    for end in ends:
        end.close()
    pool.shutdown(wait=True, cancel_futures=True)
