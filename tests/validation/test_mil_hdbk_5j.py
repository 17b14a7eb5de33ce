"""MIL-HDBK-5J, Metallic materials and elements for aerospace vehicle structures.

US Department of Defense, 31 January 2003, chapters 2 and 3, read in a transcription.
The fully reversed amplitudes were worked out from the printed coefficients by hand,
apart from this program.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

from fea.fatigue.curve import amplitude_at_life_mpa, life_cycles
from fea.fatigue.strength import amplitude_at_mpa, cycles_at, strength_of
from geometry.errors import InputError
from geometry.material import FatigueCurve, load_material, material_ids

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

# row of the material, ratio, amplitudes at CYCLES: worked out with another program's arithmetic
OTHER_ROWS = {
    "3.2.1.1.8(b)": ("al-2014-t6", 1, -1.0, (214.92, 195.95, 162.68, 133.23)),
    "3.2.1.1.8(c)": ("al-2014-t6", 2, -1.0, (148.32, 134.79, 110.55, 88.27)),
    "3.7.6.1.8(b)": ("al-7075-t6", 1, -1.0, (157.40, 137.86, 108.23, 87.81)),
    "3.7.6.1.8(c)": ("al-7075-t6", 2, -1.0, (102.67, 89.79, 67.84, 49.32)),
    "2.3.1.2.8(a)": ("steel-4130-n", 1, 0.0, (358.92, 327.05, 277.12, 240.65)),
    "2.3.1.2.8(b)": ("steel-4130-n", 2, -1.0, (338.37, 306.66, 264.23, 240.65)),
    "2.3.1.2.8(c)": ("steel-4130-n", 3, -1.0, (278.00, 249.84, 194.97, 136.73)),
}
# half the last digit written
ROUNDING_MPA = 0.006

ROWS = [(name, 0, -1.0) for name in AMPLITUDES_MPA]
ROWS += [(name, row, ratio) for name, row, ratio, _ in OTHER_ROWS.values()]


def smooth(material_id: str) -> FatigueCurve:
    """Return the first row of a material: smooth specimens, holding at R = -1."""
    return load_material(material_id).fatigue[0]


@pytest.mark.parametrize("material_id", AMPLITUDES_MPA)
def test_reversed_amplitudes_of_smooth_specimens(material_id):
    """Figures named above, R = -1: amplitudes at four lives."""
    found = [amplitude_at_life_mpa(smooth(material_id), n) for n in CYCLES]
    assert found == pytest.approx(AMPLITUDES_MPA[material_id], abs=TOLERANCE_MPA)


@pytest.mark.parametrize("figure", OTHER_ROWS)
def test_amplitudes_of_the_other_rows(figure):
    """Figures named above: amplitudes at four lives of notched specimens, and of R = 0."""
    material_id, index, ratio, amplitudes = OTHER_ROWS[figure]
    row = load_material(material_id).fatigue[index]
    assert row.source.locator == f"Figure {figure}"
    found = [amplitude_at_life_mpa(row, n, ratio) for n in CYCLES]
    assert found == pytest.approx(amplitudes, abs=ROUNDING_MPA)


def test_no_row_goes_unseen():
    """The tables above hold every row of the catalogue."""
    rows = [(name, i) for name in material_ids() for i in range(len(load_material(name).fatigue))]
    assert sorted(rows) == sorted((name, index) for name, index, _ in ROWS)


@pytest.mark.parametrize("key", ["a1", "a2", "a3", "a4"])
@pytest.mark.parametrize(("material_id", "index", "ratio"), ROWS)
def test_tolerance_sees_a_coefficient_that_is_off(material_id, index, ratio, key):
    """Each coefficient off by 5 % moves an amplitude beyond the tolerance of its table."""
    row = load_material(material_id).fatigue[index]
    coefficient = getattr(row, key)
    off = replace(row, **{key: 1.05 * coefficient})
    moved = max(
        abs(amplitude_at_life_mpa(off, n, ratio) - amplitude_at_life_mpa(row, n, ratio))
        for n in CYCLES
    )
    # a coefficient of 0 cannot be off by a share, and at R = 0 A3 has no part
    idle = coefficient == 0 or (key == "a3" and ratio == 0)
    assert idle or moved > 2 * (ROUNDING_MPA if index else TOLERANCE_MPA)


@pytest.mark.parametrize(
    ("material_id", "ratio", "low", "high"),
    [
        ("al-6061-t6", -1.0, 86.6, 279.1),  # ends at 1e3 cycles, below the 290 of the strength
        ("al-6061-t6", 0.0, 134.0, 290.0),  # ends at the strength
        ("al-2014-t6", -1.0, 116.4, 394.0),  # Smax of R = -1 is the amplitude
        ("al-6061-t6", 0.9, 290.0, 290.0),  # even the strength lives beyond the curve
    ],
)
def test_range_of_a_row(material_id, ratio, low, high):
    """Smax of the lives 1e8 and 1e3 by the equation on paper, or the tensile strength."""
    strength = strength_of(load_material(material_id))
    amplitudes = amplitude_at_mpa(strength, np.array([1e8, 1e3]), np.full(2, ratio))
    found = 2 * amplitudes / (1 - ratio)
    assert found == pytest.approx((low, high), abs=0.15)  # logarithms of five digits


def test_no_stress_above_the_tensile_strength_is_stood():
    """0 to 290 MPa has a life on 6061-T6, 0 to 292 has none, whatever the equation says."""
    amplitudes, ratios = np.array([145.0, 146.0]), np.zeros(2)
    stood, refused = cycles_at(strength_of(load_material("al-6061-t6")), amplitudes, ratios)
    assert stood == pytest.approx(life_cycles(smooth("al-6061-t6"), 145, 0.0))
    assert refused == 0
    assert life_cycles(smooth("al-6061-t6"), 146, 0.0) > 1e4


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
