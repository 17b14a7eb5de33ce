"""The shape of the wall: rings laid back onto themselves, harmonics, thinning, a name for it."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from fea.collapse.collapse_mode import Rings, Shape, axial_strain, kind_of, rings_of, shape_of
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.strain import StrainPeak
from geometry.arrays import Floats
from studies.study_file.study import read_study
from support.pages import short_bar


@pytest.fixture(scope="module")
def way(tmp_path_factory: pytest.TempPathFactory) -> PathModel:
    """Return a short straight bar, 25.4 x 1.2, clamped over 40 mm, loaded on the right."""
    study = read_study(short_bar(tmp_path_factory.mktemp("shape"), "pier", 1.2))
    return path_model_of(study.bar, study.clamp, study.cases[0].loads)


@pytest.fixture(scope="module")
def rings(way: PathModel) -> Rings:
    """Return its rings."""
    return rings_of(way.model.mesh)


def _radial(way: PathModel, out: Floats) -> Floats:
    """Return displacements that move nodes outward, out being given at each node."""
    theta = way.model.mesh.block[:, 1]
    # the bar lies along x; theta runs from the top to the front
    return np.outer(out, [0, 0, 1]) * np.cos(theta)[:, None] + np.outer(out, [0, 1, 0]) * np.sin(
        theta
    ).reshape(-1, 1)


def test_rings_are_whole_and_on_both_faces(way: PathModel, rings: Rings) -> None:
    """32 nodes each, the inner ones beneath the outer by a wall."""
    points = way.model.mesh.points_mm
    assert rings.outer.shape == rings.inner.shape == (len(rings.s_mm), 32)
    assert points[rings.outer][..., 0] == pytest.approx(
        np.repeat(rings.s_mm[:, None], 32, axis=1), abs=1e-3
    )
    wall = np.linalg.norm(points[rings.outer] - points[rings.inner], axis=-1)
    assert wall == pytest.approx(1.2, abs=1e-6)
    assert np.all(np.diff(rings.theta_rad, axis=1) > 0)


def test_a_rigid_motion_is_no_shape(way: PathModel, rings: Rings) -> None:
    """However far the bar is carried and turned."""
    points = way.model.mesh.points_mm
    turn = Rotation.from_rotvec([0.2, 0.9, -0.4]).as_matrix()
    shape = shape_of(rings, points, points @ turn.T - points + [3.0, -40.0, 9.0])
    assert np.abs(shape.oval_mm).max() < 1e-10
    assert np.abs(shape.local_mm).max() < 1e-10


def test_harmonics_are_told_apart(way: PathModel, rings: Rings) -> None:
    """The second is oval, all above it local, whatever rigid motion comes along."""
    mesh = way.model.mesh
    theta = mesh.block[:, 1]
    moved = _radial(way, 0.3 * np.cos(2 * theta + 0.7) + 0.05 * np.cos(5 * theta))
    shape = shape_of(rings, mesh.points_mm, moved - np.array([0.0, 0.0, 20.0]))
    assert shape.oval_mm == pytest.approx(0.3, rel=1e-3)
    assert shape.local_mm == pytest.approx(0.05, rel=0.05)
    # largest less smallest diameter: four times the amplitude
    assert shape.oval_percent == pytest.approx(100 * 4 * 0.3 / 25.4, rel=1e-3)


@pytest.mark.parametrize(
    ("s_mm", "oval", "local", "strain", "axial", "kind"),
    [
        (60.0, 0.64, 0.05, 0.05, -0.05, "ovalisation"),
        (60.0, 0.63, 0.05, 0.05, -0.05, "plastic hinge"),
        (60.0, 0.5, 0.2, 0.05, -0.05, "wrinkle"),
        (60.0, 0.64, 0.05, 0.05, 0.05, "ovalisation"),
        (60.0, 0.5, 0.05, 0.05, 0.05, "plastic hinge"),
        (60.0, 0.5, 0.05, 0.12, 0.05, "neck"),
        (60.0, 0.5, 0.2, 0.12, 0.05, "wrinkle"),
        (24.0, 0.5, 0.2, 0.05, -0.05, "clamp-edge dent"),
        (24.0, 0.5, 0.05, 0.05, -0.05, "plastic hinge"),
        (24.0, 0.64, 0.05, 0.05, -0.05, "ovalisation"),
        (24.0, 0.001, 0.01, 0.05, -0.05, "plastic hinge"),
        (-24.0, 0.5, 0.2, 0.05, -0.05, "clamp-edge dent"),
        (28.0, 0.5, 0.2, 0.05, -0.05, "wrinkle"),
    ],
)
def test_the_kind_is_read_off_the_field(  # noqa: PLR0917 a table's columns
    way: PathModel,
    rings: Rings,
    s_mm: float,
    oval: float,
    local: float,
    strain: float,
    axial: float,
    kind: str,
) -> None:
    """By place, flattening, local part, and whether it is stretched beyond its uniform strain."""
    same = np.ones_like(rings.s_mm)
    percent = 100 * 4 * oval / 25.4
    shape = Shape(oval * same, percent * same, local * same, same)
    peak = StrainPeak(strain, s_mm, np.pi, 0.9, (0, 0, 0))
    assert kind_of(way, rings, shape, peak, axial) == kind


def test_strain_along_the_bar(way: PathModel) -> None:
    """The bar lies along x."""
    peak = StrainPeak(0.1, 60.0, 0.4, 0.9, (0, 0, 0))
    plastic = np.diag([-0.05, 0.03, 0.02])
    assert axial_strain(way.model.bar, plastic, peak) == pytest.approx(-0.05)
    assert axial_strain(way.model.bar, plastic, replace(peak, theta_rad=2.0)) == pytest.approx(
        -0.05
    )
