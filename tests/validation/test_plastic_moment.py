"""Plastic moment of a tube, handbook: yield stress times (D^3 - d^3)/6, closed form.

Small displacements: the modulus is so large that the strains vanish, and the section does not
ovalise. At 25 times the yield strain in the outer fibre the elastic core is worth less than 0.1 %.
"""

from collections.abc import Mapping

import numpy as np
import pytest

from support.checks import Problem, Target, misses
from support.large import metal, perfectly_plastic
from support.pure_bending import bent, half_slice

E_MPA, YIELD_MPA, YIELDS = 7e7, 240.0, 25.0

SECTIONS = {"31.8 x 1.5": (31.8, 1.5), "31.8 x 2.5": (31.8, 2.5)}


def yielded(scale: float) -> Mapping[str, float]:
    """Return the moment of each section over its plastic moment, the yield stress scaled."""
    found = {}
    for name, (od, wall) in SECTIONS.items():
        block = half_slice((od - wall) / 2, wall, 8.0, (2, 12, 2))
        last = YIELDS * YIELD_MPA / E_MPA / (od / 2)
        made_of = metal(E_MPA, 0.33, perfectly_plastic(scale * YIELD_MPA))
        path = bent(block, made_of, last * np.linspace(0.02, 1.0, 21))
        found[name] = list(path)[-1].moment / YIELD_MPA
    return found


TUBES = Problem(
    "plastic moment of tubes",
    yielded,
    # 0.2 %: the core, and points in steps round the section
    {
        name: Target((od**3 - (od - 2 * wall) ** 3) / 6, 2e-3)
        for name, (od, wall) in SECTIONS.items()
    },
    slow=True,
)

PROBLEMS = (TUBES,)


@pytest.mark.slow
def test_plastic_moment() -> None:
    """Two layers of two points through the wall, whose own plastic moment they have exactly."""
    assert misses(TUBES) == {}
