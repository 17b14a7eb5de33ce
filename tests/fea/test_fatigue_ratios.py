"""Fatigue where a material has rows by stress ratio, one listed amplitude, or nothing."""

from dataclasses import replace

import pytest

from fea.fatigue.curve import amplitude_at_life_mpa, life_cycles
from geometry.material import load_material
from support.fatigue_stages import STEEL, TITANIUM, pulsating_stage, result, reversed_stage, stress


def test_steel_rows_by_their_ratios():
    """4130: R = -1 and R = 0 take their rows; between them the shorter life counts, marked."""
    full = result(reversed_stage([(450, 0, 0)]), material=STEEL)
    zero = result(pulsating_stage([(640, 0, 0)]), material=STEEL)
    between = result(reversed_stage([(400, 0, 0)]), material=STEEL, steady=stress((50, 0, 0)))
    assert (full.curve, zero.curve) == STEEL.fatigue[:2]
    assert full.life_cycles == pytest.approx(life_cycles(STEEL.fatigue[0], 450))
    assert zero.life_cycles == pytest.approx(life_cycles(STEEL.fatigue[1], 320, 0.0))
    assert between.curve == STEEL.fatigue[0]
    assert between.life_cycles == pytest.approx(life_cycles(STEEL.fatigue[0], 450))
    assert any("between two rows" in note for note in between.notes)
    assert not any("between two rows" in note for note in full.notes + zero.notes)


def test_a_ratio_beyond_all_rows_has_no_answer_where_it_decides():
    """4130 has no row for R = 0.2: neither life nor factor, and the reason."""
    found = result(reversed_stage([(250, 0, 0)]), material=STEEL, steady=stress((375, 0, 0)))
    assert found.stress_ratio == pytest.approx(0.2)
    assert found.life_cycles is found.damage is found.stress_factor is None
    assert any("R = 0.20" in note and "-1 to 0.02" in note for note in found.notes)


def test_a_ratio_beyond_all_rows_does_no_harm_where_it_cannot_decide():
    """A place that a worse cycle bounds, and one that hardly moves, leave the answer alone."""
    rows = [(450, 0, 0), (60, 0, 0), (20, 0, 0)]
    steady = stress((0, 0, 0), (200, 0, 0), (600, 0, 0))
    found = result(reversed_stage(rows), material=STEEL, steady=steady)
    alone = result(reversed_stage(rows[:1]), material=STEEL)
    assert found.place_index == 0
    assert found.life_cycles == alone.life_cycles


def test_a_plane_that_hardly_moves_never_decides():
    """16 MPa beside 330 under 600 steady, R = 0.95: neither at these loads nor at the factor."""
    rows, steady = [(330, 0, 0), (16, 0, 0)], stress((0, 0, 0), (600, 0, 0))
    found = result(reversed_stage(rows, 1e6), material=STEEL, steady=steady)
    allowed = amplitude_at_life_mpa(STEEL.fatigue[0], 1e6)
    assert found.life_cycles == pytest.approx(life_cycles(STEEL.fatigue[0], 330))
    assert found.stress_factor == pytest.approx(allowed / 330, rel=1e-9)


@pytest.mark.parametrize(("cycles", "known"), [(1e5, True), (1e6, False)])
def test_beyond_all_rows_the_cycle_that_contains_it_is_judged(cycles, known):
    """60 MPa under 560 steady: by its own ratio below A4, but within 0.02 to 1 times 620 MPa.

    That cycle lives 3.4e5: it bars the life, and the factor of 1e6 cycles, not that of 1e5.
    """
    rows, steady = [(330, 0, 0), (60, 0, 0)], stress((0, 0, 0), (560, 0, 0))
    found = result(reversed_stage(rows, cycles), material=STEEL, steady=steady)
    factor = amplitude_at_life_mpa(STEEL.fatigue[0], cycles) / 330
    assert found.place_index == 1
    assert found.life_cycles is None
    assert found.stress_factor == (pytest.approx(factor) if known else None)


@pytest.mark.parametrize(
    ("stage", "steady", "factor"),
    [
        (reversed_stage([(100, 0, 0)]), None, 170 / 100),
        (pulsating_stage([(200, 0, 0)]), None, 1 / (100 / 170 + 100 / 345)),
        (reversed_stage([(100, 0, 0)]), stress((69, 0, 0)), 0.8 * 170 / 100),
        (reversed_stage([(100, 0, 0)]), stress((-69, 0, 0)), 170 / 100),
        (pulsating_stage([(-200, 0, 0)]), stress((100, 0, 0)), 170 / 100),
        (reversed_stage([(100, 0, 0)]), stress((345, 0, 0)), 0),
    ],
)
def test_listed_endurance_with_goodmans_line(stage, steady, factor):
    """CP titanium, 170 MPa at 1e7 and 345 MPa tensile: multiples worked on paper."""
    found = result(stage, material=TITANIUM, steady=steady)
    assert found.stress_factor == pytest.approx(factor)
    assert found.life_cycles is found.damage is found.curve is None
    assert (found.basis, found.endurance) == ("listed endurance", TITANIUM.endurance)
    assert "from memory, unverified" in found.notes[0]


def test_listed_endurance_covers_no_more_cycles_than_its_own():
    """2e7 cycles on an amplitude listed for 1e7: no factor, and the reason."""
    found = result(reversed_stage([(100, 0, 0)], 2e7), material=TITANIUM)
    assert found.stress_factor is None
    assert any("2e+07 cycles" in note for note in found.notes)


def test_reliability_counts_for_a_listed_endurance():
    """0.9 of the amplitude is 0.9 of the factor."""
    found = result(reversed_stage([(100, 0, 0)]), material=TITANIUM, reliability=0.9)
    assert found.stress_factor == pytest.approx(1.53)


def test_a_material_without_data_has_no_life():
    """6061-T4 has neither curve nor endurance: the stress is reported, and nothing else."""
    found = result(reversed_stage([(9, 0, 0), (0, 70, 0)]), material=load_material("al-6061-t4"))
    assert (found.basis, found.place_index, found.amplitude_mpa) == ("no data", 1, 70)
    assert found.life_cycles is found.stress_factor is None


def test_a_ratio_below_all_rows_has_no_answer():
    """A material that has the row of R -0.6 to 0.02 alone says nothing of a reversed stress."""
    partial = replace(STEEL, fatigue=STEEL.fatigue[1:2])
    found = result(reversed_stage([(300, 0, 0)]), material=partial)
    assert found.life_cycles is found.stress_factor is None
    assert any("R = -1.00" in note and "-0.6 to 0.02" in note for note in found.notes)
