"""How long a user waits for a command, as ratios to the imports that it cannot do without."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import pytest

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

ROOT = Path(__file__).parents[2]
RISER = str(ROOT / "studies" / "examples" / "harbour-riser.toml")
COMMAND = "from studies.commands.main import main; raise SystemExit(main())"

REPEATS = 5

MOST_OF_TYPER = 4.0
"""`--help` over the import of typer, which alone parses and prints it. Measured 1.2 to 2.0; numpy
alone would make it 3, scipy 7. What is loaded is counted in `tests/studies`."""

LIGHT = "import numpy, pydantic, rich.console, rich.table, typer"

MOST_OF_LIGHT = 5.0
"""`check` over the import of `LIGHT`: numpy surveys the bar, and there is no `check` without what
parses, validates and prints. Measured 2.1 to 3.4; about 0.4 s, where a second would be noticed."""


def seconds(code: str, *arguments: str) -> float:
    """Return how long a process of its own takes."""
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    start = perf_counter()
    call = [sys.executable, "-c", code, *arguments]
    subprocess.run(call, env=env, capture_output=True, check=True)
    return perf_counter() - start


def in_turn(*calls: tuple[str, ...]) -> list[float]:
    """Return the medians of calls that take turns, after one of each to fill caches."""
    rounds = [[seconds(*call) for call in calls] for _ in range(REPEATS + 1)][1:]
    return [median(each) for each in zip(*rounds, strict=True)]


def test_help_costs_little_more_than_typer(record_property: Record) -> None:
    """`--help` imports nothing heavy."""
    mine, known = in_turn((COMMAND, "--help"), ("import typer",))
    record_property("--help", f"{mine:.3f} s")
    record_property("import typer", f"{known:.3f} s")
    record_property("ratio", f"{mine / known:.2f}, at most {MOST_OF_TYPER:g}")
    assert mine <= MOST_OF_TYPER * known


def test_check_costs_little_more_than_its_imports(record_property: Record) -> None:
    """`check` of the riser meshes and solves nothing."""
    mine, light, numpy = in_turn((COMMAND, "check", RISER), (LIGHT,), ("import numpy",))
    record_property("check", f"{mine:.3f} s, {mine / numpy:.1f} times the import of numpy alone")
    record_property(LIGHT, f"{light:.3f} s")
    record_property("ratio", f"{mine / light:.2f}, at most {MOST_OF_LIGHT:g}")
    assert mine <= MOST_OF_LIGHT * light


def test_a_run_takes_seconds(tmp_path: Path, record_property: Record) -> None:
    """One case of the riser on the coarse mesh, without pictures and preview: the seconds it takes.

    Where the time of a whole run goes is told in `test_assessment.py`.
    """
    out = tmp_path / "out"
    options = ("--case", "iso-4210-5.bar-bending", "--mesh", "coarse", "--no-figures", "--no-live")
    taken = seconds(COMMAND, "run", RISER, *options, "--out", str(out))
    record_property("run --no-figures --no-live", f"{taken:.2f} s")
    assert (out / "results.json").is_file()
