"""Workers that compute the designs: processes of this machine, or a dask.distributed cluster.

Both are an `Executor`: it takes a design and returns a future. The loop in `results` submits
as many designs as there are workers and no more, so that a finished design is on disk before
its worker begins the next.
"""

import logging
import re
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, CancelledError, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from time import sleep
from typing import Any

from pydantic import ValidationError

from geometry.errors import InputError, refuse
from studies.files.provenance import OTHER_VERSION, Provenance, provenance
from studies.files.version import barwright_version
from studies.files.worker_process import one_thread_each, worker_process
from studies.study_file.errors import StoppedError
from studies.study_file.format.wording import quoted
from studies.sweeps.rows import DesignRow, Job, made_here, unfinished_row
from studies.sweeps.worker import compute

MOST_WORKERS = 512
"""Of one machine."""

POLL_S = 0.5
"""Longest wait before the number of workers is read again."""

CONNECT_TIMEOUT_S = 15.0
"""Longest wait for a scheduler."""

SCHEDULER_LOST = (
    "the scheduler is gone; finished designs are stored, start it again and repeat the command"
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
        submit: Starts a design.
        slots: Number of designs that may run at once, just now.
        worker_errors: Errors of a future whose process died.
        max_attempts: Attempts at a design whose process dies.
    """

    submit: Callable[[Job], "Future[str]"]
    slots: Callable[[], int]
    worker_errors: tuple[type[Exception], ...]
    max_attempts: int


def results(executor: Executor, jobs: Sequence[Job]) -> Iterator[tuple[Job, DesignRow]]:
    """Yield every design with its row, as they finish; the next starts when one is taken.

    Raises:
        StoppedError: The workers are gone for good.
    """
    waiting, running = deque(jobs), dict[Future[str], Job]()
    attempts = dict.fromkeys((job.key for job in jobs), 0)
    while waiting or running:
        while waiting and len(running) < executor.slots():
            job = waiting.popleft()
            attempts[job.key] += 1
            running[executor.submit(job)] = job
        if not running:  # all workers of a cluster are gone: others may come
            sleep(POLL_S)
        done, _ = wait(running, POLL_S, FIRST_COMPLETED)
        for future in done:
            job = running.pop(future)
            row = _row(executor, job, future, attempts[job.key])
            if row is None:
                waiting.append(job)
            else:
                yield job, row


def _row(executor: Executor, job: Job, future: "Future[str]", attempts: int) -> DesignRow | None:
    """Return the row of a finished design, None where it is started again."""
    try:
        row = DesignRow.model_validate_json(future.result())
    except ValidationError:  # it knows another kind of row
        return unfinished_row(job, "worker failed", REFUSED)
    except executor.worker_errors as error:
        if attempts < executor.max_attempts:
            return None
        times = f"{attempts} times" if attempts > 1 else "again and again"
        reason = f"the worker process died {times}, mostly for want of memory"
        return unfinished_row(job, "worker failed", f"{reason} ({type(error).__name__})")
    except CancelledError:
        raise StoppedError(SCHEDULER_LOST) from None
    return row if made_here(row) else unfinished_row(job, "worker failed", REFUSED)


@contextmanager
def local_executor(workers: int) -> Iterator[Executor]:
    """Yield worker processes of this machine, one thread each; at the end they are gone.

    Each is a pool of its own, so that one that dies takes no other's design with it.
    """
    with ExitStack() as stack:
        stack.enter_context(one_thread_each())
        pools = [_pool(stack) for _ in range(workers)]
        last: dict[int, Future[str]] = {}

        def submit(job: Job) -> "Future[str]":
            number = next(n for n in range(workers) if n not in last or last[n].done())
            if number in last and isinstance(last[number].exception(), BrokenProcessPool):
                pools[number] = _pool(stack)
            try:
                last[number] = pools[number].submit(compute, job)
            except OSError as error:  # it starts its process now
                raise _no_worker(error) from None
            except BrokenProcessPool:  # died while it had nothing to do
                pools[number] = _pool(stack)
                last[number] = pools[number].submit(compute, job)
            return last[number]

        yield Executor(submit, lambda: workers, (BrokenProcessPool,), 3)


def _pool(stack: ExitStack) -> ProcessPoolExecutor:
    try:
        return worker_process(stack)
    except (OSError, NotImplementedError) as error:
        raise _no_worker(error) from None


def _no_worker(error: OSError | NotImplementedError) -> InputError:
    """Return what to say where the system gives no process, handle or semaphore."""
    reason = (getattr(error, "strerror", None) or "no semaphores").lower()
    sentence = f"no worker process can be started ({reason}); they need a writable /dev/shm and"
    return refuse("--workers", f"{sentence} free file handles, so see to these or give fewer")


def check_address(address: str) -> None:
    """Refuse what is no address of a scheduler.

    Raises:
        InputError: It is not like tcp://host:8786.
    """
    if not _ADDRESS.fullmatch(address):
        sentence = f"is {quoted(address)}; write it as the scheduler prints it, tcp://host:8786"
        raise refuse("--scheduler", sentence)


@contextmanager
def cluster_executor(address: str) -> Iterator[Executor]:
    """Yield the workers of a dask.distributed cluster, one design a worker at a time.

    Workers may come and go; the scheduler reassigns the designs of a lost one.

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
        client = Client(address, timeout=CONNECT_TIMEOUT_S, set_as_default=False)
    except (OSError, TimeoutError, ValueError) as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        sentence = f"is {address}, which does not answer as a scheduler ({reason}); start one with"
        raise refuse("--scheduler", f"{sentence} `dask scheduler` and workers with it") from None
    with _silenced("distributed"), client:
        _check_versions(client)
        executor = client.get_executor(pure=False)

        def slots() -> int:
            try:
                return len(client.nthreads())
            except OSError:  # it ended during the call
                raise StoppedError(SCHEDULER_LOST) from None

        yield Executor(lambda job: executor.submit(compute, job), slots, (KilledWorker,), 1)


@contextmanager
def _silenced(library: str) -> Iterator[None]:
    """Keep a library from logging what this program reports itself."""
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
    processes = {"the scheduler": client.run_on_scheduler}
    processes |= {f"worker {name}": partial(_at, client, name) for name in client.nthreads()}
    for where, call in processes.items():
        theirs = _answer(call, barwright_version)
        if theirs != ours:
            has = f"has barwright {theirs}" if theirs else "has no barwright"
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


def _at(client: Any, worker: str, call: Callable[[], Any]) -> Any:
    return client.run(call, workers=[worker])[worker]


def _answer(call: Callable[[Callable[[], Any]], Any], what: Callable[[], Any]) -> Any:
    """Return what a process answers, None where it does not know what it is asked."""
    try:
        return call(what)
    except Exception:  # noqa: BLE001 whatever a process without barwright raises
        return None
