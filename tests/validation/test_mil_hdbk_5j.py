"""MIL-HDBK-5J, Metallic materials and elements for aerospace vehicle structures.

US Department of Defense, 31 January 2003, chapters 2 and 3, read in a transcription.
The fully reversed amplitudes were worked out from the printed coefficients by hand,
apart from this program.
"""

import math

import pytest

from fea.fatigue_curve import amplitude_at_life_mpa, life_cycles
from geometry.errors import InputError
from geometry.material import FatigueCurve, load_material

# half the last digit of the table, and of the handbook's rounded coefficients
TOLERANCE_MPA = 1.0

CYCLES = (1e5, 2e5, 1e6, 1e7)
AMPLITUDES_MPA = {
    "al-6061-t6": (175, 163, 138, 109),  # Figure 3.6.2.2.8
    "al-2014-t6": (242, 225, 190, 149),  # Figure 3.2.1.1.8(a)
    "al-7075-t6": (271, 252, 213, 170),  # Figure 3.7.6.1.8(a)
    "al-7050-t73511": (208, 186, 148, 115),  # Figure 3.7.4.1.8(a)
    "steel-4130-n": (407, 388, 355, 328),  # Figure 2.3.1.2.8(a), the row of R = -1
}


def smooth(material_id: str) -> FatigueCurve:
    """Return the first row of a material: smooth specimens, holding at R = -1."""
    return load_material(material_id).fatigue[0]


@pytest.mark.parametrize("material_id", AMPLITUDES_MPA)
def test_reversed_amplitudes_of_smooth_specimens(material_id):
    """Figures named above, R = -1: amplitudes at four lives."""
    found = [amplitude_at_life_mpa(smooth(material_id), n) for n in CYCLES]
    assert found == pytest.approx(AMPLITUDES_MPA[material_id], abs=TOLERANCE_MPA)


def test_tolerance_sees_a_coefficient_that_is_off():
    """A1 off by 5 % moves the amplitude far beyond the tolerance."""
    row = smooth("al-6061-t6")
    off = FatigueCurve(row.kt, 1.05 * row.a1, row.a2, row.a3, row.a4, row.source)
    assert abs(amplitude_at_life_mpa(off, 1e6) - 138) > 10 * TOLERANCE_MPA


@pytest.mark.parametrize("ratio", [-1.0, -0.3, 0.0, 0.5])
def test_life_is_the_inverse_of_amplitude(ratio):
    """Going to an amplitude and back returns the life, at any stress ratio."""
    row = smooth("al-7075-t6")
    amplitude = amplitude_at_life_mpa(row, 3e5, ratio)
    assert life_cycles(row, amplitude, ratio) == pytest.approx(3e5, rel=1e-9)


def test_a_stress_under_the_curve_lives_for_ever():
    """Below A4 the equation has no life."""
    assert life_cycles(smooth("steel-4130-n"), 40 * 6.894757) == math.inf


def test_mean_stress_lowers_the_amplitude():
    """At R = 0 the amplitude for a life is lower than at R = -1."""
    row = smooth("al-6061-t6")
    assert amplitude_at_life_mpa(row, 1e6, 0.0) < amplitude_at_life_mpa(row, 1e6)


def test_a_row_is_refused_beyond_its_stress_ratios():
    """4130 has one row for R = -1 and another for R from -0.6 to 0.02."""
    reversed_row, other_row = load_material("steel-4130-n").fatigue[:2]
    with pytest.raises(InputError, match=r"holds for -0\.6 to 0\.02"):
        amplitude_at_life_mpa(other_row, 1e6)
    with pytest.raises(InputError, match="another row"):
        life_cycles(reversed_row, 300, 0.0)


@pytest.mark.parametrize(("amplitude", "cycles"), [(-1.0, 0.0), (math.nan, math.nan)])
def test_impossible_amplitudes_and_lives(amplitude, cycles):
    """A negative or missing amplitude or life is refused."""
    row = smooth("al-6061-t6")
    with pytest.raises(InputError, match="amplitude_mpa"):
        life_cycles(row, amplitude)
    with pytest.raises(InputError, match="cycles"):
        amplitude_at_life_mpa(row, cycles)
