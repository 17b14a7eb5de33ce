"""A dask scheduler and its workers, each a process of its own, spoken to over TCP."""

import os
import re
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]


@dataclass
class Cluster:
    """A scheduler's address and the workers' processes."""

    address: str
    scheduler: subprocess.Popen[bytes]
    workers: list[subprocess.Popen[bytes]]

    def add(self) -> None:
        """Start another worker, one thread, without a nanny that would start it again."""
        self.workers.append(
            _started("worker", self.address, "--nthreads", "1", "--no-dashboard", "--no-nanny")
        )


@contextmanager
def cluster(workers: int) -> Iterator[Cluster]:
    """Yield a cluster on this machine that is ready to work."""
    scheduler = _started("scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
    made = Cluster(_address(scheduler), scheduler, [])
    try:
        for _ in range(workers):
            made.add()
        _wait_for(made)
        yield made
    finally:
        for process in (*made.workers, scheduler):
            process.kill()
            process.wait()


def _started(*arguments: str) -> subprocess.Popen[bytes]:
    threads = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
    path = os.pathsep.join([str(ROOT), str(ROOT / "tests")])
    call = [sys.executable, "-m", "distributed.cli.dask_" + arguments[0], *arguments[1:]]
    if arguments[0] == "scheduler":
        return subprocess.Popen(
            call, env={**os.environ, **threads, "PYTHONPATH": path}, stderr=subprocess.PIPE
        )
    return subprocess.Popen(
        call, env={**os.environ, **threads, "PYTHONPATH": path}, stderr=subprocess.DEVNULL
    )


def _address(scheduler: subprocess.Popen[bytes]) -> str:
    """Return the address that the scheduler tells in its log, and let the rest of it pass."""
    if scheduler.stderr is None:
        raise RuntimeError
    for line in scheduler.stderr:
        found = re.search(rb"Scheduler at:\s+(tcp://\S+)", line)
        if found:
            return found[1].decode()
    raise RuntimeError("the scheduler did not start")


def _wait_for(made: Cluster) -> None:
    from distributed import Client

    with Client(made.address, set_as_default=False) as client:
        client.wait_for_workers(len(made.workers), timeout=60)
        time.sleep(0.1)
