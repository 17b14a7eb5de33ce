"""P. Seide and V. I. Weingarten, J. Appl. Mech. 28 (1961) 112-116: cylinders in pure bending.

From memory, unverified: the largest bending stress at which a cylinder wrinkles is that of
uniform compression, a few per cent more for a short one. The target 1.032 for R/t 100 and L/R 1
comes from independent solids of order 3 and is an upper figure.
"""

from collections.abc import Mapping

from support.checks import Problem, Target, misses
from support.thin_cylinder import wrinkled


def bending(thickening: float) -> Mapping[str, float]:
    """Return the lowest bending stress over the classical one, for the moment and its reverse."""
    lowest, reversed_ones = wrinkled("bending", thickening)
    return {"lowest": lowest[0], "of the reverse": reversed_ones[0]}


BENDING = Problem(
    "cylinder in bending",
    bending,
    # 3 %: the solids' figure falls with refinement; ours moves by 0.1 % from 48 to 64 round
    {"lowest": Target(1.032, 0.03), "of the reverse": Target(1.032, 0.03)},
)

PROBLEMS = (BENDING,)


def test_bending() -> None:
    """Both signs of the moment, which a round tube cannot tell apart."""
    assert misses(BENDING) == {}
