"""Strain along the bar: rows of points, averages over a length, the largest and its place."""

from dataclasses import replace

import numpy as np
import pytest

from fea.collapse.flow_curve import PowerCurve, constant_beyond
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.path_model import path_model_of, unloaded_arm_mm
from fea.collapse.strain import Lines, along_lines, averaged, length_mm, lines_of, peak_of
from fea.solid.element import hex20_gauss
from fea.solid.model import mesh_for
from fea.stability.stress_strain import curve_of, strain_at
from geometry.arrays import Floats
from geometry.bar import position_mm
from geometry.material import MATERIAL_IDS, load_material
from geometry.mesh import TubeMesh
from loadcases.bolts import Bolts
from loadcases.levers import LeverClamp
from studies.study_file.study import Study, read_study
from support.pages import RISER, short_bar


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return a short straight bar."""
    return read_study(short_bar(tmp_path_factory.mktemp("strain"), "pier", 1.2))


@pytest.fixture(scope="module")
def mesh(study: Study) -> TubeMesh:
    """Return its mesh of two layers."""
    return mesh_for(study.bar, study.clamp, study.cases[0].loads, "coarse", layers=2)


@pytest.fixture(scope="module")
def lines(mesh: TubeMesh) -> Lines:
    """Return its rows."""
    return lines_of(mesh)


def test_points_stand_where_they_are(study: Study, mesh: TubeMesh, lines: Lines) -> None:
    """A field of the points' own places comes out in rows of one s, one theta and one zeta."""
    places = hex20_gauss(2).values @ mesh.points_mm[mesh.cells]
    found = np.stack([along_lines(lines, places[..., axis]) for axis in range(3)], axis=-1)
    grid = np.meshgrid(lines.s_mm, lines.theta_rad, lines.zeta, indexing="ij")
    wanted = position_mm(study.bar, *(part.ravel() for part in grid)).reshape(found.shape)
    # the elements follow the round tube to some thousandths of a millimetre
    assert found == pytest.approx(wanted, abs=0.01)
    assert np.all(np.diff(lines.s_mm) > 0)
    assert np.all((lines.bounds_mm[:-1] < lines.s_mm) & (lines.s_mm < lines.bounds_mm[1:]))


def test_an_even_strain_is_its_own_average(study: Study, lines: Lines) -> None:
    """Everywhere on the arms, and nothing is told of the clamp."""
    values = np.full((len(lines.s_mm), len(lines.theta_rad), len(lines.zeta)), 0.3)
    mean = averaged(lines, values, study.bar, study.clamp)
    inside = (lines.s_mm > study.clamp.from_mm) & (lines.s_mm < study.clamp.to_mm)
    assert mean[~inside] == pytest.approx(0.3, rel=1e-12)
    assert not mean[inside].any()


def test_a_line_keeps_its_value_but_for_the_ends(study: Study, lines: Lines) -> None:
    """A straight course stays; beside the clamp it is read half a length further on."""
    values = _course(lines, lines.s_mm)
    mean = averaged(lines, values, study.bar, study.clamp)[:, 0, 0]
    half = length_mm(study.bar, lines.s_mm) / 2
    edge, end = study.clamp.to_mm, float(lines.bounds_mm[-1])
    wanted = np.clip(lines.s_mm, edge + half, end - half)
    arm = lines.s_mm > edge
    # as far as a point stands for the share of the bar about it
    assert mean[arm] == pytest.approx(wanted[arm], abs=0.3)


def test_a_spike_beside_the_clamp_counts_by_its_length(study: Study, lines: Lines) -> None:
    """A finer mesh cannot make it larger: what counts is strain times length."""
    row = int(np.searchsorted(lines.s_mm, study.clamp.to_mm))
    share = lines.bounds_mm[row + 1] - lines.bounds_mm[row]
    course = np.zeros_like(lines.s_mm)
    course[row] = 1.0 / share
    mean = averaged(lines, _course(lines, course), study.bar, study.clamp)
    length = float(length_mm(study.bar, lines.s_mm[row : row + 1])[0])
    top = peak_of(lines, mean)
    assert top.value == pytest.approx(1.0 / length, rel=1e-9)
    assert abs(top.s_mm - study.clamp.to_mm) < length


def test_the_length_is_two_walls_or_half_a_bending_length(study: Study) -> None:
    """25.4 x 1.2: half of sqrt(12.1 x 1.2) is 1.9 mm, two walls are 2.4 mm."""
    assert length_mm(study.bar, np.array([50.0])) == pytest.approx([2.4])


def test_an_arm_without_load_has_long_elements() -> None:
    """Its elements are long; loads on both sides leave none."""
    riser = read_study(RISER)
    (load,) = riser.cases[0].loads
    low, high = unloaded_arm_mm(riser.bar, riser.clamp, [load]) or (0.0, 0.0)
    assert low == riser.bar.line.left_end_mm
    assert high == pytest.approx(-23.0 - 31.8)
    mirrored = replace(load, side="left", at_mm=-load.at_mm)
    assert unloaded_arm_mm(riser.bar, riser.clamp, [mirrored]) == pytest.approx((-high, -low))
    assert unloaded_arm_mm(riser.bar, riser.clamp, [load, mirrored]) is None
    lever = LeverClamp(-300.0, 12.0, Bolts(1, 1.0, 5))
    assert unloaded_arm_mm(riser.bar, riser.clamp, [load], [lever]) is None
    assert unloaded_arm_mm(riser.bar, riser.clamp, [load], [replace(lever, at_mm=300.0)]) == (
        low,
        high,
    )
    rows = lines_of(path_model_of(riser.bar, riser.clamp, [load]).model.mesh).s_mm
    assert np.sum(rows < 0) < 0.6 * np.sum(rows > 0)


@pytest.mark.parametrize("name", MATERIAL_IDS)
def test_every_metal_has_a_curve_that_is_held_beyond_its_uniform_strain(name: str) -> None:
    """At tensile strength or elongation, whichever comes first, in logarithmic strain."""
    material = load_material(name)
    curve = flow_curve_of(material)
    assert isinstance(curve, PowerCurve)
    held = constant_beyond(curve, material.youngs_modulus_mpa)
    at_strength = float(strain_at(curve_of(material, "tension"), material.ultimate_stress_mpa))
    elongation = (material.elongation_percent or np.inf) / 100
    assert held == pytest.approx(np.log1p(min(at_strength, elongation)), rel=1e-9)
    true = flow_curve_of(replace(material, curve="true"))
    assert constant_beyond(true, material.youngs_modulus_mpa) == np.inf


def _course(lines: Lines, along: Floats) -> Floats:
    shape = (len(lines.s_mm), len(lines.theta_rad), len(lines.zeta))
    result: Floats = np.broadcast_to(along[:, None, None], shape)
    return result
