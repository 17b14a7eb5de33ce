"""Seed faults one after the other into a copy of the tree, and tell which the tests catch.

    .venv/bin/python tests/faults/seeded_faults.py [--whole] [--only WORD] [--skip-clean]

The faults stand in `seeded_faults.toml`. The tests named beside a fault are run, or with `--whole`
the fast suite. Before that they are run without a fault, where all must pass. Ends with 1 if a
fault was missed, with 2 if it could not be seeded or its tests not be run.
"""

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import tomllib
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
LIST = Path(__file__).with_name("seeded_faults.toml")
LEFT_OUT = (".git", ".venv", ".*_cache", "__pycache__", "results", "*.egg-info")

CAUGHT, MISSED, BROKEN = "caught", "MISSED", "NOT RUN"


@dataclass(frozen=True)
class Fault:
    """A change of one place that some test must see.

    Attributes:
        file: Path from the root of the tree.
        find: The text that is replaced; it stands once in the file.
        replace: What replaces it.
        tests: Nodes of pytest that fail then.
    """

    file: str
    find: str
    replace: str
    tests: tuple[str, ...]


def listed() -> tuple[Fault, ...]:
    """Return all faults, in the order of the list."""
    rows = tomllib.loads(LIST.read_text(encoding="utf-8"))["fault"]
    return tuple(Fault(**{**row, "tests": tuple(row["tests"])}) for row in rows)


def seeded_text(root: Path, fault: Fault) -> str:
    """Return the file's text with the fault.

    Raises:
        ValueError: The text to replace does not stand there once.
    """
    text = (root / fault.file).read_text(encoding="utf-8")
    if text.count(fault.find) != 1:
        msg = f"{fault.file} holds {text.count(fault.find)} times: {fault.find}"
        raise ValueError(msg)
    return text.replace(fault.find, fault.replace)


def main() -> int:
    """Seed what is asked for, print a line for each, and return the exit code."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--whole", action="store_true", help="run the fast suite for each fault")
    parser.add_argument("--only", default="", help="faults of files whose path holds this word")
    parser.add_argument("--skip-clean", action="store_true", help="do not run without a fault")
    asked = parser.parse_args()
    faults = [fault for fault in listed() if asked.only in fault.file]
    with tempfile.TemporaryDirectory() as place:
        tree = Path(place) / "tree"
        shutil.copytree(ROOT, tree, ignore=shutil.ignore_patterns(*LEFT_OUT))
        if not asked.skip_clean and _run(tree, _named(faults), whole=asked.whole):
            print("the tests fail without a fault: mend that first")
            return 2
        outcomes = [_outcome(tree, fault, whole=asked.whole) for fault in faults]
    counts = {name: outcomes.count(name) for name in (CAUGHT, MISSED, BROKEN)}
    print(", ".join(f"{count} {name}" for name, count in counts.items()))
    return 2 if counts[BROKEN] else int(counts[MISSED] > 0)


def _named(faults: list[Fault]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(test for fault in faults for test in fault.tests))


def _outcome(tree: Path, fault: Fault, *, whole: bool) -> str:
    """Seed a fault, run the tests, take it out again, and print what came of it."""
    sound = (tree / fault.file).read_text(encoding="utf-8")
    (tree / fault.file).write_text(seeded_text(tree, fault), encoding="utf-8")
    try:
        code = _run(tree, fault.tests, whole=whole)
    finally:
        (tree / fault.file).write_text(sound, encoding="utf-8")
    # 0: all passed, 1: a test failed, others: they could not be run
    outcome = {0: MISSED, 1: CAUGHT}.get(code, BROKEN)
    print(f"{outcome:8} {fault.file}: {fault.find}", flush=True)
    return outcome


def _run(tree: Path, tests: tuple[str, ...], *, whole: bool) -> int:
    """Return the exit code of pytest in the copy, stopped at the first failure."""
    paths = [str(tree), str(tree / "tests")]
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(paths), "PYTHONDONTWRITEBYTECODE": "1"}
    which = ["-n", "2"] if whole else ["-n", "0", *tests]
    call = [sys.executable, "-m", "pytest", "-q", "-x", "-m", "not slow", *which]
    return subprocess.run(call, cwd=tree, env=env, capture_output=True, check=False).returncode


if __name__ == "__main__":
    sys.exit(main())
