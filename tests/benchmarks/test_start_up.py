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

REPEATS = 9

MOST_OF_TYPER = 2.0
"""`--help` over the import of typer, which alone parses and prints it. Measured 1.2."""

LIGHT = "import pydantic, rich.console, rich.table, typer"

MOST_OF_NUMPY = 3.0
"""`check` less one import of `LIGHT`, over the import of numpy. It reads and validates a study
with pydantic, integrates and surveys the bar with numpy and prints tables with rich: without
what validates and prints there is no `check`, so that import is allowed once. Measured TBD."""


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


def test_check_costs_little_more_than_numpy(record_property: Record) -> None:
    """`check` of the riser meshes and solves nothing."""
    mine, numpy, light = in_turn((COMMAND, "check", RISER), ("import numpy",), (LIGHT,))
    ratio = (mine - light) / numpy
    record_property("check", f"{mine:.3f} s")
    record_property("import numpy", f"{numpy:.3f} s")
    record_property(LIGHT, f"{light:.3f} s")
    record_property("ratio", f"{ratio:.2f}, at most {MOST_OF_NUMPY:g}")
    assert ratio <= MOST_OF_NUMPY


def test_a_run_takes_seconds(tmp_path: Path, record_property: Record) -> None:
    """`run --no-figures` of the riser, three cases and three grips each: the seconds."""
    out = tmp_path / "out"
    call = (COMMAND, "run", RISER, "--no-figures", "--solver", "splu", "--out", str(out))
    taken = median(seconds(*call) for _ in range(3))
    record_property("run --no-figures", f"{taken:.2f} s")
    assert (out / "results.json").is_file()
