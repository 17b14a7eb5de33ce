"""Stages of repeated stress, and their result on a material."""

import numpy as np
from fea.fatigue.stress_history import Stage, cyclic_stress

from fea.fatigue.curve import amplitude_at_life_mpa
from fea.fatigue.result import fatigue_result
from geometry.material import load_material

ALUMINIUM = load_material("al-6061-t6")
STEEL = load_material("steel-4130-n")
TITANIUM = load_material("ti-cp2")

# 15.68 / 9.84 = 1.59350: 39.219 ksi, over 2^0.63 the 174.7 MPa of the handbook's row
AT_1E5_MPA = amplitude_at_life_mpa(ALUMINIUM.fatigue[0], 1e5)

# figures worked with four-digit logarithms; A2 = -9.84 makes ten times as much of it
BY_HAND = 2e-3


def stress(*rows):
    """Return (P, 3) stress, one row of axial, hoop and shear a place."""
    return np.array(rows, dtype=float)


def reversed_stage(rows, cycles=1e5):
    """Return a stage of fully reversed stress."""
    return Stage(stress(*rows), -stress(*rows), cycles)


def pulsating_stage(rows, cycles=1e5):
    """Return a stage from no stress to the given one."""
    return Stage(stress(*rows), 0 * stress(*rows), cycles)


def result(*stages, material=ALUMINIUM, steady=None, kf=None, reliability=1.0):
    """Return the result of stages on a material."""
    return fatigue_result(cyclic_stress(stages, steady, kf), material, reliability)
