"""Noise of a logger in the intervals of single forces and of work."""

from pathlib import Path

import numpy as np
import pytest

from studies.bench.readings import read_readings
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig

NOISE_N, SLOPE, PEAK_N, END_MM = 5.0, 200.0, 4100.0, 30.0
"""Steps are of 0.1 N, so the divisions alone would say 0.06 N."""

KNEE_MM = 20.0
WORK_NMM = SLOPE * KNEE_MM**2 / 2 + (SLOPE * KNEE_MM + PEAK_N) / 2 * (END_MM - KNEE_MM)
"""Under a straight line to the knee and another to the end."""


def noisy(folder: Path, rng: np.random.Generator) -> Reduction:
    """Return the reduction of a loading with noise of the force."""
    travel = np.linspace(0, END_MM, 151)
    true = np.interp(travel, [0, KNEE_MM, END_MM], [0, SLOPE * KNEE_MM, PEAK_N])
    force = true + NOISE_N * rng.standard_normal(len(true))
    rows = [f"{u:.3f};{f:.1f}" for u, f in zip(travel, force, strict=True)]
    path = folder / "record.csv"
    path.write_text("\n".join(["travel [mm];force [N]", *rows]), encoding="utf-8")
    return reduce_record(read_readings(path, Rig()), Rig())


def test_intervals_hold_the_truth_of_a_noisy_record(tmp_path: Path) -> None:
    """Of 40 records; by the divisions alone less than one in ten would."""
    rng = np.random.default_rng(5)
    found = [noisy(tmp_path, rng) for _ in range(40)]
    peaks = [abs(one.peak_n.value - PEAK_N) <= one.peak_n.half_width for one in found]
    works = [abs(one.energy_nmm.value - WORK_NMM) <= one.energy_nmm.half_width for one in found]
    # of 40 at 95 %, 34 or fewer come in 1 of 80
    assert sum(peaks) >= 35
    assert sum(works) >= 35
    # about the line of some 75 points, the deviation itself is known within 8 %
    assert found[0].peak_n.terms["noise"] == pytest.approx(NOISE_N, rel=0.25)
