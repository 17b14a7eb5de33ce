"""A run from study file to files: the contract of results.json, fields and exit codes."""

import json
import re
from pathlib import Path

import meshio
import numpy as np
import pytest

from fea.solid.recovery import von_mises_mpa
from geometry.properties import mass_g, volume_pappus_mm3
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import StudyRun, run_study
from studies.commands.main import main
from studies.records.case import results_schema
from studies.results.record import results_record
from studies.results.writing import write_results
from studies.study_file.study import read_study

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"
RISER = EXAMPLES / "harbour-riser.toml"

CONTRACT = {
    "id", "title", "source", "load_points", "deflection_mm", "stiffness_n_per_mm",
    "peak_stress_mpa", "peak_stress_at", "yield_factor", "ultimate_factor",
    "buckling", "fatigue", "clamp", "limits", "governing_factor", "summary",
    "work_nmm", "beam", "reaction_n", "reaction_moment_nmm", "error_estimate", "checks", "cautions",
    "limitations", "warnings",
}  # fmt: skip

SMALL = """
name = "short"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 2.0 }]
[bar.right]
points_mm = [[0, 0, 0], [120, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
model = "GRIP"
[mesh]
level = "coarse"
[[cases]]
id = "push"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, 0, -400], band_mm = 20 }]
[[cases]]
id = "twist"
loads = [{ side = "left", from_end_mm = 30, moment_nmm = [20000, 0, 0], band_mm = 20 }]
"""


@pytest.fixture(scope="module")
def riser() -> StudyRun:
    """Return the riser example, solved coarsely."""
    return run_study(read_study(RISER), level="coarse")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    """Return a study file of a short bar that solves in a moment."""
    path = tmp_path / "short.toml"
    path.write_text(SMALL.replace("GRIP", "elastic"), encoding="utf-8")
    return path


def test_the_record_keeps_the_contract(riser: StudyRun) -> None:
    """Every key that readers rely on is there, and finite."""
    record = results_record(riser).model_dump(mode="json")
    assert (record["format"], record["format_version"]) == ("barwright-results", 2)
    assert [case["id"] for case in record["cases"]] == [
        "iso-4210-5.bar-bending", "rider.standing-sprint", "rider.drop-landing",
        "iso-4210-5.fatigue-in-phase",
    ]  # fmt: skip
    for case in record["cases"]:
        assert case.keys() >= CONTRACT
        assert 0 <= case["peak_stress_at"]["theta_deg"] < 360
        assert case["peak_stress_at"]["surface"] in {"outer", "inner"}
        assert case["source"]["kind"] in {"standard", "derived", "memory", "practice"}
    json.dumps(record, allow_nan=False)


def test_the_numbers_of_the_record_follow_from_the_fields(riser: StudyRun) -> None:
    """Deflection, stiffness, factors, mass and work, each derived another way."""
    record, case = results_record(riser), riser.cases[0]
    first, point = record.cases[0], case.answer.load_points[0]
    assert first.deflection_mm == pytest.approx(np.linalg.norm(point.displacement_mm))
    assert first.stiffness_n_per_mm == pytest.approx(1000 / -point.displacement_mm[2])
    assert first.yield_factor == pytest.approx(455 / first.peak_stress_mpa)
    assert first.ultimate_factor == pytest.approx(531 / first.peak_stress_mpa)
    # one force on a straight grip: work is half of force times its band's mean displacement
    assert first.work_nmm == pytest.approx(500 * -point.displacement_mm[2], rel=1e-6)
    assert record.bar.mass_g == pytest.approx(
        volume_pappus_mm3(riser.study.bar) * 2796e-6, rel=1e-12
    )
    assert record.bar.mass_g == pytest.approx(mass_g(riser.study.bar))
    assert first.reaction_n == pytest.approx((0, 0, 1000), abs=1e-3)


def test_results_hold_no_stiffness(riser: StudyRun) -> None:
    """It takes more memory than all of them, while paths are traced and pages made."""
    assert riser.model.stiffness.nnz == 0


def test_the_peak_is_the_largest_stress_outside_the_bands(riser: StudyRun) -> None:
    """Away from clamp and loads no node is above it, and its own node carries it."""
    case, sheet = riser.cases[0], riser.model.mesh.sheet
    s = sheet.nodes[:, 0]
    away = (np.abs(s) > 30) & (np.abs(s - case.placed.loads[0].at_mm) > 25)
    largest = max(
        von_mises_mpa(face[away]).max() for face in (case.stress.outer, case.stress.inner)
    )
    assert case.peak.stress_mpa == pytest.approx(largest)


def test_the_beam_brackets_every_case(riser: StudyRun) -> None:
    """Plain and flexible frame stand on both sides of the solid, in energy and here in mm."""
    for case in riser.cases:
        plain, flexible = (
            float(np.linalg.norm(frame.displacement_mm, axis=1).max())
            for frame in (case.beam.rigid_bends, case.beam.flexible_bends)
        )
        assert plain < deflection_mm(case.answer, None) < flexible
        assert all(check.passed for check in case.checks)


def test_a_softer_grip_gives_more(riser: StudyRun) -> None:
    """A third and three times of the grip stand on both sides of the answer."""
    for case in riser.cases:
        soft, firm = case.clamp_stiffness_study
        assert soft.deflection_mm > deflection_mm(case.answer, None) > firm.deflection_mm


def test_the_fields_file_holds_the_answer(riser: StudyRun, tmp_path: Path) -> None:
    """The mesh read back is oriented, whole, and carries displacement and stress."""
    write_results(riser, tmp_path / "out")
    assert {path.name for path in (tmp_path / "out").iterdir()} == {
        "results.json",
        "report.html",
        "fields",
    }
    read = meshio.read(tmp_path / "out" / "fields" / "rider.drop-landing.vtu")
    case, mesh = riser.cases[2], riser.model.mesh
    assert read.cells[0].type == "hexahedron20"
    assert np.array_equal(read.cells[0].data, mesh.cells)
    assert np.array_equal(read.point_data["displacement_mm"], case.answer.displacement_mm)
    outer = mesh.outer.ravel()
    expected = von_mises_mpa(case.stress.outer)[mesh.sheet.quads.ravel()]
    assert np.allclose(read.point_data["von_mises_mpa"][outer], expected, rtol=1e-12)
    # von Mises does not depend on axes: from the six global components it is the same
    xx, yy, zz, xy, yz, xz = read.point_data["stress_mpa"].T
    again = von_mises_mpa(np.stack([xx, yy, zz, yz, xz, xy], axis=-1))
    assert np.allclose(again, read.point_data["von_mises_mpa"], rtol=1e-9, atol=1e-9)
    corners = read.points[read.cells[0].data[:, [0, 1, 3, 4]]]
    along = corners[:, 1:] - corners[:, :1]
    assert np.linalg.det(along).min() > 0


def test_the_schema_accepts_the_record(riser: StudyRun) -> None:
    """The published schema lists what results.json holds, and requires what it always held."""
    schema = results_schema()
    record = results_record(riser).model_dump(mode="json")
    assert schema["properties"].keys() == record.keys()
    # results of before it were written without it, and stay readable
    assert set(schema["required"]) == record.keys() - {"square", "specimen"}


def test_run_writes_and_prints(small: Path, tmp_path: Path, capfd: pytest.CaptureFixture) -> None:
    """Exit code 0, a table with both cases, files in the folder asked for."""
    out = tmp_path / "out"
    assert main(["run", str(small), "--no-figures", "--out", str(out)]) == 0
    printed, errors = capfd.readouterr()
    assert "push" in printed
    assert "twist" in printed
    # no terminal: a line a stage, and nothing else
    assert errors.startswith("stage: mesh\n")
    assert all(line.startswith("stage: ") for line in errors.splitlines())
    record = json.loads((out / "results.json").read_text(encoding="utf-8"))
    assert record["cases"][1]["stiffness_n_per_mm"] is None
    assert record["study"]["solver"] in {"splu", "cholmod", "pardiso"}


def test_json_is_all_there_is_on_standard_output(
    small: Path, tmp_path: Path, capfd: pytest.CaptureFixture
) -> None:
    """`--json` prints what results.json holds."""
    out = tmp_path / "out"
    arguments = [
        "run",
        str(small),
        "--no-figures",
        "--out",
        str(out),
        "--json",
        "--case",
        "push",
    ]
    assert main([*arguments, "--solver", "splu"]) == 0
    printed = json.loads(capfd.readouterr().out)
    assert printed == json.loads((out / "results.json").read_text(encoding="utf-8"))
    assert [case["id"] for case in printed["cases"]] == ["push"]
    assert printed["study"]["solver"] == "splu"


def test_a_run_of_one_case_says_what_it_replaced(
    small: Path, tmp_path: Path, capfd: pytest.CaptureFixture
) -> None:
    """The other case's results are gone, and that is said."""
    arguments = ["run", str(small), "--no-figures", "--out", str(tmp_path / "out")]
    assert main(arguments) == 0
    assert main([*arguments, "--case", "push"]) == 0
    assert "earlier results of twist" in capfd.readouterr().err


def test_fail_under_ends_with_one_and_keeps_the_files(small: Path, tmp_path: Path) -> None:
    """A factor below the limit is an answer, not an error."""
    arguments = ["run", str(small), "--no-figures", "--out", str(tmp_path / "out")]
    assert main([*arguments, "--fail-under", "1000"]) == 1
    assert (tmp_path / "out" / "results.json").exists()
    assert main([*arguments, "--fail-under", "0.01"]) == 0


@pytest.mark.parametrize(
    ("extra", "words"),
    [
        (["--case", "pusj"], "push"),
        (["--fail-under", "nan"], "--fail-under"),
        (["--mesh", "finest"], "finest"),
        (["--solver", "magic"], "magic"),
    ],
)
def test_bad_options_end_with_two(
    small: Path, tmp_path: Path, capfd: pytest.CaptureFixture, extra: list[str], words: str
) -> None:
    """Nothing is computed, nothing written, and the sentence names the value or its remedy."""
    out = tmp_path / "out"
    assert main(["run", str(small), "--out", str(out), *extra]) == 2
    assert words in capfd.readouterr().err
    assert not out.exists()


def test_a_strange_folder_is_refused_before_the_solve(small: Path, tmp_path: Path) -> None:
    """The study file's own folder is not a results folder."""
    assert main(["run", str(small), "--out", str(tmp_path)]) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["short.toml"]


def test_a_rigid_grip_says_what_its_edge_is_worth(tmp_path: Path) -> None:
    """No grip range, a stiffer answer, and the caution about the edge."""
    answers = {}
    for grip in ("rigid", "elastic"):
        path = tmp_path / f"{grip}.toml"
        path.write_text(SMALL.replace("GRIP", grip), encoding="utf-8")
        answers[grip] = results_record(run_study(read_study(path)))
    rigid = answers["rigid"].cases[0]
    assert rigid.clamp_stiffness_study == []
    assert rigid.deflection_mm < answers["elastic"].cases[0].deflection_mm
    assert any("upper bound" in line for line in answers["rigid"].limitations)
    assert answers["rigid"].clamp.normal_n_per_mm3 is None


def test_no_result_calls_a_bar_safe(riser: StudyRun) -> None:
    """Cautions are plain and the word that promises too much is never used."""
    text = results_record(riser).model_dump_json().lower()
    assert not re.search(r"\bsafe\b", text)
    assert "accredited tests" in text
