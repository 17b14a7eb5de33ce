"""The parts of the error of a peak stress, on stresses whose parts are known by hand."""

from dataclasses import replace

import numpy as np
import pytest

from fea.solid.hot_spot import (
    AT_CLAMP_EDGE,
    ON_SURFACE,
    SURFACES,
    Peak,
    SurfaceName,
    nodes_read,
)
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.peak_error import (
    FLOOR_PERCENT,
    SHEET_FACTOR,
    WALL_FACTOR,
    PeakError,
    free_of_traction,
    peak_error,
)
from fea.solid.recovery import build_recovery, surface_stress, von_mises_mpa
from fea.solid.statics import StaticAnswer
from geometry.arrays import Floats
from loadcases.clamp import Clamp
from support.systems import metal
from support.tubes import straight_bar

METAL = metal(107e3, 0.32)
NU = METAL.poisson_ratio
ANYWHERE = Peak(0.0, 30.0, 1.0, "outer", ON_SURFACE)


@pytest.fixture(scope="module")
def model() -> Model:
    """Return a straight tube in its clamp."""
    bar = straight_bar(60, 25.4, 2.0, METAL)
    return build_model(bar, Clamp(46.0), mesh_for(bar, Clamp(46.0), [], "coarse"))


def uniform(model: Model, along: float, across: float) -> StaticAnswer:
    """Return the answer of a tube pulled along and evenly across, also upon its surface, MPa."""
    e = METAL.youngs_modulus_mpa
    stretch, swell = (along - 2 * NU * across) / e, (across - NU * (along + across)) / e
    return answer(model.mesh.points_mm * np.array([stretch, swell, swell]))


def answer(moved: Floats) -> StaticAnswer:
    """Return an answer of displacements alone."""
    return StaticAnswer(moved, (), 1.0, 1.0, np.zeros(3), np.zeros(3))


def parts(model: Model, moved: StaticAnswer, peak: Peak = ANYWHERE, times: float = 1) -> PeakError:
    """Return the parts where the patch fits are `times` too large."""
    recovery = build_recovery(model.bar, model.mesh)
    return peak_error(model, replace(recovery, fit=times * recovery.fit), moved, peak)


def test_an_even_pull_has_no_error(model: Model) -> None:
    """Every reading of it is the same, but for rounding."""
    found = parts(model, uniform(model, 100.0, 0.0))
    assert found.sheet_percent == pytest.approx(0.0, abs=1e-6)
    assert found.wall_percent == pytest.approx(0.0, abs=1e-6)
    assert found.percent == pytest.approx(FLOOR_PERCENT, abs=1e-5)


@pytest.mark.parametrize("surface", SURFACES)
def test_a_fit_twice_too_large_is_half_wrong(model: Model, surface: SurfaceName) -> None:
    """At a node and at both lines of a clamp's edge, whose weights add up to one."""
    pull = uniform(model, 100.0, 0.0)
    for s, rule in ((30.0, ON_SURFACE), (23.0, AT_CLAMP_EDGE), (-23.0, AT_CLAMP_EDGE)):
        peak = Peak(0.0, s, 1.0, surface, rule)
        assert parts(model, pull, peak, 2).sheet_percent == pytest.approx(50.0, rel=1e-6)
        assert nodes_read(model, peak)[1].sum() == pytest.approx(1.0)


def test_a_traction_upon_the_surface_is_an_error(model: Model) -> None:
    """100 MPa along, -30 MPa across: freed of the 30, plane stress of the same strains is left."""
    found = parts(model, uniform(model, 100.0, -30.0))
    along, around = (stress + 30.0 * NU / (1 - NU) for stress in (100.0, -30.0))
    free = np.sqrt(along**2 - along * around + around**2)
    assert found.wall_percent == pytest.approx(100 * abs(free / 130.0 - 1), rel=1e-6)
    assert found.sheet_percent == pytest.approx(0.0, abs=1e-6)


def test_a_bent_field_differs_between_fit_and_elements(model: Model) -> None:
    """Axial strain that grows as the square along the tube, about the node that is read.

    An element of length h, linear between its points, misses h^2/6 of the curvature there: short
    ones beside the clamp's edge miss less than a fifth of what long ones away from it do.
    """
    x = model.mesh.points_mm[:, 0]
    sizes = {}
    for s in (24.9, 40.0):
        at = model.mesh.sheet.nodes[nodes_read(model, Peak(0.0, s, 0.0, "outer", ON_SURFACE))[0]]
        s0 = float(at[0, 0])
        moved = np.zeros_like(model.mesh.points_mm)
        moved[:, 0] = 1e-3 * (x - s0) + 1e-6 * (x - s0) ** 3
        sizes[s] = parts(model, answer(moved), Peak(0.0, s0, 0.0, "outer", ON_SURFACE))
    assert 0 < 5 * sizes[24.9].sheet_percent < sizes[40.0].sheet_percent


def test_a_strain_that_grows_evenly_has_no_error(model: Model) -> None:
    """Fits and elements are exact for it, also between elements of unequal length."""
    x = model.mesh.points_mm[:, 0]
    moved = np.zeros_like(model.mesh.points_mm)
    moved[:, 0] = 1e-3 * x + 1e-5 * x**2
    for s in np.unique(model.mesh.sheet.nodes[:, 0].round(6))[3:-3]:
        found = parts(model, answer(moved), Peak(0.0, float(s), 1.0, "outer", ON_SURFACE))
        assert found.sheet_percent == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("surface", SURFACES)
def test_the_error_is_of_the_surface_of_the_peak(model: Model, surface: SurfaceName) -> None:
    """A tube that widens as the square of the radius: what is read there, freed of its traction."""
    square = (model.mesh.points_mm[:, 1:] ** 2).sum(axis=1) / 12.7**2
    moved = model.mesh.points_mm * np.array([0.0, 1e-3, 1e-3]) * square[:, None]
    peak = replace(ANYWHERE, surface=surface)
    recovery = build_recovery(model.bar, model.mesh)
    both = surface_stress(recovery, model.mesh, model.grads, METAL, moved)
    read = getattr(both, surface)[nodes_read(model, peak)[0][0]]
    size, free = (float(von_mises_mpa(one)) for one in (read, free_of_traction(read, METAL)))
    found = parts(model, answer(moved), peak)
    assert found.wall_percent == pytest.approx(100 * abs(free / size - 1), rel=1e-6)


def test_the_estimate_adds_its_parts() -> None:
    """With the calibrated factors and floor."""
    found = PeakError(2.0, 3.0).percent
    assert found == pytest.approx(2 * SHEET_FACTOR + 3 * WALL_FACTOR + FLOOR_PERCENT)
