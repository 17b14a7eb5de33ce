"""Killed without warning at random moments, on this machine and over a cluster: 8 times, or 20.

After each kill the same command is given again and killed again, until nothing is left to kill. No
finished design may be lost or computed a second time, and the table at the end must be that of an
undisturbed sweep, byte for byte. Designs take 50 ms by a formula, for none of this depends on
what is computed; one sweep of real designs is killed too.
"""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from studies.study_file.errors import StoppedError
from studies.sweeps.executors import cluster_executor
from support.pages import short_bar
from support.quick_sweep import DESIGN_S

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
MAIN = ("-c", "import sys; from studies.commands.main import main; sys.exit(main())")
QUICK = ("-m", "support.quick_sweep")
DESIGNS, REAL_DESIGNS = 100, 4

kills = pytest.mark.parametrize("kills", [8, pytest.param(20, marks=pytest.mark.full)])
"""How often a sweep is killed; the moments are random in both, and the same ones first."""


def begun(
    folder: Path, *options: str, told: bool = False, real: bool = False
) -> subprocess.Popen[bytes]:
    """Start the sweep in a folder; what it says is kept where it is to be told."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "tests")])}
    walls = f"bar.stations.*.wall_mm=1.2:2.0:{REAL_DESIGNS if real else DESIGNS}"
    words = ("sweep", "pier.toml", "--set", walls, "--case", "push")
    # of real designs what is cheapest: none of this depends on what is computed
    only = ("--only", "deflection_mm") if real else ()
    call = [sys.executable, *(MAIN if real else QUICK), *words, *only]
    quiet = subprocess.DEVNULL
    heard = subprocess.PIPE if told else quiet
    return subprocess.Popen([*call, *options], cwd=folder, env=env, stdout=quiet, stderr=heard)


def finished(folder: Path) -> dict[str, tuple[int, bytes]]:
    """Return time of writing and content of each design on disk."""
    store = folder / "results" / "pier" / "designs"
    return {
        path.name: (path.stat().st_mtime_ns, path.read_bytes()) for path in store.glob("*.json")
    }


def survive(folder: Path, kills: int, *options: str) -> None:
    """Kill the sweep at random moments, then let it end, watching what is finished."""
    draw = random.Random(20)  # noqa: S311 no secret
    kept: dict[str, tuple[int, bytes]] = {}
    grew = 0
    for _ in range(kills):
        running = begun(folder, *options)
        # while it starts, or a moment after one more design or two: whatever the machine's speed
        grown = draw.choice((0, 1, 1, 2))
        more = len(kept) + grown
        _wait_until(lambda: running.poll() is not None or len(finished(folder)) >= more)  # noqa: B023
        time.sleep(draw.uniform(0.0, 4 * DESIGN_S if grown else 1.5))
        running.kill()
        running.wait()
        # a worker that outlived its sweep would go on writing
        now = finished(folder)
        assert now.items() >= kept.items()
        grew += len(now) > len(kept)
        kept = now
    # kills while nothing has begun, or when all is done, would show little
    assert grew >= kills / 4
    last = begun(folder, *options)
    assert last.wait(timeout=600) == 0
    assert finished(folder).items() >= kept.items()
    assert len(finished(folder)) == DESIGNS
    assert not list((folder / "results" / "pier").rglob("*.new"))


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    """Return the table of a sweep that nobody disturbed."""
    folder = tmp_path_factory.mktemp("undisturbed")
    short_bar(folder, "pier", 1.6)
    assert begun(folder).wait(timeout=600) == 0
    return (folder / "results" / "pier" / "designs.csv").read_bytes()


@kills
def test_killed_on_this_machine(tmp_path: Path, undisturbed: bytes, kills: int) -> None:
    """Workers end with the process that leads them, wherever it is killed."""
    short_bar(tmp_path, "pier", 1.6)
    survive(tmp_path, kills, "--workers", "2")
    assert (tmp_path / "results" / "pier" / "designs.csv").read_bytes() == undisturbed


def test_real_designs_are_kept_too(tmp_path: Path) -> None:
    """Killed while it solves: what is finished is not solved again, the table is the same."""
    for name in ("whole", "broken"):
        (tmp_path / name).mkdir()
        short_bar(tmp_path / name, "pier", 1.6)
    whole, broken = tmp_path / "whole", tmp_path / "broken"
    assert begun(whole, "--workers", "2", real=True).wait(timeout=600) == 0
    running = begun(broken, "--workers", "2", real=True)
    _wait_until(lambda: len(finished(broken)) >= 1)
    running.kill()
    running.wait()
    kept = finished(broken)
    assert len(kept) < REAL_DESIGNS
    assert begun(broken, "--workers", "2", real=True).wait(timeout=600) == 0
    assert finished(broken).items() >= kept.items()
    tables = [each / "results" / "pier" / "designs.csv" for each in (whole, broken)]
    assert tables[0].read_bytes() == tables[1].read_bytes()


@kills
def test_killed_over_a_cluster(tmp_path: Path, undisturbed: bytes, kills: int) -> None:
    """The cluster goes on without the sweep that was killed, and serves the next one."""
    pytest.importorskip("distributed")
    from support.cluster import cluster

    short_bar(tmp_path, "pier", 1.6)
    with cluster(2) as made:
        survive(tmp_path, kills, "--scheduler", made.address)
    assert (tmp_path / "results" / "pier" / "designs.csv").read_bytes() == undisturbed


def test_workers_lost_on_the_way(tmp_path: Path, undisturbed: bytes) -> None:
    """A worker of a cluster is killed, then all are, then others come: the table is the same."""
    pytest.importorskip("distributed")
    from support.cluster import cluster

    short_bar(tmp_path, "pier", 1.6)
    with cluster(2) as made:
        running = begun(tmp_path, "--scheduler", made.address)
        _wait_until(lambda: len(finished(tmp_path)) >= 3)
        made.workers[0].kill()
        _wait_until(lambda: len(finished(tmp_path)) >= 6)
        made.workers[1].kill()
        made.workers[1].wait()
        time.sleep(1.0)
        assert running.poll() is None
        made.add()
        assert running.wait(timeout=600) == 0
    assert (tmp_path / "results" / "pier" / "designs.csv").read_bytes() == undisturbed


def test_a_scheduler_that_goes_away(tmp_path: Path) -> None:
    """The sweep ends with 3 and a sentence, and what is finished can be read."""
    pytest.importorskip("distributed")
    from support.cluster import cluster

    short_bar(tmp_path, "pier", 1.6)
    with cluster(1) as made:
        running = begun(tmp_path, "--scheduler", made.address, told=True)
        _wait_until(lambda: len(finished(tmp_path)) >= 2)
        made.scheduler.kill()
        _, err = running.communicate(timeout=120)
    assert running.returncode == 3
    assert b"the scheduler is gone" in err
    assert b"Traceback" not in err
    table = (tmp_path / "results" / "pier" / "designs.csv").read_text(encoding="utf-8")
    assert table.count(",computed,") == len(finished(tmp_path))


def test_a_scheduler_that_goes_away_while_it_is_asked() -> None:
    """Between two designs the loop asks for the workers: that ends in the same sentence."""
    pytest.importorskip("distributed")
    from support.cluster import cluster

    with cluster(1) as made, cluster_executor(made.address) as executor:
        assert executor.slots() == 1
        made.scheduler.kill()
        made.scheduler.wait()
        with pytest.raises(StoppedError, match="the scheduler is gone"):
            executor.slots()


def test_local_workers_lost_on_the_way(tmp_path: Path, undisturbed: bytes) -> None:
    """Those that die while they compute are replaced, and their designs are computed after all."""
    short_bar(tmp_path, "pier", 1.6)
    running = begun(tmp_path, "--workers", "2")
    _wait_until(lambda: len(finished(tmp_path)) >= 3)
    lost = _workers(running.pid)
    for worker in lost:
        os.kill(worker, signal.SIGKILL)
    assert len(lost) == 2
    assert running.wait(timeout=600) == 0
    assert (tmp_path / "results" / "pier" / "designs.csv").read_bytes() == undisturbed


def _workers(leader: int) -> list[int]:
    """Return the processes that a sweep spawned to compute."""
    psutil = pytest.importorskip("psutil")
    children = psutil.Process(leader).children()
    return [child.pid for child in children if "spawn_main" in " ".join(child.cmdline())]


def _wait_until(happened, seconds: float = 300) -> None:
    end = time.monotonic() + seconds
    while not happened():
        assert time.monotonic() < end
        time.sleep(0.05)
