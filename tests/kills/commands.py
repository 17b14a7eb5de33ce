"""The commands that are killed, what they must leave as it was, and how that is looked at."""

import json
import os
import random
import resource
import sys
import time
from dataclasses import dataclass
from functools import cache
from math import isclose
from multiprocessing import get_context
from multiprocessing.context import ForkServerContext
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
IMPORTED = ["support.quick_commands", "studies.sweeps.optimised", "studies.collapse.path_analysis"]

COMMANDS = {"sweep": 100, "run": 30, "collapse": 30, "optimise": 30}
"""How often each is killed."""

STUDY = """
name = "pier"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 1.0 }]
[bar.right]
points_mm = [[0, 0, 0], [70, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
[mesh]
level = "coarse"
[[cases]]
id = "push"
loads = [{ side = "right", from_end_mm = 20, force_n = [0, 0, -400], band_mm = 20 }]
"""

OPTIONS = {
    "sweep": ("--set", "bar.stations.*.wall_mm=1.2:2.0:{designs}", "--workers", "2"),
    "run": ("--no-live",),
    "collapse": ("--displacement-mm", "0.05"),
    "optimise": (
        *("--vary", "bar.stations.*.wall_mm=0.6:2.4:0.1", "--min-yield-factor", "3"),
        *("--workers", "2"),
    ),
}

OWN = ("notes.txt", "figures/photo.jpg")
"""Files of the user in the results folder."""

RECORDS = {"sweep": "designs.csv", "optimise": "optimise.json"}
"""What holds the numbers; results.json of the others."""

VARYING = ("seconds", "computed_at", "barwright_version", "resumed_steps", "minutes")
"""Keys of numbers that differ from run to run."""

MEETINGS, MOST_TRIES = 3, 12
"""Of two commands at once."""

FILE_BYTES = 60_000
"""Largest file while files are full: less than a page."""


@dataclass(frozen=True)
class Place:
    """Where a command is killed.

    Attributes:
        folder: Holds the study and the results folder.
        real: Whether it solves as for a user.
    """

    folder: Path
    real: bool

    @property
    def results(self) -> Path:
        """Return the results folder."""
        return self.folder / "out" / "pier"

    def clear_designs(self) -> None:
        """Let a sweep or a search begin anew."""
        for path in (self.results / "designs").glob("*.json"):
            path.unlink()


def started(command: str, place: Place, *options: str, limit: int = 0) -> BaseProcess:
    """Start a command in a process of its own; what it says goes to a file beside the study.

    Args:
        command: Its name.
        place: Where.
        options: More of them.
        limit: Bytes of the largest file that the system allows it; none where it is 0.
    """
    given = [one.format(designs=4 if place.real else 60) for one in OPTIONS[command]]
    given += [] if command == "sweep" else ["--no-figures"]
    words = [command, "pier.toml", *given, *options, "--out", str(place.results)]
    running = _forking().Process(target=_command, args=(words, place, limit))
    running.start()
    return running


@cache
def _forking() -> ForkServerContext:
    """Return what forks a process that has imported all, for imports take longer than commands."""
    paths = [str(ROOT), str(ROOT / "tests")]
    # one thread, for others would not be there after a fork
    os.environ.update(dict.fromkeys(THREADS, "1"), PYTHONPATH=os.pathsep.join(paths))
    context = get_context("forkserver")
    context.set_forkserver_preload(IMPORTED)
    return context


def _command(words: list[str], place: Place, limit: int) -> None:
    """Run a command in this process, and end it."""
    from studies.commands.main import main
    from support.quick_commands import main as quick

    os.chdir(place.folder)
    said = os.open("said.txt", os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.dup2(said, 1)
    os.dup2(said, 2)
    if limit:
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))
    sys.argv = ["barwright", *words]
    sys.exit(main() if place.real else quick())


def ended(running: BaseProcess) -> int:
    """Wait for a command, and return its exit code."""
    running.join()
    return int(running.exitcode or 0)


def prepare(place: Place, command: str) -> float:
    """Run a command undisturbed, keep its numbers to compare with, and return its seconds."""
    place.folder.mkdir(parents=True)
    (place.folder / "pier.toml").write_text(STUDY, encoding="utf-8")
    first = _forking().Process(target=time.monotonic)
    first.start()
    first.join()
    start = time.monotonic()
    if ended(started(command, place)):
        raise RuntimeError((place.folder / "said.txt").read_text(encoding="utf-8"))
    whole_s = time.monotonic() - start
    for name in OWN:
        (place.results / name).parent.mkdir(exist_ok=True)
        (place.results / name).touch()
    (place.folder / "reference.json").write_text(json.dumps(numbers(command, place.results)))
    return whole_s


def numbers(command: str, results: Path) -> Any:
    """Return what a results folder holds in numbers, None where it is not there or not whole."""
    try:
        text = (results / RECORDS.get(command, "results.json")).read_text(encoding="utf-8")
        return text if command == "sweep" else _lasting(json.loads(text))
    except (OSError, ValueError):
        return None


def _lasting(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _lasting(one) for key, one in value.items() if key not in VARYING}
    return [_lasting(one) for one in value] if isinstance(value, list) else value


def is_landing(command: str, place: Place) -> bool:
    """Return whether files are being put in place: a new folder, or half of a file."""
    if command == "sweep":
        return any(place.results.rglob(".*.new"))
    return any(place.results.parent.glob(".pier.*-*"))


def leftovers(place: Place) -> list[str]:
    """Return hidden folders beside the results, and halves of files in them."""
    beside = [path.name for path in place.results.parent.iterdir() if path != place.results]
    return beside + [path.name for path in place.results.rglob(".*.new")]


def finished_designs(place: Place) -> dict[str, int]:
    """Return the designs on disk, with the times they were written."""
    found = (place.results / "designs").glob("[!.]*.json")
    return {path.name: path.stat().st_mtime_ns for path in found}


def damage(command: str, place: Place, after: str) -> list[str]:
    """Return what is not as it was; after a kill it may lie in a hidden folder."""
    mended = after != "the kill"
    hidden = [] if mended else list(place.results.parent.glob(".pier.old-*"))
    places = [place.results, *hidden]
    expected = json.loads((place.folder / "reference.json").read_text(encoding="utf-8"))
    found = [numbers(command, one) for one in places]
    lost = []
    # the table of a sweep that goes on is that of what is finished
    if (mended or command != "sweep") and not any(same(expected, one) for one in found):
        lost.append(f"results after {after}")
    # on its way to the new folder a file has either name
    lost += [
        f"{name} after {after}" for name in OWN if not any((p / name).exists() for p in places)
    ]
    if mended and (left := leftovers(place)):
        lost.append(f"{', '.join(left)} is left over after {after}")
    return lost


def same(one: Any, other: Any) -> bool:
    """Return whether two records agree, numbers to round-off."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float) and isinstance(other, float | int):
        return isclose(one, other, rel_tol=1e-6, abs_tol=1e-9)
    return bool(one == other)


def completed(command: str, place: Place) -> list[str]:
    """Give a command again that was killed, and return what is wrong with its end."""
    resume = ("--resume",) if command == "collapse" else ()
    code = ended(started(command, place, *resume))
    return [f"the next command ended with {code}"] if code else []


def two_at_once(place: Place, draw: random.Random) -> list[str]:
    """Start two runs into one folder, and return what is wrong: where they meet one is refused.

    A quick run may have ended before the other one holds the folder, which is no fault.
    """
    lost, met = [], 0
    for _ in range(MOST_TRIES):
        first = started("run", place)
        time.sleep(draw.uniform(0.0, 0.1))
        codes = sorted((ended(started("run", place)), ended(first)))
        said = (place.folder / "said.txt").read_text(encoding="utf-8")
        met += codes != [0, 0]
        if codes != [0, 0] and (codes != [0, 2] or "another command writes to" not in said):
            lost.append(f"they ended with {codes}")
        if met == MEETINGS:
            break
    if not met:
        lost.append(f"they never met in {MOST_TRIES} tries")
    return lost + damage("run", place, after="two at once")


def full_disk(place: Place, draw: random.Random) -> list[str]:
    """Let no file be longer than a limit of the system, and return what is wrong."""
    (place.folder / "said.txt").unlink()
    code = ended(started("run", place, limit=FILE_BYTES + draw.randrange(1000)))
    said = (place.folder / "said.txt").read_text(encoding="utf-8")
    lost = [] if code == 2 else [f"it ended with {code}"]
    if "first yield" not in said or "cannot be written" not in said or "Traceback" in said:
        lost.append("it printed no answer, or no reason")
    return lost + damage("run", place, after="a full disk")
