"""Resultants and fibres along the bar: the solid's stress against the beam's equilibrium."""

from pathlib import Path

import numpy as np
import pytest

from fea.beam.statics import solve_beam
from fea.solid.cross_sections import rings_of
from fea.solid.model import build_model, mesh_for
from fea.solid.recovery import build_recovery, surface_stress
from fea.solid.statics import factorise_model, solve_cases
from fea.verification.section_forces import SectionForces, beam_section_forces, solid_section_forces
from geometry.arrays import Floats
from loadcases.load import PlacedLoad
from studies.study_file.study import Study, read_study

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"

OFF_LOAD_MM = 12.0
"""Half a diameter from where a load or the clamp's edge disturbs a plane section."""


def _both(
    study: Study, loads: list[tuple[PlacedLoad, ...]]
) -> list[tuple[SectionForces, SectionForces]]:
    mesh = mesh_for(study.bar, study.clamp, [load for case in loads for load in case], "standard")
    model = build_model(study.bar, study.clamp, mesh)
    solution = solve_cases(model, loads, factorise_model(model))
    recovery, material = build_recovery(study.bar, mesh), study.bar.spec.material
    rings = max(rings_of(study.bar, mesh.sheet), key=lambda some: some.nodes.shape[1])
    s = mesh.sheet.nodes[rings.nodes[:, 0], 0]
    beams = solve_beam(study.bar, study.clamp, loads, flexible=False)
    found = []
    for answer, beam in zip(solution.answers, beams, strict=True):
        stress = surface_stress(recovery, mesh, model.grads, material, answer.displacement_mm)
        found.append((solid_section_forces(rings, s, stress), beam_section_forces(study.bar, beam)))
    return found


@pytest.fixture(scope="module")
def study() -> Study:
    """Return the riser example, bent in two planes."""
    return read_study(EXAMPLES / "harbour-riser.toml")


@pytest.fixture(scope="module")
def both(study: Study) -> list[tuple[SectionForces, SectionForces]]:
    """Return solid and beam under a force aslant, and under a moment."""
    force = PlacedLoad("right", 330.0, (150.0, -300.0, -500.0), (0.0, 0.0, 0.0), 30.0)
    moment = PlacedLoad("left", -330.0, (0.0, 0.0, 0.0), (60e3, 20e3, -40e3), 30.0)
    return _both(study, [(force,), (moment,)])


def _away(study: Study, along: SectionForces) -> Floats:
    """Return which sections lie between clamp and load, away from both."""
    size = np.abs(along.s_mm)
    return (size > study.clamp.to_mm + OFF_LOAD_MM) & (size < 315 - OFF_LOAD_MM)


@pytest.mark.parametrize("moment", ["torsion_nmm", "bending_front_nmm", "bending_top_nmm"])
@pytest.mark.parametrize("case", [0, 1])
def test_moments_of_the_solid_are_those_of_equilibrium(
    study: Study, both: list[tuple[SectionForces, SectionForces]], case: int, moment: str
) -> None:
    """Within 1.5 % of the largest: what patch recovery loses where a bend flattens."""
    solid, beam = both[case]
    wanted = np.interp(solid.s_mm, beam.s_mm, getattr(beam, moment))
    moments = beam.torsion_nmm, beam.bending_front_nmm, beam.bending_top_nmm
    kept, largest = _away(study, solid), float(np.abs(moments).max())
    assert np.abs(getattr(solid, moment) - wanted)[kept].max() < 0.015 * largest


def test_a_moment_five_percent_off_would_be_seen(
    study: Study, both: list[tuple[SectionForces, SectionForces]]
) -> None:
    """The comparison above can fail."""
    for (solid, beam), moment in zip(both, ("bending_front_nmm", "torsion_nmm"), strict=True):
        wanted = np.interp(solid.s_mm, beam.s_mm, getattr(beam, moment))
        off = np.abs(1.05 * getattr(solid, moment) - wanted)[_away(study, solid)].max()
        assert off > 0.015 * np.abs(wanted).max()


def test_fibres_of_the_solid_are_the_beams_on_the_straights(
    study: Study, both: list[tuple[SectionForces, SectionForces]]
) -> None:
    """On the straight grip a beam is right: within 2 % of the largest stress there."""
    solid, beam = both[0]
    on_grip = (solid.s_mm > 220) & (solid.s_mm < 290)
    for fibre in range(4):
        wanted = np.interp(solid.s_mm, beam.s_mm, beam.fibres_mpa[:, fibre])
        off = np.abs(solid.fibres_mpa[:, fibre] - wanted)[on_grip].max()
        assert off < 0.02 * np.abs(beam.fibres_mpa[:, :]).max()


def test_top_and_underside_answer_a_push_down(
    both: list[tuple[SectionForces, SectionForces]],
) -> None:
    """A push down on the right end stretches the top and presses the underside."""
    solid, _ = both[0]
    at = int(np.argmin(np.abs(solid.s_mm - 250)))
    top, _, underside, _ = solid.fibres_mpa[at]
    assert top > 0 > underside
