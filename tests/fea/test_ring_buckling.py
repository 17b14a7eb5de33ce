"""Local buckling section by section, against the search for the first of all sections."""

from dataclasses import replace

import numpy as np
import pytest

from fea.solid.assembly import build_pattern
from fea.solid.hot_spot import SurfaceReading
from fea.stability.local_buckling import Walls, chosen_walls
from fea.stability.local_map import FACTOR_ERROR, local_buckling_factor
from fea.stability.ring_buckling import (
    StressedWalls,
    joined,
    local_buckling_multiples,
    stressed_walls,
)
from geometry.arrays import Floats
from studies.preview.rough_run import RoughRun, rough_run
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.pages import short_bar

TWIST = """
[[cases]]
id = "twist"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, 0, -400], band_mm = 20 },
         { side = "left", from_end_mm = 30, force_n = [0, 0, 400], band_mm = 20 }]
"""


@pytest.fixture(scope="module", params=[0.7, 1.8])
def run(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> RoughRun:
    """Return a thin and a thick bar under bending and torsion."""
    path = short_bar(tmp_path_factory.mktemp("rings"), "pier", request.param, TWIST)
    study = with_cases(read_study(path), ("push", "twist"))
    return rough_run(study, "auto", build_pattern)


def every_ring(walls: Walls, reading: SurfaceReading) -> StressedWalls:
    """Return all sections at which local buckling is judged."""
    judged = np.flatnonzero(reading.counted[walls.rings.nodes].all(axis=1))
    return stressed_walls(walls, judged, reading.outer, reading.inner)


def multiples(run: RoughRun, reading: SurfaceReading) -> Floats:
    """Return the multiples of all judged sections."""
    return np.concatenate(
        [local_buckling_multiples(every_ring(walls, reading)) for walls in run.walls]
    )


def test_a_section_alone_has_its_own_multiple(run: RoughRun) -> None:
    """It is the load factor of a bar of which no other section is stressed or looked at."""
    walls, compared = run.walls[0], 0
    for case in run.cases:
        judged = np.flatnonzero(case.read.counted[walls.rings.nodes].all(axis=1))
        found = local_buckling_multiples(every_ring(walls, case.read))
        for row, multiple in list(zip(judged, found, strict=True))[::7]:
            here = np.isin(np.arange(len(case.read.outer)), walls.rings.nodes[row])[:, None]
            outer, inner = (np.where(here, one, 0.0) for one in (case.read.outer, case.read.inner))
            own = replace(case.read, outer=outer, inner=inner)
            expected = local_buckling_factor((chosen_walls(walls, np.array([row])),), own)
            assert multiple == pytest.approx(expected or np.inf, rel=2 * FACTOR_ERROR)
            compared += expected is not None
    assert compared > 5


def test_the_first_section_is_that_of_the_bar(run: RoughRun) -> None:
    """The least of all sections is what the search over all of them at once finds."""
    for case in run.cases:
        expected = local_buckling_factor(run.walls, case.read)
        assert expected
        assert multiples(run, case.read).min() == pytest.approx(expected, rel=2e-3)


def test_sections_of_several_bars_do_not_mix(run: RoughRun) -> None:
    """Joined, each keeps the multiple that it has alone, to the bit."""
    walls = run.walls[0]
    parts = [every_ring(walls, case.read) for case in run.cases]
    alone = np.concatenate([local_buckling_multiples(one) for one in parts])
    assert np.array_equal(local_buckling_multiples(joined(parts)), alone)


def test_a_section_without_stress_never_buckles(run: RoughRun) -> None:
    """It has no multiple, beside one that has."""
    some = every_ring(run.walls[0], run.cases[0].read)
    none = replace(some, outer=0 * some.outer, inner=0 * some.inner)
    found = local_buckling_multiples(joined([none, some]))
    assert np.isinf(found[: len(some.outer)]).all()
    assert np.isfinite(found[len(some.outer) :]).any()
