"""The model's worked examples, by this program and number by number, and each red at 5 %.

The figures were worked on paper to four digits, n = 100 000 cycles.
"""

import pytest

from support import fatigue_by_number as by_number
from support.fatigue_by_number import ALUMINIUM_C, ROWS, STEEL_C, Place
from support.fatigue_stages import (
    ALUMINIUM,
    STEEL,
    STRONG_ALUMINIUM,
    edge_result,
    pulsating_stage,
    reversed_stage,
    surface_result,
)

# half a per cent of the stress; lives go with its power 5 to 10
FACTOR, LIFE = 5e-3, 5e-2

METALS = {
    "al-6061-t6": ALUMINIUM,
    "al-7075-t6": STRONG_ALUMINIUM,
    "steel-4130-n": STEEL,
}

# name: metal, whether an edge, axial, hoop, shear; factors; lives
EXAMPLES = {
    "riser edge": (
        ("al-7075-t6", True, (108.4, 0, 5.40)),
        (1.339, 1.665, 2.073),
        (379e3, 937e3, 2190e3),
    ),
    "riser bend": (
        ("al-7075-t6", False, (-193.7, -104.5, -1.0)),
        (0.947, 1.190, 1.459),
        (60.2e3, 522e3, 4000e3),
    ),
    "straight edge": (
        ("al-7075-t6", True, (97.50, 0, 0)),
        (1.490, 1.854, 2.310),
        (595e3, 1428e3, 3265e3),
    ),
    "straight edge of 6061": (("al-6061-t6", True, (97.50, 0, 0)), (0.963, 1.195, 1.483), None),
    "torsion": (("al-6061-t6", False, (0, 0, 60.26)), (1.135, 1.423, 1.737), None),
    "torsion at an edge": (("al-6061-t6", True, (0, 0, 35.29)), (2.289, 2.599, 2.944), None),
    "4130 edge": (("steel-4130-n", True, (150, 0, 0)), (1.711, 1.965, 2.254), None),
}


def by_program(metal, edge, row, scale=1.0):
    """Return factors and lives of an example, its stress times `scale`."""
    judge = edge_result if edge else surface_result
    stage = reversed_stage([tuple(scale * value for value in row)])
    found = judge(stage, material=METALS[metal]).worst.estimate
    return found.factor, found.life


def by_numbers(metal, edge, row):
    """Return the same without this program."""
    c = (STEEL_C if metal.startswith("steel") else ALUMINIUM_C) if edge else None
    place = Place(ROWS[metal], [by_number.Stage(row, (0, 0, 0), 1e5)], c)
    return by_number.factors(place), by_number.lives(place)


def agree(found, factors, lives):
    """Return whether factors and lives are those worked on paper."""
    as_worked = found[0] == pytest.approx(factors, rel=FACTOR)
    return as_worked and (lives is None or found[1] == pytest.approx(lives, rel=LIFE))


@pytest.mark.parametrize("answer", [by_program, by_numbers])
@pytest.mark.parametrize("name", EXAMPLES)
def test_worked_example(name, answer):
    """Low, middle and high of the factor and of the life, low, middle and high."""
    given, factors, lives = EXAMPLES[name]
    assert agree(answer(*given), factors, lives)


@pytest.mark.parametrize("scale", [0.95, 1.05])
@pytest.mark.parametrize("name", EXAMPLES)
def test_five_percent_of_stress_is_seen(name, scale):
    """The stress off by 5 % leaves the tolerance of each example, of factors and lives alike."""
    given, factors, lives = EXAMPLES[name]
    off = by_program(*given, scale)
    assert off[0] != pytest.approx(factors, rel=FACTOR)
    assert lives is None or off[1] != pytest.approx(lives, rel=LIFE)


def test_pulsating_edge():
    """6061-T6, 0 to 80 MPa: S = 270.4 / 2 = 135.2 at R = 0, over 1.5 x 40 is 2.253."""
    found = edge_result(pulsating_stage([(80, 0, 0)]))
    assert found.factor.middle == pytest.approx(2.253, rel=FACTOR)
    off = edge_result(pulsating_stage([(84, 0, 0)]))
    assert off.factor.middle != pytest.approx(2.253, rel=FACTOR)


def spectrum(scale=1.0):
    """Return Miner's sum of the worked spectrum, its second stage times `scale`."""
    stages = reversed_stage([(97.5, 0, 0)]), reversed_stage([(scale * 150, 0, 0)], 1e4)
    return edge_result(*stages, material=STRONG_ALUMINIUM)


def test_spectrum_of_two_stages():
    """1e5 at 97.5 (life 1 428 000) and 1e4 at 150 (238 000): .0700 + .0420 = .1120."""
    found = spectrum()
    assert found.damage == pytest.approx(0.1120, rel=FACTOR)
    assert found.life.middle == pytest.approx(110e3 / 0.1120, rel=FACTOR)
    assert spectrum(1.05).damage != pytest.approx(0.1120, rel=FACTOR)


def test_what_moves_an_edge_moves_its_range():
    """Clamp stiffness that moves the amplitude by 0.1 decades widens both ends, not the middle."""
    plain = edge_result(reversed_stage([(97.5, 0, 0)]), material=STRONG_ALUMINIUM)
    wide = edge_result(reversed_stage([(97.5, 0, 0)]), material=STRONG_ALUMINIUM, clamp_change=0.1)
    # h_low^2 = .0522^2 + log(1.8 / 1.5)^2 = .00900, h_high^2 = .0535^2 + log(1.5 / 1.25)^2 = .00913
    assert plain.factor.low == pytest.approx(1.854 * 10**-0.0949, rel=FACTOR)
    assert wide.factor.low == pytest.approx(1.854 * 10 ** -(0.0190**0.5), rel=FACTOR)
    assert wide.factor.high == pytest.approx(1.854 * 10 ** (0.01913**0.5), rel=FACTOR)
    assert wide.factor.middle == plain.factor.middle
