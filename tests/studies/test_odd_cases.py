"""Cases that are unusual and allowed: an answer or a sentence, never a crash or noise."""

import json
from pathlib import Path

import pytest

from studies.assessment.run import run_study
from studies.commands.main import main
from studies.results.record import results_record
from studies.study_file.study import read_study

BAR = """
name = "odd"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 2.0 }]
[bar.right]
points_mm = [[0, 0, 0], [RIGHT, 0, 0]]
bend_radii_mm = []
LEFT
[clamp]
width_mm = 46
model = "GRIP"
[mesh]
level = "coarse"
[[cases]]
id = "odd"
loads = [LOADS]
"""

SQUEEZE = (
    '{ side = "right", from_end_mm = 50, force_n = [-500, 0, 0] },'
    '{ side = "left", from_end_mm = 50, force_n = [500, 0, 0] }'
)
TWIST = (
    '{ side = "right", from_end_mm = 50, moment_nmm = [9000, 0, 0] },'
    '{ side = "left", from_end_mm = 50, moment_nmm = [-9000, 0, 0] }'
)
PUSH = '{ side = "right", from_end_mm = 50, force_n = [0, 0, -300] }'
STUB = "[bar.left]\npoints_mm = [[0, 0, 0], [-23.1, 0, 0]]\nbend_radii_mm = []"


def _study(
    folder: Path, loads: str, right: int = 300, left: str = "", grip: str = "elastic"
) -> Path:
    text = BAR.replace("LOADS", loads).replace("RIGHT", str(right))
    path = folder / "odd.toml"
    path.write_text(text.replace("LEFT", left).replace("GRIP", grip), encoding="utf-8")
    return path


@pytest.mark.parametrize("loads", [SQUEEZE, TWIST])
def test_loads_that_balance_each_other(tmp_path: Path, loads: str) -> None:
    """No resultant and no reaction; the bar is squeezed or twisted all the same."""
    case = results_record(run_study(read_study(_study(tmp_path, loads)))).cases[0]
    assert case.reaction_n == pytest.approx((0, 0, 0), abs=1e-5)
    assert case.peak_stress_mpa > 1
    assert all(check.passed for check in case.checks)


def test_a_moment_that_moves_nothing_is_not_judged_by_its_noise(tmp_path: Path) -> None:
    """Pure torsion moves no section's mean: nothing is said of what the clamp does to that."""
    record = results_record(run_study(read_study(_study(tmp_path, TWIST))))
    assert record.cases[0].deflection_mm < 1e-6
    assert not any("Clamp stiffness" in line for line in record.limitations)


def test_a_bar_that_is_all_clamp_and_bands(tmp_path: Path) -> None:
    """Nothing lies between clamp and bands: the peak is read at the clamp's edge."""
    loads = ", ".join(
        f'{{ side = "{side}", from_end_mm = 18.5, force_n = [0, 0, -300], band_mm = 37 }}'
        for side in ("right", "left")
    )
    run = run_study(read_study(_study(tmp_path, loads, right=60, grip="rigid")))
    assert run.cases[0].peak.rule == "clamp edge"


def test_a_stub_that_ends_beside_the_clamp(tmp_path: Path) -> None:
    """The edge rule has no two lines on the short side, and the answer is that of the long one."""
    run = run_study(read_study(_study(tmp_path, PUSH, left=STUB)))
    whole = run_study(read_study(_study(tmp_path, PUSH)))
    assert run.cases[0].peak.stress_mpa == pytest.approx(whole.cases[0].peak.stress_mpa, rel=0.01)


def test_a_left_half_may_bend_at_once(tmp_path: Path) -> None:
    """A bend that ends at the clamp centre belongs to its half."""
    left = "[bar.left]\nbends = [{ straight_mm = 0, rotation_deg = 0, angle_deg = 12, "
    left += "radius_mm = 120 }]\ntail_mm = 250"
    line = read_study(_study(tmp_path, PUSH, left=left)).bar.line
    assert line.curvature_per_mm[1] == pytest.approx(1 / 120)
    assert line.breaks_mm[2] == pytest.approx(0)


def test_a_feather_on_the_peak_does_not_raise_the_factor(tmp_path: Path) -> None:
    """A newton on the hottest place hides it from the search, and --fail-under counts it."""
    text = _study(tmp_path, PUSH).read_text(encoding="utf-8")
    stations = (
        "stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 2.5 }, "
        "{ at_mm = 50, od_mm = 31.8, wall_mm = 2.5 }, { at_mm = 95, od_mm = 22.2, wall_mm = 1.0 }]"
    )
    text = text.replace("stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 2.0 }]", stations)
    feather = PUSH + ", { at_mm = 95, force_n = [0, 0, -1], band_mm = 60 }"
    (tmp_path / "odd.toml").write_text(text.replace(PUSH, feather), encoding="utf-8")
    out = tmp_path / "out"
    arguments = ["run", str(tmp_path / "odd.toml"), "--no-figures", "--out", str(out)]
    assert main(arguments) == 0
    record = json.loads((out / "results.json").read_text(encoding="utf-8"))
    case, proof = record["cases"][0], record["material"]["proof_stress_mpa"]
    assert case["load_band_peak_mpa"] > 1.05 * case["peak_stress_mpa"]
    between = proof / (case["load_band_peak_mpa"] * 0.99)
    assert main([*arguments, "--fail-under", str(between)]) == 1


def test_a_long_thin_bar_is_solved(tmp_path: Path) -> None:
    """Slenderness alone is no reason to distrust a solution."""
    path = _study(tmp_path, PUSH, right=1400)
    path.write_text(path.read_text(encoding="utf-8").replace("wall_mm = 2.0", "wall_mm = 0.5"))
    assert run_study(read_study(path), solver="splu").cases[0].answer.work_nmm > 0
