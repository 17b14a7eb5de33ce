"""The shipped riser bar against NGSolve: another mesh, another degree, another solver.

A bar of two bends each side, taper, butting, wall change, ovality, in an elastic grip: all that
closed forms leave out. NGSolve's elements are tensor-product ones of degree 3, one through the
wall; its error is seen from degree 2 on the same mesh, and was seen once from degree 4 (629 000
degrees of freedom, 6 GB): 0.01 % in deflection, 0.6 % in peak stress, 1.4 % of the peak at the
worst place.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import chain, product
from pathlib import Path

import numpy as np
import pytest

pytest.importorskip("ngsolve")

from fea.solid.hot_spot import in_bands
from fea.solid.model import Model, build_model, mesh_for
from fea.solid.recovery import SurfaceStress, build_recovery, in_axes, surface_stress, von_mises_mpa
from fea.solid.statics import StaticAnswer, factorise_model, solve_cases
from geometry.arrays import Flags, Floats
from geometry.bar import axes, build_bar
from geometry.section import Station
from studies.study_file.study import Study, read_study
from support.ngsolve_bar import Answer, Curved, curved_mesh, mesh_lines_mm, solve_bar, stress_at

pytestmark = pytest.mark.slow

EXAMPLE = Path(__file__).parents[2] / "studies" / "examples" / "harbour-riser.toml"

DEFLECTION_LIMIT = 0.005
"""Of the displacement at each load point. Measured 0.02 %, NGSolve's own error 0.01 %."""

STRESS_LIMIT = 0.02
"""Of the peak, the largest von Mises stress compared on a face. A share of the local stress would
judge places that hold nearly none."""

PEAK_LIMIT = STRESS_LIMIT
"""Of the largest stress of each face: the figure that a safety factor rests on. Measured 0.5 to
0.9 % for von Mises, of which NGSolve's own error is half; 0.7 to 1.9 % along and round the tube."""

MEAN_LIMIT = 0.01
"""Root mean square of the difference as a share of the peak. Measured 0.2 to 0.6 %."""

BEYOND_LIMIT = 0.02
"""Share of places where the difference is beyond `STRESS_LIMIT`. Measured 0 to 1.4 %, all at the
tangent points of bends, where stress changes within a wall's length."""

WORST_LIMIT = 0.05
"""The worst place as a share of the peak. One layer's stress is linear through the wall: of a
shear stress that is a parabola it keeps the mean, which at the free faces should be nothing. That
leaves up to 3.7 % of von Mises where little else acts; two layers leave 2 %. The axial stress is
4.4 % off at two tangent points, where NGSolve's own is uncertain by 2 % (its tractions at the free
faces say so)."""

DEGREE_2_LIMIT = 0.03
"""The mean difference of NGSolve's stress in degrees 2 and 3. Measured 0.7 to 2.6 %; in degrees 3
and 4 a fifth of that."""

REACH_MM = 10.0
"""Places as near as this to the clamp, or half of it to an end, are not compared."""

SURFACES = {"outer": 1.0, "inner": 0.0}

READINGS: dict[str, Callable[[Floats], Floats]] = {
    "von Mises": von_mises_mpa,
    "axial": lambda stress: stress[:, 0],
    "hoop": lambda stress: stress[:, 1],
}
"""What is read from the six components."""


@dataclass(frozen=True, eq=False)
class Ours:
    """Our answers.

    Attributes:
        model: The equations.
        answers: One for each case.
        stresses: Likewise.
    """

    model: Model
    answers: tuple[StaticAnswer, ...]
    stresses: tuple[SurfaceStress, ...]


def solve_ours(study: Study, layers: int = 1) -> Ours:
    """Return the answers of the whole chain on the standard mesh."""
    cases = [case.loads for case in study.cases]
    mesh = mesh_for(study.bar, study.clamp, chain(*cases), "standard", layers)
    model = build_model(study.bar, study.clamp, mesh)
    answers = solve_cases(model, cases, factorise_model(model)).answers
    recovery, material = build_recovery(study.bar, mesh), study.bar.spec.material
    stresses = tuple(
        surface_stress(recovery, mesh, model.grads, material, answer.displacement_mm)
        for answer in answers
    )
    return Ours(model, answers, stresses)


@pytest.fixture(scope="module")
def riser() -> Study:
    """Return the shipped study."""
    return read_study(EXAMPLE)


@pytest.fixture(scope="module")
def ours(riser: Study) -> Ours:
    """Return our answers as a user gets them."""
    return solve_ours(riser)


@pytest.fixture(scope="module")
def curved(riser: Study) -> Curved:
    """Return NGSolve's mesh."""
    loads = list(chain.from_iterable(case.loads for case in riser.cases))
    return curved_mesh(riser.bar, mesh_lines_mm(riser.bar, riser.clamp, loads))


@pytest.fixture(scope="module")
def oracle(riser: Study, curved: Curved) -> dict[int, list[Answer]]:
    """Return NGSolve's answers by degree."""
    cases = [case.loads for case in riser.cases]
    return {degree: solve_bar(riser.bar, riser.clamp, curved, cases, degree) for degree in (2, 3)}


def off(found: Floats, known: Floats) -> float:
    """Return the largest difference of displacements as a share of the largest displacement."""
    return float(np.abs(found - known).max() / np.linalg.norm(known, axis=1).max())


def displacements(answer: StaticAnswer) -> Floats:
    """Return (n, 3): the displacement of each load point."""
    return np.array([point.displacement_mm for point in answer.load_points])


def compared(ours: Ours, study: Study, case: int) -> Flags:
    """Return which nodes of the sheet are away from the clamp, the ends and the case's bands."""
    s = ours.model.mesh.sheet.nodes[:, 0]
    from_end = np.minimum(s - s.min(), s.max() - s)
    away: Flags = (np.abs(s) > study.clamp.to_mm + REACH_MM) & (from_end > REACH_MM / 2)
    return away & ~in_bands(ours.model, study.cases[case].loads)


def stress_pairs(
    ours: Ours, study: Study, case: int, curved: Curved, answer: Answer
) -> dict[str, tuple[Floats, Floats]]:
    """Return stress in the tube's axes (ours, NGSolve's) at the places compared, by face."""
    away = compared(ours, study, case)
    places = ours.model.mesh.sheet.nodes[away]
    rows = axes(study.bar, *places.T)
    pairs = {}
    for face, zeta in SURFACES.items():
        block = np.column_stack([places, np.full(len(places), zeta)])
        known = in_axes(stress_at(study.bar, curved, answer.field, block), rows)
        pairs[face] = getattr(ours.stresses[case], face)[away], known
    return pairs


def faults(pair: tuple[Floats, Floats], reading: str = "von Mises") -> dict[str, float]:
    """Return the differences of a reading that are judged, as shares of the peak or of places."""
    found, known = (READINGS[reading](each) for each in pair)
    peak = von_mises_mpa(pair[1]).max()
    apart = np.abs(found - known) / peak
    return {
        "peak": abs(float(np.abs(found).max() / np.abs(known).max()) - 1),
        "mean": float(np.sqrt(np.mean(apart**2))),
        "beyond": float(np.mean(apart > STRESS_LIMIT)),
        "worst": float(apart.max()),
    }


def in_percent(figures: dict[str, float]) -> str:
    """Return figures as a line of a table."""
    return ", ".join(f"{name} {100 * figure:.2f} %" for name, figure in figures.items())


LIMITS = {"peak": PEAK_LIMIT, "mean": MEAN_LIMIT, "beyond": BEYOND_LIMIT, "worst": WORST_LIMIT}


def test_the_oracle_has_converged(
    riser: Study,
    curved: Curved,
    ours: Ours,
    oracle: dict[int, list[Answer]],
    record_property: Callable[[str, object], None],
) -> None:
    """Degrees 2 and 3 are so close that degree 3 can judge, for it is several times better."""
    for number, case in enumerate(riser.cases):
        coarse, fine = (oracle[degree][number] for degree in (2, 3))
        gap = off(coarse.displacement_mm, fine.displacement_mm)
        record_property(f"{case.case.id}: deflection, degree 2 against 3", f"{100 * gap:.3f} %")
        assert gap < DEFLECTION_LIMIT
        pairs = [stress_pairs(ours, riser, number, curved, answer) for answer in (coarse, fine)]
        for face in SURFACES:
            found = faults((pairs[0][face][1], pairs[1][face][1]))
            record_property(f"{case.case.id}: {face}, degree 2 against 3", in_percent(found))
            assert found["mean"] < DEGREE_2_LIMIT


def test_deflections_agree(
    riser: Study,
    ours: Ours,
    oracle: dict[int, list[Answer]],
    record_property: Callable[[str, object], None],
) -> None:
    """Every load point of every case moves as NGSolve says, and the loads do the same work."""
    for case, mine, known in zip(riser.cases, ours.answers, oracle[3], strict=True):
        gap = off(displacements(mine), known.displacement_mm)
        record_property(f"{case.case.id}: deflection", f"{100 * gap:.3f} %")
        assert gap < DEFLECTION_LIMIT
        assert mine.work_nmm == pytest.approx(known.work_nmm, rel=DEFLECTION_LIMIT)


def test_surface_stresses_agree(
    riser: Study,
    ours: Ours,
    curved: Curved,
    oracle: dict[int, list[Answer]],
    record_property: Callable[[str, object], None],
) -> None:
    """Away from clamp and bands both faces carry the stress that NGSolve finds."""
    beyond = []
    for number, case in enumerate(riser.cases):
        pairs = stress_pairs(ours, riser, number, curved, oracle[3][number])
        for (face, pair), reading in product(pairs.items(), READINGS):
            found, what = faults(pair, reading), f"{case.case.id}: {reading}, {face}"
            record_property(f"{what} ({len(pair[0])} places)", in_percent(found))
            beyond += [(what, name) for name, limit in LIMITS.items() if found[name] > limit]
    assert not beyond


def test_two_layers_leave_less(
    riser: Study, ours: Ours, curved: Curved, oracle: dict[int, list[Answer]]
) -> None:
    """The worst place owes its difference to the one layer: two of them halve it in the bore."""
    finer = solve_ours(riser, layers=2)
    for number in range(len(riser.cases)):
        one, two = (
            faults(stress_pairs(each, riser, number, curved, oracle[3][number])["inner"])
            for each in (ours, finer)
        )
        assert two["worst"] < 0.025
        assert two["mean"] < one["mean"]


def test_a_wall_too_thick_is_seen(
    riser: Study, curved: Curved, oracle: dict[int, list[Answer]]
) -> None:
    """A wall 5 % thicker breaks both limits: the comparison can fail."""
    stations = tuple(
        replace(station, wall_mm=1.05 * station.wall_mm) for station in riser.bar.spec.stations
    )
    bar = _rebuilt(riser, stations)
    spoilt = solve_ours(bar)
    pair = stress_pairs(spoilt, bar, 0, curved, oracle[3][0])["outer"]
    assert off(displacements(spoilt.answers[0]), oracle[3][0].displacement_mm) > DEFLECTION_LIMIT
    assert faults(pair)["peak"] > PEAK_LIMIT


def _rebuilt(study: Study, stations: tuple[Station, ...]) -> Study:
    return replace(study, bar=build_bar(replace(study.bar.spec, stations=stations)))
