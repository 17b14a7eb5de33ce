"""S. P. Timoshenko and J. M. Gere, Theory of elastic stability: column and cylinder.

Both from memory, unverified; the figures were worked out apart from this program. A column held
at its foot carries pi^2 E I/(4 L^2), 3011.64 N for the tube here, and with its shear
(Engesser) 3008.71 N. A cylinder under axial compression wrinkles at E t/(R sqrt(3 (1 - nu^2))).
A geometric stiffness that keeps the deflection of the wall alone gives twice the column's load.

The last test takes the column through a study file and the command line.
"""

import json
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import airy
from typer.testing import CliRunner

from studies.commands.main import app
from support.checks import Problem, Target, misses
from support.stability import buckled
from support.systems import build_system, metal, shear, solved
from support.thin_cylinder import wrinkled
from support.tubes import at_s, end_faces, straight_bar, stretch

EULER_N, SECOND_N = 3011.64, 26877.2
OD_MM, WALL_MM, COLUMN_MM = 31.8, 1.5, 1200.0


def column(stiffening: float) -> Mapping[str, float]:
    """Return the loads in newtons at which a tube held at its foot buckles, first and second."""
    bar = straight_bar(COLUMN_MM, OD_MM, WALL_MM, metal(107e3 * stiffening, 0.32))
    mesh = stretch(bar, np.array([0.0, COLUMN_MM]), (80,), 16)
    system = build_system(mesh.points_mm, mesh.cells, bar.spec.material)
    held = np.repeat(at_s(mesh, 0.0)[:, None], 3, axis=1)
    push = shear(mesh.points_mm, end_faces(mesh, COLUMN_MM), (-1000.0, 0.0, 0.0))
    found = buckled(system, solved(system.stiffness, held, push)[0], held)
    # modes come in pairs, one for each direction
    return {"first": 1e3 * found.factors[0], "second": 1e3 * found.factors[2]}


def axial(thickening: float) -> Mapping[str, float]:
    """Return the lowest stress over the classical one."""
    return {"lowest": wrinkled("axial", thickening)[0][0]}


COLUMN = Problem(
    "column held at its foot",
    column,
    # 0.2 %: shear takes 0.1 %, the held root gives 0.05 % back; the second is an independent
    # solid's, 16 x 80 quadratic elements, where shear takes 0.9 % and the mesh gives some back
    {"first": Target(EULER_N, 2e-3), "second": Target(SECOND_N, 5e-3)},
)

CYLINDER = Problem(
    "cylinder under axial compression",
    axial,
    # independent solids of order 3 gave 0.972 and fall as they are refined, as do our own with
    # full integration (0.997, 0.969 at 96 x 48); two layers give 0.960
    {"lowest": Target(0.965, 0.02)},
)

PROBLEMS = (COLUMN, CYLINDER)


@pytest.mark.parametrize("problem", PROBLEMS, ids=lambda problem: problem.title)
def test_published_load(problem: Problem) -> None:
    """Column and cylinder buckle where the book says."""
    assert misses(problem) == {}


def test_the_cylinder_lies_in_the_classical_window() -> None:
    """0.95 to 1.01 of the classical stress, and tension never buckles it."""
    lowest, reversed_ones = wrinkled("axial", 1.0)
    assert 0.95 < lowest[0] < 1.01
    assert len(reversed_ones) == 0


def closed_form_n(stiffness_nmm2: float, length_mm: float, band_mm: float) -> float:
    """Return the load that buckles a column held at its foot, spread evenly over its last mm.

    Derivation: E I theta'' + P(x) theta = 0 for the slope theta, P constant up to the band and
    falling evenly to zero at the tip in it, theta = 0 at the foot, theta' = 0 at the tip. With xi
    from the tip and c^3 = P/(b E I), theta = Bi'(0) Ai(-c xi) - Ai'(0) Bi(-c xi) in the band;
    below it a sine and a cosine.
    """

    def at_foot(load_n: float) -> float:
        c = (load_n / (band_mm * stiffness_nmm2)) ** (1 / 3)
        _, slope_a, _, slope_b = airy(0.0)
        a, da, b, db = airy(-c * band_mm)
        theta, turn = slope_b * a - slope_a * b, c * (slope_b * da - slope_a * db)
        k, rest = np.sqrt(load_n / stiffness_nmm2), length_mm - band_mm
        # turn is d theta/d s towards the tip, so towards the foot it is its opposite
        return float(theta * np.cos(k * rest) - turn / k * np.sin(k * rest))

    euler = np.pi**2 * stiffness_nmm2 / (4 * length_mm**2)
    return float(brentq(at_foot, 0.5 * euler, 2.0 * euler))


def test_closed_form_of_a_narrow_band_is_eulers() -> None:
    """A load at the very tip is Euler's, a wide band carries more."""
    assert closed_form_n(1e9, 1000.0, 1.0) == pytest.approx(np.pi**2 * 1e9 / 4e6, rel=2e-3)
    assert closed_form_n(1e9, 1000.0, 200.0) > 1.1 * closed_form_n(1e9, 1000.0, 1.0)


COLUMN_STUDY = """
name = "column"
[bar]
stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 1.5 }]
[bar.right]
points_mm = [[0, 0, 0], [620, 0, 0]]
[bar.material]
youngs_modulus_mpa = 107000
poisson_ratio = 0.32
density_kg_m3 = 4480
proof_stress_mpa = 700
ultimate_stress_mpa = 800
source = { kind = "derived", reference = "the problem's data" }
[clamp]
width_mm = 40
model = "rigid"
[[cases]]
id = "pushed-along"
loads = [{ side = "right", from_end_mm = 50, force_n = [-1000, 0, 0], band_mm = 100 }]
"""


def test_a_column_from_a_study_file(tmp_path: Path) -> None:
    """Through the command line a bar pushed along at one end buckles at the closed form's load.

    0.5 %: the clamp holds the outer surface only, so the root turns a little (0.25 % measured).
    """
    path = tmp_path / "column.toml"
    path.write_text(COLUMN_STUDY, encoding="utf-8")
    call = ["run", str(path), "--mesh", "coarse", "--no-figures", "--json"]
    result = CliRunner().invoke(app, [*call, "--out", str(tmp_path / "out")])
    assert result.exit_code == 0
    found_n = 1000 * np.array(json.loads(result.stdout)["cases"][0]["buckling"]["elastic_factors"])
    sheared_n = sheared_column_n()
    assert found_n == pytest.approx(sheared_n, rel=5e-3)
    assert 1.05 * found_n[0] != pytest.approx(sheared_n, rel=5e-3)


@pytest.mark.slow
def test_its_path_past_yield_ends_there(tmp_path: Path) -> None:
    """A perfect column stays straight on its path; where it can leave it is told, and as collapse.

    1.5 %: the step is looked through to 0.6 %, and 0.1 % of compression, which the closed form
    leaves out, stiffens and shortens the column by some tenths of a percent (of twice the length
    it lies within 0.3 %).
    """
    path = tmp_path / "column.toml"
    path.write_text(COLUMN_STUDY, encoding="utf-8")
    call = [
        "collapse",
        str(path),
        "--mesh",
        "coarse",
        "--displacement-mm",
        "0.7",
        "--no-figures",
        "--json",
    ]
    result = CliRunner().invoke(app, [*call, "--out", str(tmp_path / "out")])
    assert result.exit_code == 0
    told = json.loads(result.stdout)["cases"][0]["collapse"]
    between_n = np.array([told["bifurcation_from_n"], told["bifurcation_to_n"]])
    assert np.ptp(between_n) < 0.01 * between_n[0]
    assert between_n == pytest.approx(sheared_column_n(), rel=0.015)
    assert 1.05 * between_n[0] != pytest.approx(sheared_column_n(), rel=0.015)
    assert (told["kind"], told["limit_load_n"]) == ("buckling", None)


def sheared_column_n() -> float:
    """Return the load of the study's column by the closed form, with its shear."""
    inner_mm = OD_MM - 2 * WALL_MM
    i_mm4, area_mm2 = np.pi * (OD_MM**4 - inner_mm**4) / 64, np.pi * (OD_MM**2 - inner_mm**2) / 4
    load_n = closed_form_n(107e3 * i_mm4, 600.0, 100.0)
    # Engesser, with Cowper's shear coefficient of this tube
    return load_n / (1 + load_n / (0.534346 * 107e3 / 2.64 * area_mm2))
