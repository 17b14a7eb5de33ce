"""Fatigue where a material has rows by stress ratio, or nothing."""

from dataclasses import replace

import numpy as np
import pytest

from fea.fatigue.curve import life_cycles
from fea.fatigue.notes import notes_of
from fea.fatigue.strength import amplitude_at_mpa, cycles_at, strength_of
from geometry.material import load_material
from support.fatigue_stages import STEEL, pulsating_stage, result, reversed_stage, stress


def says(found, text, material=STEEL):
    """Return whether a note of a result has a text."""
    return any(text in note for note in notes_of(found, material))


def test_steel_rows_by_their_ratios():
    """4130: R = -1 and R = 0 take their rows; between them the shorter life counts, and is told."""
    full = result(reversed_stage([(450, 0, 0)]), material=STEEL)
    zero = result(pulsating_stage([(640, 0, 0)]), material=STEEL)
    between = result(reversed_stage([(400, 0, 0)]), material=STEEL, steady=stress((50, 0, 0)))
    assert (full.curve, zero.curve) == STEEL.fatigue[:2]
    assert full.life.middle == pytest.approx(life_cycles(STEEL.fatigue[0], 450))
    assert zero.life.middle == pytest.approx(life_cycles(STEEL.fatigue[1], 320, 0.0))
    # by R = -1 of A3 = 0 a maximum of 450 MPa, by the other row more than 1e8
    assert between.curve == STEEL.fatigue[0]
    assert between.life.middle == pytest.approx(life_cycles(STEEL.fatigue[0], 450))
    assert says(between, "between two rows")
    assert not says(full, "between two rows")
    assert not says(zero, "between two rows")


def test_above_all_rows_the_cycle_that_contains_it_counts():
    """200 MPa under 400 steady, R = 1/3: as 0.02 x 600 to 600 MPa, amplitude 294."""
    found = result(reversed_stage([(200, 0, 0)]), material=STEEL, steady=stress((400, 0, 0)))
    assert found.worst.estimate.worst.ratio == pytest.approx(1 / 3)
    assert found.life.middle == pytest.approx(life_cycles(STEEL.fatigue[1], 294, 0.02), rel=1e-9)
    assert says(found, "above the rows")


def test_below_all_rows_nothing_is_known():
    """A material that has the row of R -0.6 to 0.02 alone says nothing of a reversed stress."""
    partial = replace(STEEL, fatigue=STEEL.fatigue[1:2])
    found = result(reversed_stage([(300, 0, 0)]), material=partial)
    assert found.life is found.factor is found.damage is found.decision is None
    assert says(found, "R = -1.00", partial)
    assert says(found, "-0.6 to 0.02", partial)


def test_a_place_that_hardly_moves_never_decides():
    """16 MPa under 600 steady, R = 0.95, is stood for ever beside 450 reversed."""
    rows, steady = [(450, 0, 0), (1, 0, 0)], stress((0, 0, 0), (400, 0, 0))
    found = result(reversed_stage(rows), material=STEEL, steady=steady)
    alone = result(reversed_stage(rows[:1]), material=STEEL)
    assert found.worst.estimate.worst.place == 0
    assert found.life.middle == alone.life.middle


@pytest.mark.parametrize("ratio", [-1.0, -0.8, -0.6, -0.3, 0.02, 0.4])
@pytest.mark.parametrize("material_id", ["al-6061-t6", "steel-4130-n"])
def test_life_and_strength_are_inverses(material_id, ratio):
    """In a row, between rows and above them: the amplitude stood for a life has that life."""
    strength = strength_of(load_material(material_id), 0.9)
    cycles = np.array([2e4, 1e5, 3e6])
    ratios = np.full(3, ratio)
    amplitude = amplitude_at_mpa(strength, cycles, ratios)
    stood = 2 * amplitude / (1 - ratios) < 0.999 * strength.ultimate_mpa
    assert stood.any()
    assert cycles_at(strength, amplitude, ratios)[stood] == pytest.approx(cycles[stood])


def test_a_material_without_data_has_no_life():
    """6061-T4 has neither curve nor endurance: the stress is reported, and nothing else."""
    bare = load_material("al-6061-t4")
    found = result(reversed_stage([(9, 0, 0), (0, 70, 0)]), material=bare)
    worst = found.worst.estimate.worst
    assert (found.basis, worst.place, worst.amplitude_mpa) == ("no data", 1, 70)
    assert found.life is found.factor is found.decision is None
    assert says(found, "neither a life equation nor", bare)
