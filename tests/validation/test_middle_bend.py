"""A free straight tube under couples: curvature, ovalisation and ripples of its middle.

Source: M = EI kappa, textbook; Brazier, Proc. R. Soc. A 116 (1927) 104, for small curvatures:
w = zeta r cos 2 theta with zeta = (1 - nu^2) kappa^2 r^4 / t^2; from memory, unverified. Ripples
by a wave that is given.
"""

from dataclasses import replace
from itertools import islice
from math import pi

import numpy as np
import pytest

from fea.collapse.equilibrium import Point, point_at
from fea.collapse.imperfection import Imperfection
from fea.collapse.middle_bend import MiddleBend, middle_bend, middle_of
from fea.collapse.path_model import POINTS, PathModel, path_model_of
from fea.collapse.plastic import virgin
from fea.collapse.reading import reader_of, reading_of
from geometry.arrays import Floats
from support.free_tubes import couples, third_point, traced_tube, tube_study

OD_MM, WALL_MM = 30.0, 1.0
RADIUS_MM = (OD_MM - WALL_MM) / 2

FLATTENING = 0.02
"""A thick wall, D/t 30, and ends ten diameters off: 0.7 % measured."""


def test_slope_and_flattening_of_a_long_tube() -> None:
    """The first two steps, elastic, in which the tube has lost 0.1 % of its stiffness."""
    path_model, positions, plan = traced_tube(couples(OD_MM, WALL_MM, 20 * OD_MM), 0.6)
    reader, metal = reader_of(path_model), path_model.model.bar.spec.material
    second = pi * (OD_MM**4 - (OD_MM - 2 * WALL_MM) ** 4) / 64
    for position in islice(positions, 2):
        bend = reading_of(path_model, reader, position.point, plan.segments[0]).bend
        assert bend is not None
        stiff = bend.moment_nmm / bend.curvature_per_mm
        assert stiff == pytest.approx(metal.youngs_modulus_mpa * second, rel=0.005)
        flat = (1 - metal.poisson_ratio**2) * bend.curvature_per_mm**2 * RADIUS_MM**4 / WALL_MM**2
        percent = 100 * 4 * flat * RADIUS_MM / OD_MM
        assert bend.oval_percent == pytest.approx(percent, rel=FLATTENING)
        assert bend.ripple_mm is None


@pytest.fixture(scope="module")
def fine() -> PathModel:
    """Return a shorter tube whose elements are short enough for ripples."""
    study = tube_study(couples(OD_MM, WALL_MM, 6 * OD_MM))
    return path_model_of(
        study.bar, study.clamp, study.cases[0].loads, imperfection=Imperfection("ripple", 0.0)
    )


def bend_of(path_model: PathModel, shape: Floats) -> MiddleBend:
    """Return the middle of a tube in a shape that is given, (N, 3)."""
    middle, equations = middle_of(path_model), path_model.equations
    assert middle is not None
    state = virgin(len(equations.solid.cells), POINTS)
    point: Point = point_at(equations, equations.unknowns.gather(0 * shape.ravel()), 1.0, state)
    return middle_bend(middle, path_model, replace(point, displacement=shape.ravel()))


def bent(path_model: PathModel, curvature: float, out: Floats) -> Floats:
    """Return the shape of a tube bent to a circle, its wall moved out by `out` (N,)."""
    points, theta = path_model.model.mesh.points_mm, path_model.model.mesh.block[:, 1]
    y, z = points[:, 1] + out * np.sin(theta), points[:, 2] + out * np.cos(theta)
    angle, far = curvature * points[:, 0], 1 / curvature
    # the couple of `couples` compresses the top
    return np.column_stack([(far - z) * np.sin(angle), y, far - (far - z) * np.cos(angle)]) - points


@pytest.mark.parametrize(("wave_mm", "curvature"), [(13.7, 1e-3), (10.0, 1e-6), (17.0, 3e-3)])
def test_a_wave_is_measured(fine: PathModel, wave_mm: float, curvature: float) -> None:
    """On a bent and flattened tube, with its harmonics round the tube, the first one too.

    2 %: of elements as long as a quarter of the elastic wave, 13.1 mm.
    """
    s, theta, _ = fine.model.mesh.block.T
    wave = 0.05 * np.sin(2 * pi * s / wave_mm + 0.4) * np.maximum(np.cos(theta), 0.0) ** 4
    flat = -0.4 * np.cos(pi * s / 300) ** 2 * np.cos(2 * theta)
    bend = bend_of(fine, bent(fine, curvature, wave + flat))
    assert bend.curvature_per_mm == pytest.approx(curvature, rel=1e-3)
    assert bend.ripple_mm == pytest.approx(0.05, rel=0.02)
    assert bend.wavelength_mm == pytest.approx(wave_mm, rel=0.02)


def test_a_smoothly_flattened_tube_has_no_ripples(fine: PathModel) -> None:
    """Nor one that kinks smoothly: less than a thousandth of the wall, and no wavelength."""
    s, theta, _ = fine.model.mesh.block.T
    flat = -0.8 * np.cos(pi * s / 220) ** 2 * np.cos(2 * theta)
    bend = bend_of(fine, bent(fine, 1e-3, flat))
    assert bend.ripple_mm == pytest.approx(0.0, abs=1e-3 * WALL_MM)
    assert bend.wavelength_mm is None
    assert bend.oval_percent > 5


def test_other_bars_have_no_middle() -> None:
    """Under loads that press, and under a torque."""
    twisted = couples(OD_MM, WALL_MM, 6 * OD_MM)
    for load in twisted["cases"][0]["loads"]:
        load["moment_nmm"] = [load["moment_nmm"][1], 0, 0]
    for table in (third_point(OD_MM, WALL_MM, 8 * OD_MM), twisted):
        study = tube_study(table)
        assert middle_of(path_model_of(study.bar, study.clamp, study.cases[0].loads)) is None
