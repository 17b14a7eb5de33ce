"""Khalaf et al., Materials 15 (2022) 4350: strength of steel tubes over D/t, a trend half met.

M. S. Khalaf et al., "Experimental analysis of steel circular hollow section under bending
loads", doi 10.3390/ma15124350. Read are the ratios of the abstract: of tubes of 101.6 mm the one of
2 mm bears 0.61 of what that of 3 mm bears. Over the plastic moments, 0.68, that is 0.90: D/t 51
loses 10 % against D/t 34; derived. Yield of 290 and strength of 350 MPa are of a companion paper;
the plateau is a guess here, and each tube's own yield, its imperfection and the dents under its
loads are not known.

Computed, pure bending: as drawn a loss of 1 % (3 % without a plateau), with ripples of 5 % of the
wall 4 %, of 20 % of the wall 7 %. Both tubes reach their plastic moment as drawn, and fold then.
The sign and the growth with imperfection are what is tested; a loss of 10 % is not reached.
"""

from functools import cache
from typing import Any

import pytest

from fea.collapse.imperfection import Imperfection
from support.free_tubes import couples, largest_moment

OD_MM, YIELD_MPA = 101.6, 290.0
THIN_MM, THICK_MM = 2.0, 3.0
MEASURED_LOSS = 0.10

STEEL: dict[str, Any] = {
    "youngs_modulus_mpa": 200000,
    "poisson_ratio": 0.3,
    "density_kg_m3": 7850,
    "proof_stress_mpa": YIELD_MPA,
    "ultimate_stress_mpa": 350,
    "elongation_percent": 20,
    "stress_strain": [[0.00145, 289], [0.0035, 290], [0.015, 292], [0.05, 330], [0.15, 350]],
    "source": {"kind": "practice", "reference": "yield and strength as above, the rest a guess"},
}


@cache
def over_plastic(wall_mm: float, percent: float) -> float:
    """Return the largest moment over the plastic one, with ripples of so many percent."""
    table = couples(OD_MM, wall_mm, 5 * OD_MM)
    table["bar"]["material"] = STEEL
    rippled = Imperfection("ripple", percent) if percent else None
    found = largest_moment(table, 0.5, rippled)
    assert found.fell
    inner = OD_MM - 2 * wall_mm
    return found.moment_nmm / (YIELD_MPA * (OD_MM**3 - inner**3) / 6)


@pytest.mark.slow
@pytest.mark.parametrize(("percent", "least", "most"), [(0.0, 0.005, 0.025), (5.0, 0.03, 0.06)])
def test_the_thinner_tube_loses_strength(percent: float, least: float, most: float) -> None:
    """The more, the larger its imperfection, and less than was measured."""
    loss = 1 - over_plastic(THIN_MM, percent) / over_plastic(THICK_MM, percent)
    assert least < loss < most < MEASURED_LOSS


@pytest.mark.slow
def test_both_reach_their_plastic_moment_as_drawn() -> None:
    """Within 3 %, so the loss is not in the section but in how it folds."""
    for wall_mm in (THIN_MM, THICK_MM):
        assert over_plastic(wall_mm, 0.0) == pytest.approx(1.0, abs=0.03)
