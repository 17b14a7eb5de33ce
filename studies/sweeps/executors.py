"""Who computes the designs: processes of this machine, or a dask.distributed cluster.

Both are an `Executor`: it takes a design and gives a future. The loop in `results` hands
out as many designs as there are workers and no more, so that a finished design is on disk before
its worker begins the next.
"""

import logging
import os
import re
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from multiprocessing import get_context
from multiprocessing.connection import Connection
from time import sleep
from typing import Any

from pydantic import ValidationError

from geometry.errors import refuse
from studies.files.provenance import OTHER_VERSION, Provenance, provenance
from studies.files.version import barwright_version
from studies.study_file.errors import StoppedError
from studies.study_file.format.wording import quoted
from studies.sweeps.rows import DesignRow, Job, made_here, unfinished_row
from studies.sweeps.worker import compute, prepare

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
"""Read by the libraries of linear algebra when they are loaded: one thread for each worker."""

PATIENCE_S = 0.5
"""How long the loop waits before it looks whether workers have come or gone."""

REACH_S = 15.0
"""How long a scheduler may take to answer."""

GONE = (
    "the scheduler is gone; what is finished is kept, so start it again and give the same command"
)

REFUSED = (
    f"a worker with {OTHER_VERSION} computed it, which does not count; install the same there as "
    "here, start the worker again, and give the same command"
)

_ADDRESS = re.compile(r"[a-z]+://[^\s/]+:\d+")


@dataclass(frozen=True)
class Executor:
    """Workers.

    Attributes:
        submit: Begins a design.
        slots: How many designs may be under way at once, just now.
        lost: What a future raises when the process that held its design died.
        tries: How often a design is begun before it is given up as lost.
    """

    submit: Callable[[Job], "Future[str]"]
    slots: Callable[[], int]
    lost: tuple[type[Exception], ...]
    tries: int


def results(executor: Executor, jobs: Sequence[Job]) -> Iterator[tuple[Job, DesignRow]]:
    """Yield every design with its row, as they finish; the next begins when one is taken.

    Raises:
        StoppedError: The workers are gone for good.
    """
    waiting, running = deque(jobs), dict[Future[str], Job]()
    begun = dict.fromkeys((job.key for job in jobs), 0)
    while waiting or running:
        while waiting and len(running) < executor.slots():
            job = waiting.popleft()
            begun[job.key] += 1
            running[executor.submit(job)] = job
        if not running:  # all workers of a cluster are gone: others may come
            sleep(PATIENCE_S)
        done, _ = wait(running, PATIENCE_S, FIRST_COMPLETED)
        for future in done:
            job = running.pop(future)
            row = _row(executor, job, future, begun[job.key])
            if row is None:
                waiting.append(job)
            else:
                yield job, row


def _row(executor: Executor, job: Job, future: "Future[str]", begun: int) -> DesignRow | None:
    """Return the row of a finished design, None where it is to be begun again."""
    try:
        row = DesignRow.model_validate_json(future.result())
    except ValidationError:  # it knows another kind of row
        return unfinished_row(job, "worker failed", REFUSED)
    except executor.lost as error:
        if begun < executor.tries:
            return None
        times = f"{begun} times" if begun > 1 else "again and again"
        reason = f"the process that computed it died {times}, mostly for want of memory"
        return unfinished_row(job, "worker failed", f"{reason} ({type(error).__name__})")
    except CancelledError:
        raise StoppedError(GONE) from None
    return row if made_here(row) else unfinished_row(job, "worker failed", REFUSED)


@contextmanager
def local_executor(workers: int) -> Iterator[Executor]:
    """Yield worker processes of this machine, one thread each; at the end they are gone.

    Each is a pool of its own, so that one that dies takes no other's design with it.
    """
    with ExitStack() as stack:
        stack.enter_context(_one_thread_each())
        pools = [_pool(stack) for _ in range(workers)]
        last: dict[int, Future[str]] = {}

        def submit(job: Job) -> "Future[str]":
            number = next(n for n in range(workers) if n not in last or last[n].done())
            if number in last and isinstance(last[number].exception(), BrokenProcessPool):
                pools[number] = _pool(stack)
            try:
                last[number] = pools[number].submit(compute, job)
            except BrokenProcessPool:  # died while it had nothing to do
                pools[number] = _pool(stack)
                last[number] = pools[number].submit(compute, job)
            return last[number]

        yield Executor(submit, lambda: workers, (BrokenProcessPool,), 3)


def _pool(stack: ExitStack) -> ProcessPoolExecutor:
    ours: Connection
    theirs: Connection
    context = get_context("spawn")
    theirs, ours = context.Pipe(duplex=False)
    pool = ProcessPoolExecutor(1, context, prepare, (theirs,))
    stack.callback(_dismiss, pool, ours, theirs)
    return pool


def _dismiss(pool: ProcessPoolExecutor, *ends: Connection) -> None:
    """End a pool's process at once: what it computes just now is not wanted any more."""
    for end in ends:
        end.close()
    pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _one_thread_each() -> Iterator[None]:
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


def check_address(address: str) -> None:
    """Refuse what no scheduler would tell as its address.

    Raises:
        InputError: It is not like tcp://host:8786.
    """
    if not _ADDRESS.fullmatch(address):
        sentence = f"is {quoted(address)}; write it as the scheduler tells it, tcp://host:8786"
        raise refuse("--scheduler", sentence)


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """Yield the workers of a dask.distributed cluster, one design a worker at a time.

    Workers may come and go; the scheduler gives the designs of a lost one to another.

    Raises:
        InputError: distributed is not installed, the scheduler does not answer, or its workers
            have other sources or libraries than here, or no barwright.
    """
    try:
        from distributed import Client
        from distributed.scheduler import KilledWorker
    except ImportError:
        sentence = "needs the package distributed (pip install 'barwright[cluster]')"
        raise refuse("--scheduler", sentence) from None
    try:
        client = Client(address, timeout=REACH_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        said = str(error).splitlines()[0] if str(error) else type(error).__name__
        sentence = f"is {address}, which does not answer as a scheduler ({said}); start one with"
        raise refuse("--scheduler", f"{sentence} `dask scheduler` and workers with it") from None
    with _quiet("distributed"), client:
        _check_versions(client)
        executor = client.get_executor(pure=False)

        def slots() -> int:
            try:
                return len(client.nthreads())
            except OSError:  # it went away while it was asked
                raise StoppedError(GONE) from None

        yield Executor(lambda job: executor.submit(compute, job), slots, (KilledWorker,), 1)


@contextmanager
def _quiet(library: str) -> Iterator[None]:
    """Keep a library from telling what we tell ourselves, and in words."""
    known = logging.root.manager.loggerDict
    logs = [logging.getLogger(name) for name in known if name.startswith(library)]
    before = [log.disabled for log in logs]
    for log in logs:
        log.disabled = True
    try:
        yield
    finally:
        for log, was in zip(logs, before, strict=True):
            log.disabled = was


def _check_versions(client: Any) -> None:
    """Refuse a cluster on which a design would come out otherwise than here, or not at all.

    A worker that comes later is known by its rows.
    """
    ours = barwright_version()
    asks = {"the scheduler": client.run_on_scheduler}
    asks |= {f"worker {name}": partial(_at, client, name) for name in client.nthreads()}
    for where, ask in asks.items():
        told = _answer(ask, barwright_version)
        if told != ours:
            has = f"has barwright {told}" if told else "has no barwright"
            sentence = f"{where} {has}; install {ours} there, as here, and start it again"
            raise refuse("--scheduler", sentence)
    for name in client.nthreads():
        theirs = _answer(partial(_at, client, name), _provenance)
        if differs := _difference(theirs, _provenance()):
            sentence = f"worker {name} has {differs}; install the same there, and start it again"
            raise refuse("--scheduler", sentence)


def _provenance() -> Provenance:
    return provenance("design")


def _difference(theirs: Provenance | None, ours: Provenance) -> str:
    """Return what a worker has otherwise than here, in words; empty where all is the same."""
    if theirs is None or theirs.sources_sha256 != ours.sources_sha256:
        return "other sources of barwright than here"
    for name, found in ours.libraries.items():
        if (there := theirs.libraries.get(name, "none")) != found:
            return f"{name} {there}, and {found} is here"
    return ""


def _at(client: Any, worker: str, ask: Callable[[], Any]) -> Any:
    return client.run(ask, workers=[worker])[worker]


def _answer(ask: Callable[[Callable[[], Any]], Any], what: Callable[[], Any]) -> Any:
    """Return what a process answers, None where it does not know what it is asked."""
    try:
        return ask(what)
    except Exception:  # noqa: BLE001 whatever a process without barwright raises
        return None
