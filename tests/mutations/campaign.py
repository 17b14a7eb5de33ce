"""Run the command line on mutants, and tell which end in a traceback or not at all.

    .venv/bin/python tests/mutations/campaign.py [--count 20000] [--seed 1] [--first 0]

Each mutant has a seed of its own, so one that fails is run again alone: `--first N --count 1`.
Instead of a mesh and a solution there is a stub, of which only the results of one small bar are
real; a mutant *reaches the solver* where the program hands it a study. Ends with 1 if any fell.
"""

import argparse
import os
import shutil
import signal
import sys
import tempfile
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager, nullcontext, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from io import BytesIO, TextIOWrapper
from pathlib import Path
from random import Random
from tomllib import loads as toml_of
from typing import Any
from unittest.mock import patch

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]

from mutations import mutants
from studies.assessment import run as assessment
from studies.assessment.run import StudyRun, run_study
from studies.commands import computing
from studies.commands.main import main
from studies.comparison import designs
from studies.results.writing import write_results
from studies.study_file.study import read_study
from studies.sweeps import executors
from studies.sweeps.executors import Executor
from studies.sweeps.rows import DesignRow, Job
from studies.sweeps.worker import compute
from support.sweeps import made_row

LONGEST_S = 120
"""After this a mutant counts as endless."""

EXIT_CODES = (0, 1, 2, 3)

GENTLE = 0.55
"""Share of mutants whose numbers move a little."""

EXAMPLES, RICH = (
    Path(__file__).parents[2] / "studies/examples",
    Path(__file__).with_name("rich.toml"),
)


class ReachedSolverError(BaseException):
    """Raised in place of a mesh: the study is as good as solved."""


class EndlessError(BaseException):
    """Raised where a mutant takes too long."""


@dataclass(frozen=True)
class Outcome:
    """What a mutant came to.

    Attributes:
        kind: Of input.
        reached: Whether the solver or its stub was reached.
        code: Exit code, None where it was reached first or fell.
        fault: Traceback or what else is wrong, empty where nothing is.
        arguments: Of the command line.
    """

    kind: str
    reached: bool
    code: int | None
    fault: str
    arguments: tuple[str, ...]


@dataclass(frozen=True)
class Given:
    """What mutants are made from.

    Attributes:
        texts: Of study files.
        run: Results of the small bar.
        results: Its results folder, with a sweep in it.
        study: Its study file.
    """

    texts: tuple[str, ...]
    run: StudyRun
    results: Path
    study: Path


def given_in(folder: Path) -> Given:
    """Compute the small bar in a folder, once for all mutants."""
    files = (*sorted(EXAMPLES.glob("*.toml")), RICH, RICH)
    study = folder / "rich.toml"
    shutil.copy(RICH, study)
    run, results = run_study(read_study(study)), folder / "made" / "rich"
    write_results(run, results)
    with _stubs(run):
        called(["sweep", str(study), "--out", str(results), "--workers", "1"])
    return Given(tuple(path.read_text("utf-8") for path in files), run, results, study)


def outcome(given: Given, seed: int, folder: Path) -> Outcome:
    """Make the mutant of a seed in an empty folder, run it, and return what came of it."""
    random = Random(seed)  # noqa: S311 draws mutants, no secrets
    kind = random.choices(list(KINDS), WEIGHTS)[0]
    arguments = KINDS[kind](given, random, folder)
    before = Path.cwd()
    os.chdir(folder)
    _reached.clear()
    try:
        with _stubs(given.run):
            code, fault = called(arguments)
    finally:
        os.chdir(before)
    return Outcome(kind, bool(_reached), code, fault, tuple(arguments))


def called(arguments: list[str]) -> tuple[int | None, str]:
    """Return exit code and fault of a command, whose output is held back."""
    out, err = (TextIOWrapper(BytesIO(), "utf-8") for _ in range(2))
    signal.signal(signal.SIGALRM, _end)
    signal.alarm(LONGEST_S)
    try:
        with redirect_stdout(out), redirect_stderr(err):
            code: int | None = main(arguments)
    except ReachedSolverError:
        return None, ""
    except EndlessError:
        return None, f"took over {LONGEST_S} s"
    except BaseException:  # noqa: BLE001 what falls here is what is looked for
        return None, traceback.format_exc()
    finally:
        signal.alarm(0)
    err.seek(0)
    said = err.read()
    wrong = "" if code in EXIT_CODES else f"exit code {code}"
    return code, wrong or (said if "Traceback" in said or "fault of the program" in said else "")


def _end(number: int, frame: object) -> None:
    raise EndlessError


_reached: list[str] = []


@contextmanager
def _stubs(made: StudyRun) -> Iterator[None]:
    """Stand in for the mesh, the workers, the browser, and a comparison's solution."""

    def meshed(*given: Any) -> None:
        _reached.append("mesh")
        raise ReachedSolverError

    def solved(*given: Any, **options: Any) -> StudyRun:
        _reached.append("comparison")
        return made

    with (
        patch.object(assessment, "mesh_for", meshed),
        patch.object(designs, "run_study", solved),
        patch.object(executors, "local_executor", _workers),
        patch.object(computing, "previewed", lambda *_: nullcontext(lambda: None)),
        patch("webbrowser.open", lambda *given, **options: True),
    ):
        yield


@contextmanager
def _workers(workers: int) -> Iterator[Executor]:
    def submit(job: Job) -> "Future[str]":
        future: Future[str] = Future()
        try:
            row = DesignRow.model_validate_json(compute(job))
            if row.traceback:
                raise RuntimeError(row.traceback)
        except ReachedSolverError:
            row = made_row(job)
        future.set_result(row.model_dump_json())
        return future

    yield Executor(submit, lambda: workers, (), 1)


def _study_file(given: Given, random: Random, folder: Path) -> list[str]:
    """A study file, for any command that reads one."""
    change = mutants.gentle_text if random.random() < GENTLE else mutants.odd_text
    text = change(random.choice(given.texts), random)
    (folder / "study.toml").write_text(text, "utf-8", errors="surrogateescape")
    return _command(random)


def _settings(given: Given, random: Random, folder: Path) -> list[str]:
    """One or two settings beside a study file that is as it should be."""
    text = random.choice(given.texts)
    (folder / "study.toml").write_text(text, "utf-8")
    make = mutants.gentle_setting if random.random() < GENTLE else mutants.odd_setting
    table, settings = toml_of(text), list[str]()
    for _ in range(random.randint(1, 2)):
        settings += ["--set", make(table, random)]
    return [
        random.choice(("run", "run", "run", "check", "collapse", "sweep")),
        "study.toml",
        *settings,
    ]


def _results_folder(given: Given, random: Random, folder: Path) -> list[str]:
    """A results folder that something else wrote in, for whatever reads or replaces one."""
    shutil.copy(given.study, folder / "rich.toml")
    found = mutants.copy_of(given.results, folder / "results" / "rich")
    if random.random() >= GENTLE / 2:
        mutants.spoil_folder(found, random)
    command = random.choice(("view", "compare", "compare", "run", "sweep", "sweep", "collapse"))
    if command == "view":
        return ["view", str(found)]
    if command == "compare":
        text = (folder / "rich.toml").read_text("utf-8").replace('name = "rich"', 'name = "other"')
        (folder / "other.toml").write_text(text, "utf-8")
        return ["compare", "rich.toml", "other.toml", "--no-figures"]
    more = ["--case", "push"] if command != "sweep" else ["--workers", "1"]
    return [command, "rich.toml", *more]


KINDS: dict[str, Callable[[Given, Random, Path], list[str]]] = {
    "study file": _study_file,
    "settings": _settings,
    "results folder": _results_folder,
}


WEIGHTS = (5, 4, 1)
"""How often each kind comes: a results folder takes the longest."""


def _command(random: Random) -> list[str]:
    """Return a command on `study.toml`; most often the one that computes it."""
    command = random.choice(("run", "run", "run", "run", "check", "collapse", "sweep", "optimise"))
    return [
        command,
        "study.toml",
        *(["--workers", "1"] if command in {"sweep", "optimise"} else []),
    ]


def outcomes(count: int, seed: int, first: int = 0) -> Iterator[tuple[int, Outcome]]:
    """Yield number and outcome of mutants, each made from the seed and its number alone."""
    with tempfile.TemporaryDirectory() as place:
        given = given_in(Path(place))
        for number in range(first, first + count):
            folder = Path(place) / "mutant"
            shutil.rmtree(folder, ignore_errors=True)
            folder.mkdir()
            yield number, outcome(given, seed * 1_000_000 + number, folder)


def campaign() -> int:
    """Run what is asked for, print each mutant that fell and a table, and return the exit code."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="number of the first mutant")
    asked = parser.parse_args()
    made, reached, fell = Counter[str](), Counter[str](), Counter[str]()
    for number, one in outcomes(asked.count, asked.seed, asked.first):
        made[one.kind] += 1
        reached[one.kind] += one.reached or one.code == 0
        fell[one.kind] += bool(one.fault)
        if one.fault:
            print(f"-- mutant {number}: {' '.join(one.arguments)}\n{one.fault}", flush=True)
    print(f"{'input':16}{'mutants':>9}{'valid':>9}{'fell':>6}")
    for kind in made:
        print(f"{kind:16}{made[kind]:9}{reached[kind]:9}{fell[kind]:6}")
    print(f"{'all':16}{made.total():9}{reached.total():9}{fell.total():6}")
    return int(fell.total() > 0)


if __name__ == "__main__":
    sys.exit(campaign())
