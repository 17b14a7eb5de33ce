"""Free straight tubes in three- and four-point bending, couples and torsion, against closed forms.

Source: Timoshenko beam: w = P L^3 / 48EI + P L / (4 kappa G A) at the middle, and, for two loads
P/2 at the distance a from the supports, P a (3 L^2 - 4 a^2) / 48EI + P a / (2 kappa G A); textbook,
derived by unit loads. kappa of a thin tube after Cowper, as in `test_cowper_1966.py`.
"""

from dataclasses import dataclass
from math import pi
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from fea.beam.statics import BeamResult, solve_beam
from fea.solid.assembly import free_part
from fea.solid.free_hold import all_but_six, from_middle_ring, middle_ring
from fea.solid.linear_solver import factorise, solve
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.statics import StaticAnswer, band_modes, factorise_model, nodal_loads, solve_cases
from studies.study_file.study import Study, study_from_table

OD_MM, WALL_MM, SPAN_MM, THIRD_MM, LOAD_N = 40.0, 1.0, 600.0, 200.0, 1000.0
BAND_MM = 10.0

SOLID = 0.01
"""Of a solid: bands of 10 mm, whose ring is a little oval under its load."""

BEAM = 0.002
"""Of the beam: bands of 10 mm in place of points, and the shear coefficient of another author."""


@dataclass(frozen=True, eq=False)
class Answered:
    """A free tube under all set-ups."""

    study: Study
    model: Model
    solid: tuple[StaticAnswer, ...]
    beam: tuple[BeamResult, ...]


def at(place_mm: float, force_n: float = 0.0, *moment_nmm: float) -> dict[str, Any]:
    """Return a load upwards, or a moment."""
    return {
        "at_mm": place_mm,
        "force_n": [0, 0, force_n],
        "moment_nmm": list(moment_nmm or (0, 0, 0)),
        "band_mm": BAND_MM,
    }


CASES = {
    "three": [at(-300, 500), at(300, 500), at(0, -1000)],
    "four": [at(-300, 500), at(300, 500), at(-100, -500), at(100, -500)],
    "couple": [at(-300, 0, 0, 1e5, 0), at(300, 0, 0, -1e5, 0)],
    "twist": [at(-300, 0, 1e5, 0, 0), at(300, 0, -1e5, 0, 0)],
}
PLACE = {name: number for number, name in enumerate(CASES)}


def answered(right: dict[str, Any]) -> Answered:
    """Return solid and beam of a free bar of one tube."""
    table = {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": OD_MM, "wall_mm": WALL_MM}],
            "right": right,
        },
        "clamp": {"model": "none"},
        "cases": [{"id": name, "loads": loads} for name, loads in CASES.items()],
    }
    study = study_from_table(table, Path("tube.toml"), "")
    loads = [case.loads for case in study.cases]
    bands = [load for case in loads for load in case]
    model = build_model(study.bar, study.clamp, mesh_for(study.bar, study.clamp, bands))
    solid = solve_cases(model, loads, factorise_model(model)).answers
    beam = solve_beam(study.bar, study.clamp, loads, flexible=True)
    return Answered(study, model, solid, beam)


@pytest.fixture(scope="module")
def straight() -> Answered:
    """Return a straight tube of 700 mm."""
    return answered({"points_mm": [[0, 0, 0], [350, 0, 0]]})


@pytest.fixture(scope="module")
def bent() -> Answered:
    """Return a bent one, on which the same loads balance each other too."""
    points = [[0, 0, 0], [120, 0, 0], [360, 0, 110]]
    return answered({"points_mm": points, "bend_radii_mm": [70]})


def deflection_mm(name: str, study: Study) -> float:
    """Return the closed form: middle against supports, loads against supports, end, twist."""
    metal = study.bar.spec.material
    stiff, ratio = metal.youngs_modulus_mpa, metal.poisson_ratio
    shear = stiff / (2 * (1 + ratio))
    inner = OD_MM - 2 * WALL_MM
    second, area = pi * (OD_MM**4 - inner**4) / 64, pi * (OD_MM**2 - inner**2) / 4
    slip = 2 * (1 + ratio) / (4 + 3 * ratio) * shear * area
    bend, a = stiff * second, THIRD_MM
    # a couple that enters evenly over a band does the work of one that is b/6 nearer
    turned = SPAN_MM / 2 - BAND_MM / 6
    return {
        "three": LOAD_N * SPAN_MM**3 / (48 * bend) + LOAD_N * SPAN_MM / (4 * slip),
        "four": LOAD_N * a * (3 * SPAN_MM**2 - 4 * a**2) / (48 * bend) + LOAD_N * a / (2 * slip),
        "couple": 1e5 * turned / bend,
        "twist": 1e5 * turned / (shear * 2 * second),
    }[name]


@pytest.mark.parametrize("name", CASES)
def test_solid_and_beam_deflect_as_closed_forms(straight: Answered, name: str) -> None:
    """Against the ring at the middle; couples turn their end by half of the mutual turn."""
    expected = deflection_mm(name, straight.study)
    point = straight.solid[PLACE[name]].load_points[1]
    beam = straight.beam[PLACE[name]]
    if name in ("three", "four"):
        found, other = point.displacement_mm[2], beam.displacement_mm[1, 2]
    else:
        axis = 0 if name == "twist" else 1
        found, other = -point.rotation_rad[axis], -beam.rotation_rad[1, axis]
    assert found == pytest.approx(expected, rel=SOLID)
    assert other == pytest.approx(expected, rel=BEAM)


@pytest.mark.parametrize("shape", ["straight", "bent"])
def test_nothing_holds_the_bar(shape: str, request: pytest.FixtureRequest) -> None:
    """What holds bears no force, in the solid and in the beam, and the middle does not move."""
    bar: Answered = request.getfixturevalue(shape)
    for solid, beam in zip(bar.solid, bar.beam, strict=True):
        for force, moment in (
            (solid.reaction_n, solid.reaction_moment_nmm),
            (beam.reaction_n, beam.reaction_moment_nmm),
        ):
            assert np.abs(force).max() < 1e-6 * LOAD_N
            assert np.abs(moment).max() < 1e-6 * LOAD_N * SPAN_MM
        again = from_middle_ring(bar.model.mesh, solid.displacement_mm.reshape(-1, 1))
        assert again.ravel() == pytest.approx(solid.displacement_mm.ravel(), abs=1e-9)


def test_a_bent_bar_works_as_the_beam_does(bent: Answered) -> None:
    """Between the beam's two bounds by a few percent, as bars in clamps do."""
    loads = [case.loads for case in bent.study.cases]
    rigid = solve_beam(bent.study.bar, bent.study.clamp, loads, flexible=False)
    for solid, low, high in zip(bent.solid, rigid, bent.beam, strict=True):
        assert 0.97 * low.work_nmm < solid.work_nmm < 1.03 * high.work_nmm


def test_it_is_the_same_whatever_holds(bent: Answered) -> None:
    """Six freedoms at the far end of the bar in place of the middle: but for the datum the same."""
    model, mesh = bent.model, bent.model.mesh
    end = np.flatnonzero(mesh.block[:, 0] > mesh.block[:, 0].max() - 1e-6)
    free = all_but_six(mesh.points_mm, end)
    (loads,) = [bent.study.cases[PLACE["four"]].loads]
    modes = {load: band_modes(model, load) for load in loads}
    given = nodal_loads(model, loads, modes).reshape(-1, 1)
    flat = np.zeros_like(given)
    flat[free], _ = solve(factorise(free_part(model.stiffness, free)), given[free])
    expected = bent.solid[PLACE["four"]].displacement_mm.ravel()
    found = from_middle_ring(mesh, flat).ravel()
    assert found == pytest.approx(expected, abs=1e-6 * np.abs(expected).max())
    assert len(np.intersect1d(end, middle_ring(mesh))) == 0
