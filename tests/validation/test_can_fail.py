"""Every published problem of the solids turns red when one datum is 5 % off.

Each file here that lists its `PROBLEMS` states them as functions of a factor on a modulus, a wall
or a load. With the factor at 1.05 each single result must leave its tolerance.
"""

import sys
from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

from support.checks import FIVE_PERCENT_MORE, Problem, misses

FOLDER = Path(__file__).parent
FILES = tuple(
    path
    for path in sorted(FOLDER.glob("test_*.py"))
    if "\nPROBLEMS = " in path.read_text(encoding="utf-8")
)


def _problems(path: Path) -> tuple[Problem, ...]:
    """Return what a validation file lists, from a copy of it under another name."""
    name = f"can_fail_{path.stem}"
    spec = spec_from_file_location(name, path)
    if spec is None or spec.loader is None:
        msg = f"{path} cannot be imported"
        raise ImportError(msg)
    module = module_from_spec(spec)
    sys.modules[name] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    listed: tuple[Problem, ...] = module.PROBLEMS
    return listed


def _every() -> Iterator[object]:
    for path in FILES:
        for problem in _problems(path):
            marks = [pytest.mark.slow] if problem.slow else []
            yield pytest.param(problem, id=problem.title, marks=marks)


def test_the_files_of_solids_are_found() -> None:
    """One file per source: none drops out because it lists its problems in another way."""
    assert len(FILES) >= 8


@pytest.mark.parametrize("problem", list(_every()))
def test_five_percent_turn_it_red(problem: Problem) -> None:
    """All results of the problem, not just one of them, miss their targets."""
    assert misses(problem, FIVE_PERCENT_MORE).keys() == problem.targets.keys()
