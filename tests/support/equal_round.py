"""The problems of `equal_problems`, each code on its cheapest mesh that is accurate enough.

Run as a module it prints, for every problem and code, the CPU seconds of a few rounds in which all
take turns, after one that loads their libraries, and what they found, as JSON.
"""

import json
import sys
from collections.abc import Callable
from dataclasses import asdict
from time import process_time
from typing import Any

from ngsolve import SetNumThreads

from support.equal_problems import (
    Found,
    Problem,
    bend,
    bend_lines_mm,
    ours,
    ours_by_level,
    riser,
    riser_lines_mm,
    tube,
    tube_lines_mm,
)
from support.equal_rivals import ngsolve, of_felupe, scikit_fem

ROUNDS = 5

Solving = Callable[[Problem], Found]

TUBE: dict[str, Solving] = {
    "Barwright": lambda given: ours(given, tube_lines_mm(1, 5.0), 6),
    "Barwright, cholmod": lambda given: ours(given, tube_lines_mm(1, 5.0), 6, "cholmod"),
    "NGSolve": lambda given: ngsolve(given, tube_lines_mm(1, 5.0), 5, 3),
    "scikit-fem": lambda given: scikit_fem(given, tube_lines_mm(1, 5.0), 11),
    "felupe": lambda given: of_felupe(given, tube_lines_mm(1, 5.0), 11),
}

BEND: dict[str, Solving] = {
    "Barwright": lambda given: ours(given, bend_lines_mm(3, 2), 16),
    "Barwright, cholmod": lambda given: ours(given, bend_lines_mm(3, 2), 16, "cholmod"),
    "NGSolve": lambda given: ngsolve(given, bend_lines_mm(2, 2), 15, 3),
    "scikit-fem": lambda given: scikit_fem(given, bend_lines_mm(3, 2), 16),
    "felupe": lambda given: of_felupe(given, bend_lines_mm(3, 2), 16),
}

RISER: dict[str, Solving] = {
    "Barwright": lambda given: ours(given, riser_lines_mm(given, 200, 30), 8),
    "Barwright, cholmod": lambda given: ours(given, riser_lines_mm(given, 200, 30), 8, "cholmod"),
    "Barwright, preview level": lambda given: ours_by_level(given, "preview"),
    "Barwright, coarse level": lambda given: ours_by_level(given, "coarse"),
    "NGSolve": lambda given: ngsolve(given, riser_lines_mm(given, 200, 30), 7, 3),
    "scikit-fem": lambda given: scikit_fem(given, riser_lines_mm(given, 200, 30), 11),
    "felupe": lambda given: of_felupe(given, riser_lines_mm(given, 200, 30), 11),
}

PROBLEMS = {"tube": (tube, TUBE), "bend": (bend, BEND), "riser": (riser, RISER)}


def rounds(problem: Problem, codes: dict[str, Solving]) -> dict[str, dict[str, Any]]:
    """Return the seconds of each round and the findings of each code."""
    seconds: dict[str, list[float]] = {name: [] for name in codes}
    found = {name: solve(problem) for name, solve in codes.items()}
    for _ in range(ROUNDS):
        for name, solve in codes.items():
            start = process_time()
            solve(problem)
            seconds[name].append(process_time() - start)
    return {name: {"seconds": seconds[name], **asdict(found[name])} for name in codes}


if __name__ == "__main__":
    SetNumThreads(1)
    told = {name: rounds(make(), codes) for name, (make, codes) in PROBLEMS.items()}
    json.dump(told, sys.stdout)
