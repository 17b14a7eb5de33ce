"""A process of this machine that computes for this one, with one thread, and ends with it.

Nothing heavy is imported here: a worker is there at once, and reads how many threads it may use
before the libraries that ask for it.
"""

import os
import pickle
import signal
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import ExitStack, contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from tempfile import NamedTemporaryFile, TemporaryDirectory
from typing import Any, ParamSpec

from studies.files.interruptions import uninterrupted

Given = ParamSpec("Given")

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Read by the libraries of linear algebra when they are loaded: one thread for each worker."""


def worker_process(stack: ExitStack) -> ProcessPoolExecutor:
    """Return a pool of one process, which ends with the stack; its current work is dropped then.

    An interruption waits until the process has all that it starts with, and reaches it never:
    it would tell of either in a traceback.

    Raises:
        OSError, NotImplementedError: The system gives no process, handle or semaphore.
    """
    ours: Connection
    theirs: Connection
    context = get_context("spawn")
    theirs, ours = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(1, context, prepare, (theirs,))
    stack.callback(_shut_down, pool, ours, theirs)
    with uninterrupted(), _interrupts_kept_from_children():
        pool.submit(int)  # a pool starts its process at its first work
    return pool


class Aside:
    """A process beside this one whose answers come through files.

    A pool's own pipe is no place for a large answer: where its process ends while it sends one,
    the pool waits for the rest for ever.
    """

    def __init__(self, stack: ExitStack) -> None:
        """Start nothing yet; at the end of the stack the process and its files are gone."""
        self._folder = stack.enter_context(TemporaryDirectory(prefix="barwright-"))
        self._pool = worker_process(stack)

    def submit(
        self, call: Callable[Given, Any], *given: Given.args, **named: Given.kwargs
    ) -> "Future[str]":
        """Begin a call, whose future is the file with its answer."""
        return self._pool.submit(_kept, self._folder, call, *given, **named)


def answer_in(future: "Future[str]") -> Any:
    """Return the answer of a call, once it has come.

    Raises:
        BrokenProcessPool: The process has ended; else what the call raised.
    """
    path = Path(future.result())
    answer = pickle.loads(path.read_bytes())  # noqa: S301 of our own process
    path.unlink()
    return answer


def _kept(folder: str, call: Callable[..., Any], *given: Any, **named: Any) -> str:
    content = pickle.dumps(call(*given, **named))
    with NamedTemporaryFile(dir=folder, delete=False) as file:
        file.write(content)
    return file.name


def prepare(lifeline: Connection) -> None:
    """Leave interrupts to the process that leads, and end with it however it ends.

    Args:
        lifeline: Its other end is held by the leading process; it breaks when that one ends or
            closes it.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with, args=(lifeline,), daemon=True).start()


@contextmanager
def _interrupts_kept_from_children() -> Iterator[None]:
    """Start processes deaf to Ctrl-C, which a terminal sends to them too; Windows' are not."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


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
