"""Sweeps of a cantilever tube against the formulas of beams.

Source: beam theory, textbook: I = pi (D^4 - d^4)/64, deflection F L^3/(3 E I) and F L/(k G A) from
shear, extreme stress F L D/(2 I); error propagation to first order for independent inputs. The
shear coefficient is that of Cowper, J. Appl. Mech. 33 (1966) 335-340; from memory.
"""

from collections.abc import Callable

import numpy as np
import pytest

from geometry.arrays import Floats
from studies.study_file.study import Study, read_study
from studies.sweeps.executors import local_executor
from studies.sweeps.statistics import bands, sensitivities
from studies.sweeps.sweep import run_sweep, sweep_of
from studies.sweeps.sweep_results import SweepRun, columns, numbers
from support.study_texts import cantilever
from support.sweeps import axis, plan

pytestmark = pytest.mark.slow

Formula = Callable[[Floats, Floats, Floats], Floats]

LENGTH_MM, FORCE_N, NU = 400.0, 200.0, 0.33
OD_MM, WALL_MM, E_MPA = 25.4, 1.6, 68300.0

TEXT = f"""
name = "boom"
[bar]
name = "boom"
stations = [{{ at_mm = 0, od_mm = {OD_MM}, wall_mm = {WALL_MM} }}]
[bar.material]
youngs_modulus_mpa = {E_MPA}
poisson_ratio = {NU}
density_kg_m3 = 2713
proof_stress_mpa = 241
ultimate_stress_mpa = 290
source = {{ kind = "practice", reference = "invented for a test" }}
{cantilever(LENGTH_MM, FORCE_N)}
"""

READ = ("deflection_mm", "stiffness_n_per_mm")
"""All that is read here of a design; what it does not need is left out."""

WALL, OD, E = "bar.stations.*.wall_mm", "bar.stations.*.od_mm", "bar.material.youngs_modulus_mpa"


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    """Return the cantilever's study."""
    path = tmp_path_factory.mktemp("boom") / "boom.toml"
    path.write_text(TEXT, encoding="utf-8")
    return read_study(path)


def deflection_mm(od: Floats, wall: Floats, e: Floats) -> Floats:
    """Return the end's deflection by beam theory with shear; the arguments broadcast."""
    inner = od - 2 * wall
    m = (inner / od) ** 2
    k = 6 * (1 + NU) * (1 + m) ** 2 / ((7 + 6 * NU) * (1 + m) ** 2 + (20 + 12 * NU) * m)
    inertia, area = np.pi / 64 * (od**4 - inner**4), np.pi / 4 * (od**2 - inner**2)
    result: Floats = FORCE_N * LENGTH_MM**3 / (3 * e * inertia) + (
        FORCE_N * LENGTH_MM * 2 * (1 + NU) / (k * e * area)
    )
    return result


def mass_g(od: Floats, wall: Floats) -> Floats:
    """Return the mass of the whole bar."""
    result: Floats = np.pi * wall * (od - wall) * 2 * (LENGTH_MM + 45) * 2713e-6
    return result


def column(run: SweepRun, key: str) -> Floats:
    """Return a figure of all designs."""
    return numbers(next(c for c in columns(run) if c.key == key))


@pytest.fixture(scope="module")
def grid(study: Study, tmp_path_factory: pytest.TempPathFactory) -> SweepRun:
    """Return a sweep over three walls and three diameters."""
    axes = [axis(WALL, values=[1.2, 1.5, 1.9]), axis(OD, values=[22.2, 25.4, 28.6])]
    sweep = sweep_of(study, axes, plan(only=READ))
    return run_sweep(sweep, tmp_path_factory.mktemp("grid"), lambda: local_executor(2))


def test_every_design_is_the_beam(grid: SweepRun) -> None:
    """Deflection within 0.6 %, mass to rounding.

    0.6 %: the clamp holds the outer surface alone, which softens the root as half a millimetre of
    length would (0.4 %), and the mesh is coarse.
    """
    od, wall = column(grid, OD), column(grid, WALL)
    known = deflection_mm(od, wall, np.array(E_MPA))
    assert column(grid, "end/deflection_mm") == pytest.approx(known, rel=6e-3)
    assert column(grid, "mass_g") == pytest.approx(mass_g(od, wall), rel=1e-6)


def test_five_percent_of_the_modulus_would_be_seen(grid: SweepRun) -> None:
    """Every design misses the deflection of a tube of another metal."""
    od, wall = column(grid, OD), column(grid, WALL)
    other = deflection_mm(od, wall, np.array(1.05 * E_MPA))
    assert (np.abs(column(grid, "end/deflection_mm") / other - 1) > 6e-3).all()


def test_the_exponents_are_those_of_the_formulas(grid: SweepRun) -> None:
    """Normalised derivatives of deflection, stiffness and mass, within 0.02.

    The formulas' own exponents by the same straight lines through logarithms: about -0.9 and -3.1
    for the deflection, which is 1/(D^3 t) of a thin tube.
    """
    od, wall = (np.array(v) for v in ([22.2, 25.4, 28.6], [1.2, 1.5, 1.9]))
    found = {(s.figure, s.input): s.value for s in sensitivities(grid)}
    for figure, of, sign in (
        ("end/deflection_mm", lambda d, t: deflection_mm(d, t, np.array(E_MPA)), 1),
        ("end/stiffness_n_per_mm", lambda d, t: 1 / deflection_mm(d, t, np.array(E_MPA)), 1),
        ("mass_g", mass_g, 1),
    ):
        by_wall = [np.polyfit(np.log(wall), np.log(of(np.array(d), wall)), 1)[0] for d in od]
        by_od = [np.polyfit(np.log(od), np.log(of(od, np.array(t))), 1)[0] for t in wall]
        assert found[figure, WALL] == pytest.approx(sign * np.mean(by_wall), abs=0.02)
        assert found[figure, OD] == pytest.approx(sign * np.mean(by_od), abs=0.02)


def exponents(of: Formula) -> list[float]:
    """Return d ln(formula)/d ln(input) for wall, diameter and modulus."""
    base, tiny = np.array([WALL_MM, OD_MM, E_MPA]), 1e-4
    return [
        float(np.log(of(*(base * (1 + tiny * (np.arange(3) == n)))) / of(*base)) / tiny)
        for n in range(3)
    ]


SPREAD = {WALL: 0.03, OD: 0.004, E: 0.02}
"""Relative standard deviations."""

FORMULAS: dict[str, Formula] = {
    "end/deflection_mm": lambda t, d, e: deflection_mm(d, t, e),
    "mass_g": lambda t, d, e: mass_g(d, t),
}


def test_tolerance_bands_are_propagated_variance(
    study: Study, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Mean, deviation and 5/50/95 % of deflection and mass against first-order propagation.

    The relative variance is the sum of (exponent x relative deviation)^2. The solid follows the
    formulas, read at these very samples, within 1.5 %. The formulas themselves, over 60 seeds of 64
    samples of a Sobol sequence, scatter by 2.1 % round 1.3 % in deviation, and by 0.14 deviations
    round 0.09 in the outer quantiles: three times that is allowed.
    """
    axes = [
        axis(path, acts_as="factor", normal={"mean": 1, "deviation": deviation})
        for path, deviation in SPREAD.items()
    ]
    sweep = sweep_of(study, axes, plan(designs=64, seed=5, sampler="sobol", only=READ[:1]))
    run = run_sweep(sweep, tmp_path_factory.mktemp("bands"), lambda: local_executor(2))
    found = {band.figure: band for band in bands(run)}
    factors = np.array(sweep.plan.values, dtype=float).T
    for figure, of in FORMULAS.items():
        pairs = zip(exponents(of), SPREAD.values(), strict=True)
        relative = np.sqrt(sum((x * s) ** 2 for x, s in pairs))
        read = of(*(factors * np.array([[WALL_MM], [OD_MM], [E_MPA]])))
        band = found[figure]
        assert band.mean == pytest.approx(read.mean(), rel=0.006)
        assert band.deviation / band.mean == pytest.approx(
            read.std(ddof=1) / read.mean(), rel=0.015
        )
        assert band.deviation / band.mean == pytest.approx(relative, rel=0.075)
        for quantile, known in zip(band.quantiles, (-1.645, 0.0, 1.645), strict=True):
            assert quantile / band.mean - 1 == pytest.approx(known * relative, abs=0.5 * relative)
