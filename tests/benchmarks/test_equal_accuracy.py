"""Time at equal accuracy: three problems here, in NGSolve, felupe and scikit-fem, on one thread.

Deflection within 0.5 % and stress at a smooth place within 2 % of converged answers, from geometry
to both, in CPU time. Each code has the cheapest mesh found that is accurate enough:

| problem | Barwright | NGSolve | scikit-fem and felupe |
|---|---|---|---|
| tube | 2 x 6 | order 3, 2 x 5 | 2 x 11 |
| bend | 9 x 16 | order 3, 8 x 15 | 9 x 16 |
| riser | 32 x 8 | order 3, 32 x 7 | 32 x 11 |

elements along and round, one through the wall. Searched were 1 to 5 along and 3 to 32 round for the
tube, 4 to 14 and 8 to 40 for the bend, 32 to 134 and 5 to 36 for the riser; NGSolve in orders 2, 3
and, not for the riser, 4, with static condensation and its own Cholesky solver; felupe also with
27 points, which was dearer in all three. Order 2 of NGSolve met the stress nowhere in the bend and
the riser. Odd numbers round put the place in the middle of an element, where elements without
recovery are most accurate. felupe and scikit-fem have our element, its 2 x 2 x 2 points, and our
way to call PARDISO; scikit-fem finds the same deflections to ten digits.

Of the best of the three, always felupe, Barwright takes about 0.9, 1.0 and 0.7; 0.24, 0.08 and 0.07
of NGSolve's and 0.03, 0.09 and 0.08 of scikit-fem's. felupe by pypardiso's own call takes 1.3 to
1.5 times as long. Barwright's own meshes of the riser, which nobody has to choose, are finer than
these figures need: 360 ms on the preview level and 760 ms on the coarse one, where felupe takes
105 ms on a mesh that was searched for.
"""

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from statistics import median
from typing import Any

import pytest

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

TESTS = Path(__file__).parents[1]

RIVALS = ("NGSolve", "scikit-fem", "felupe")

DEFLECTION_OFF, STRESS_OFF = 0.005, 0.02
"""How far from the converged answer a code may be."""

CONVERGED = {"tube": (1.5803, -96.79), "bend": (0.7480, 40.15), "riser": (14.3867, 377.2)}
"""Deflection in mm and stress in MPa.

NGSolve in order 4 and fine meshes here, of two layers in bends, agree within 0.03 % and 0.2 %:
1.58028 and 1.57982, -96.79 and -96.79; 0.74796 and 0.74802, 40.14 and 40.17; 14.3867 and 14.3864,
377.2 and 376.6. The tube's axial stress is F (L - s) D/(2 I), textbook: 96.80 MPa. Of the bend the
hoop stress is read, for one layer leaves 1.9 % in von Mises there on any mesh of the sheet.
"""

MOST_OF_BEST = {"tube": 1.9, "bend": 2.0, "riser": 1.4}
"""About twice the median ratio over the best of the three, of 5 runs: 0.91, 1.00 and 0.69."""

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")


@pytest.fixture(scope="module")
def told() -> dict[str, dict[str, dict[str, Any]]]:
    """Return seconds and findings by problem and code, from a process of its own."""
    for library in ("ngsolve", "felupe", "cvxopt", "pypardiso"):
        pytest.importorskip(library)
    paths = os.pathsep.join([str(TESTS.parent), str(TESTS)])
    env = {**os.environ, **ONE_THREAD, "PYTHONPATH": paths}
    call = [sys.executable, "-m", "support.equal_round"]
    return json.loads(subprocess.run(call, env=env, capture_output=True, check=True).stdout)


@pytest.mark.parametrize("problem", CONVERGED)
def test_time_at_equal_accuracy(
    problem: str, told: dict[str, dict[str, dict[str, Any]]], record_property: Record
) -> None:
    """Every code is accurate enough, and Barwright takes little more than the best at most."""
    codes, deflection_mm, stress_mpa = told[problem], *CONVERGED[problem]
    seconds = {name: median(code["seconds"]) for name, code in codes.items()}
    best = min(seconds[name] for name in RIVALS)
    for name, code in codes.items():
        off = [code["deflection_mm"] / deflection_mm - 1, code["stress_mpa"] / stress_mpa - 1]
        record_property(name, f"{1e3 * seconds[name]:.1f} ms, {off[0]:.2%} and {off[1]:.2%} off")
        record_property(f"{name} over the best of the others", f"{seconds[name] / best:.2f}")
        assert abs(off[0]) < DEFLECTION_OFF, name
        assert abs(off[1]) < STRESS_OFF, name
    assert seconds["Barwright"] <= MOST_OF_BEST[problem] * best
