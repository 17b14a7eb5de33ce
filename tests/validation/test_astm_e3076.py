"""ASTM E3076-18: the slope of a record by the window whose residuals are least.

A synthetic record with a toe: Ramberg-Osgood through a proof stress of 160 MPa at 0.002 and 215 MPa
at a strain of 0.08, slope 69 000 MPa, raised by 10 MPa, toe from 3 MPa with a slope of 13 600 MPa
to 15 MPa, 2^14 points, 16 bits. Published for it: 68 995 MPa, intercept 10.0025 MPa, window 24.83
to 82.77 MPa (soylentOrange/sdarr, README, MIT-licensed, read). The truth is analytic: 69 000 MPa,
10 MPa, offset stress 170 MPa at 0.002. How the toe bends is not stated; here it is a parabola, so
its window begins sooner.

Known and not tried here, for the record cannot be had offline: reference set DS1(2018), file 01,
final slope 328.10 kN/mm, true intercept -0.03761 kN, window 5.457 to 14.36 kN (secondary, same
package). A real record of 6061-T6 is left out, for its licence is not known.
"""

from collections.abc import Mapping
from math import log
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest

from geometry.arrays import Floats
from studies.bench.readings import read_readings
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig
from support.checks import Problem, Target, misses

E_MPA, RAISED_MPA, PROOF_MPA, ULTIMATE_MPA, STRAIN = 69000.0, 10.0, 160.0, 215.0, 0.08
TOE_MPA, TOE_SLOPE_MPA, TOE_END_MPA = 3.0, 13600.0, 15.0
POINTS, STEPS = 2**14, 2**16 - 1


def record(E: float = E_MPA, raised: float = RAISED_MPA, proof: float = PROOF_MPA) -> Reduction:
    """Return the reduction of the record, strain for travel and stress for force."""
    strain, stress = curve(E, raised, proof)
    rows = [f"{x:.12g};{y:.12g}" for x, y in zip(rounded(strain), rounded(stress), strict=True)]
    with TemporaryDirectory() as folder:
        path = Path(folder) / "record.csv"
        path.write_text("\n".join(["strain (mm);stress (N)", *rows]), encoding="utf-8")
        rig = Rig()
        return reduce_record(read_readings(path, rig), rig, shifts_mm=(0.002,))


def curve(E: float, raised: float, proof: float) -> tuple[Floats, Floats]:
    """Return strain and stress (n,), evenly over the strain."""
    n = log((STRAIN - ULTIMATE_MPA / E) / 0.002) / log(ULTIMATE_MPA / proof)
    own = np.linspace(0, ULTIMATE_MPA, 200001)
    strain = own / E + 0.002 * (own / proof) ** n
    beyond = own + raised >= TOE_END_MPA
    end = float(strain[beyond][0])
    slope = float((own[1] - own[0]) / np.diff(strain[beyond][:2])[0])
    long = 2 * (TOE_END_MPA - TOE_MPA) / (TOE_SLOPE_MPA + slope)
    t = np.linspace(0, long, 2001)[:-1]
    toe = TOE_MPA + TOE_SLOPE_MPA * t + (slope - TOE_SLOPE_MPA) * t**2 / (2 * long)
    x, y = np.append(end - long + t, strain[beyond]), np.append(toe, own[beyond] + raised)
    even = np.linspace(x[0], x[-1], POINTS)
    return even, np.interp(even, x, y)


def rounded(values: Floats) -> Floats:
    """Return the values (n,) in 16 bits of their range."""
    step = np.ptp(values) / STEPS
    return np.asarray(values.min() + np.rint((values - values.min()) / step) * step)


def slope(scale: float) -> Mapping[str, float]:
    """Return the slope of a stiffer record."""
    return {"slope": record(E=scale * E_MPA).line.slope.value}


def zero(scale: float) -> Mapping[str, float]:
    """Return the intercept of a record that is raised further."""
    line = record(raised=scale * RAISED_MPA).line
    return {"intercept": -line.zero.value * line.slope.value}


def offset(scale: float) -> Mapping[str, float]:
    """Return the offset stress of a record that yields later."""
    load = record(proof=scale * PROOF_MPA).offsets[0].load_n
    return {"offset": load.value if load else 0.0}


PROBLEMS = (
    # 0.01 %: the published slope is 0.007 % off the truth, 16 bits and the power law's own bend
    Problem("slope with a toe", slope, {"slope": Target(E_MPA, 1e-4)}),
    # 0.025 % is the published one's own error, of a slope that is read above it
    Problem("intercept with a toe", zero, {"intercept": Target(RAISED_MPA, 2.5e-4)}),
    # 16 bits of 225 MPa are 0.003, between two points 0.1 MPa
    Problem("offset stress", offset, {"offset": Target(PROOF_MPA + RAISED_MPA, 5e-4)}),
)


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.title)
def test_the_synthetic_record(problem: Problem) -> None:
    """Slope, intercept and offset stress are those of the formula."""
    assert misses(problem) == {}


def test_the_window_and_its_data_quality() -> None:
    """It lies above most of the toe and below yield, and every figure of quality is met."""
    found = record()
    part, quality = found.straight, found.window.quality
    assert 14 < part.force_n[0] < 25  # the toe ends at 15; 24.83 is published
    assert 70 < part.force_n[-1] < 90  # 82.77 is published
    assert max(vars(quality).values()) <= 1
