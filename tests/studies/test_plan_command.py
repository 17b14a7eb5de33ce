"""`barwright plan`: what it prints and writes, what it expects, and what it refuses."""

import json
from math import pi
from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.bench.plan_record import PlanRecord
from studies.commands.main import main
from studies.files.provenance import Provenance
from studies.records.case import ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.results import plan_source
from studies.study_file.study import read_study
from support.plan_studies import free, riser, stood
from support.plans import made_collapse, plan_in, planned_run
from support.preview_bars import CRUDE

BENT = """name = "bent"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 2 }]
[bar.right]
points_mm = [[0, 0, 0], [300, 0, 0]]
[clamp]
width_mm = 40
[mesh]
level = "coarse"
"""
PUSH = """[[cases]]
id = "push"
loads = [{ side = "right", from_end_mm = 40, force_n = [0, 0, -200], band_mm = 20 }]
"""
TURN = """[[cases]]
id = "turn"
loads = [{ side = "right", from_end_mm = 40, moment_nmm = [30000, 0, 0], band_mm = 20 }]
"""


@pytest.fixture(autouse=True)
def rough(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let coarse meshes be rougher than that."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)


@pytest.fixture
def bent(folder: Path) -> Path:
    """Return the file of a straight bar with two cases, in an empty current folder."""
    file = folder / "bent.toml"
    file.write_text(BENT + PUSH + TURN, encoding="utf-8")
    return file


def planned(capsys: pytest.CaptureFixture[str], *arguments: str) -> PlanRecord:
    """Return the JSON that the command prints."""
    assert main(["plan", *arguments, "--json"]) == 0
    return PlanRecord.model_validate_json(capsys.readouterr().out)


def test_readings_are_those_of_the_hand_formula(
    bent: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """P = F / A in bar, and the loads lie at whole divisions of the gauge."""
    rig = ["--force-unit", "bar", "--bore-mm", "16", "--resolution", "0.1"]
    made = planned(
        capsys, str(bent), "--case", "push", "--linear", *rig, "--friction-percent", "0:0"
    )
    for step in made.steps:
        if step.gauge:
            assert step.gauge.value == pytest.approx(step.load / (pi * 16**2 / 4) / 0.1)
        if step.kind == "straight":
            assert step.gauge
            assert 10 * step.gauge.value == pytest.approx(round(10 * step.gauge.value), abs=1e-6)
    assert made.expected.basis == "linear"
    assert [one.kind for one in made.steps].count("straight") >= 5


def test_the_files_and_the_printed_table(bent: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A page and its record, in the case's folder; a later command still takes the folder."""
    assert main(["plan", str(bent), "--case", "push", "--linear"]) == 0
    out = capsys.readouterr().out
    assert "end of the straight line" in out
    assert "--band traces both" in " ".join(out.split())
    assert "A bar that breaks hurts someone." in out
    assert max(map(len, out.splitlines()[:-1])) <= 80
    folder = Path("results/bent/plans/push")
    assert sorted(one.name for one in folder.iterdir()) == ["plan.html", "plan.json"]
    stored = PlanRecord.model_validate_json((folder / "plan.json").read_text("utf-8"))
    assert stored.test.case == "push"
    assert "safe" not in (folder / "plan.html").read_text("utf-8").lower()
    assert main(["run", str(bent), "--no-figures", "--quiet"]) == 0
    assert (folder / "plan.html").is_file()


def test_moments_are_planned_in_degrees(bent: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The load is 30 N·m, the travel a rotation."""
    made = planned(capsys, str(bent), "--case", "turn", "--linear")
    assert made.expected.load_unit == "N·m"
    assert made.expected.travel_unit == "deg"
    assert made.test.load == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "--case: is not given, and the study has push, turn"),
        (["--case", "pusch"], "--case: no case is called 'pusch'; nearest: push"),
        (["--case", "push", "--linear", "--band"], "--band: is of a path past yield"),
        (
            ["--case", "push", "--bore-mm", "40"],
            "--force-unit: is not given, but the ram's bore or area is",
        ),
        (
            ["--case", "push", "--bore-mm", "40", "--force-unit", "kN"],
            "--area-mm2: is given, but the gauge shows kN",
        ),
        (["--case", "push", "--force-unit", "bar"], "--area-mm2: is not given, and the gauge"),
        (["--case", "push", "--force-unit", "Bar"], "--force-unit: no unit of it is called 'Bar'"),
        (["--case", "push", "--gauge-class", "1"], "--full-scale: is not given"),
        (["--case", "turn", "--force-unit", "kN", "--linear"], "--force-unit: is kN, but turn"),
    ],
)
def test_what_is_refused(
    bent: Path, arguments: list[str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One sentence, exit code 2, and nothing is written."""
    assert main(["plan", str(bent), *arguments]) == 2
    assert says in capsys.readouterr().err
    assert not Path("results").exists()


def test_a_folder_of_others_is_left_alone(bent: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """And so is the plan of another study's file."""
    Path("mine").mkdir()
    Path("mine/notes.txt").touch()
    assert main(["plan", str(bent), "--case", "push", "--linear", "--out", "mine"]) == 2
    assert "holds files and no results of barwright" in capsys.readouterr().err
    assert [one.name for one in Path("mine").iterdir()] == ["notes.txt"]


def test_the_path_of_the_results_folder_is_expected(
    bent: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of the same file and version; of a changed file it is not, and would be traced anew."""
    study = read_study(bent)
    run, case, record = planned_run(study, "push")
    _store(record, made_collapse(run, case))
    made = planned(capsys, str(bent), "--case", "push")
    assert made.expected.basis == "path"
    assert made.expected.band_low is not None
    assert made.expected.from_where == "Path past yield, mesh coarse, of the results folder."
    top = next(one for one in made.steps if one.kind == "top")
    assert top.travel_low is not None
    changed = BENT.replace("wall_mm = 2", "wall_mm = 2.1") + PUSH + TURN
    bent.write_text(changed, encoding="utf-8")
    assert plan_source.stored_path(read_study(bent), "push", Path("results/bent")) is None
    bent.write_text(BENT + PUSH + TURN, encoding="utf-8")
    assert plan_source.stored_path(read_study(bent), "push", Path("results/bent")) is not None
    monkeypatch.setattr(plan_source, "is_current", _never)
    assert plan_source.stored_path(read_study(bent), "push", Path("results/bent")) is None


def _never(kind: str, made_by: Provenance) -> bool:
    return False


def _store(record: ResultsRecord, path: CollapseRecord) -> None:
    """Write a record with a path for its first case, as `collapse` would."""
    cases = [record.cases[0].model_copy(update={"collapse": path})]
    folder = Path("results/bent")
    folder.mkdir(parents=True)
    text = record.model_copy(update={"cases": cases}).model_dump_json()
    (folder / "results.json").write_text(text, encoding="utf-8")


def test_the_standard_s_hold_and_set(tmp_path: Path) -> None:
    """The catalogue's minute at the test's load, then the set, and steps beyond by the path."""
    made = plan_in(tmp_path, riser(), "iso-4210-5.bar-bending", path=True)
    held = [one for one in made.steps if one.hold_s]
    assert [(one.load, one.hold_s, one.what) for one in held] == [
        (1000.0, 60.0, "load of the test")
    ]
    after = made.steps[made.steps.index(held[0]) + 1]
    assert (after.kind, after.permanent_set) == ("unload", 0.0)
    assert [one.value for one in made.test.requirements] == ["15 mm", "visual"]
    assert not any(one.startswith("Hold") for one in made.notes)


def test_repeated_loads_are_planned_at_both_ends(tmp_path: Path) -> None:
    """450 N and its reverse, 100 000 cycles; no steps, no hold."""
    made = plan_in(tmp_path, riser(), "iso-4210-5.fatigue-in-phase")
    assert made.cycle
    assert made.cycle.cycles == 100_000
    assert made.cycle.checks_at[-1] == 100_000
    first, second = made.cycle.ends
    assert (first.load, second.load) == (450.0, -450.0)
    assert second.travel == -first.travel
    assert not made.steps
    assert not any("Hold" in one for one in made.notes)


def test_places_of_instruments(tmp_path: Path) -> None:
    """Dial at the load, gauge near the peak, marks at the clamp; the study's own gauges too."""
    made = plan_in(tmp_path / "riser", riser(), "iso-4210-5.bar-bending")
    tags = {one.tag: one for one in made.instruments}
    assert tags["D1"].place.startswith("right 337 mm")
    assert tags["D2"].place.startswith("right 387 mm")
    assert "left and right 23 mm" in tags["W1"].place
    assert tags["S1"].expected.startswith("\u2212")
    own = plan_in(tmp_path / "stood", stood(), "press.stood-on-both-ends").instruments
    assert [one.tag for one in own if one.tag.startswith("G")] == ["G1", "G2"]
    assert "ram" in own[0].place


def test_a_free_tube_reads_strain_in_its_middle(tmp_path: Path) -> None:
    """P a / 2 over the section's modulus: -1 % to 3 %, for the tube's mesh and its flattening."""
    made = plan_in(tmp_path, free(), "press.four-point")
    middle = next(one for one in made.instruments if "middle" in one.place)
    second = pi / 64 * (31.8**4 - 28.6**4)
    nominal = 1000 * 200 / 2 * 15.9 / second / 68_300 * 1e6
    assert float(middle.expected.split()[0]) == pytest.approx(nominal, rel=0.03)


def test_the_schema_of_a_plan(capsys: pytest.CaptureFixture[str]) -> None:
    """It parses and is an object's."""
    assert main(["schema", "plan"]) == 0
    schema = json.loads(capsys.readouterr().out)
    assert schema["type"] == "object"
    assert "steps" in schema["properties"]


def test_a_press_in_a_file_is_shared(bent: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """With the keys of `press`; an option goes before the file."""
    Path("rig.toml").write_text(
        'force_unit = "bar"\nbore_mm = 16\nfull_scale = 100\nfriction_percent = [0, 0]\n',
        encoding="utf-8",
    )
    start = [str(bent), "--case", "push", "--linear", "--rig", "rig.toml"]
    made = planned(capsys, *start, "--full-scale", "160")
    assert made.gauge
    assert made.gauge.rig["full_scale"] == 160
    assert made.gauge.force_of_unit_n == pytest.approx(0.1 * pi * 16**2 / 4)


CHAIN = """
[[cases]]
id = "first"
loads = [{ at_mm = 150, force_n = [0, 0, -200] }]
cycle = { other = "second", cycles = 1000 }
[[cases]]
id = "second"
loads = [{ at_mm = 150, force_n = [0, 0, -100] }]
cycle = { other = "third" }
[[cases]]
id = "third"
loads = [{ at_mm = 150, force_n = [0, 0, 5000] }]
cycle = { cycles = 10 }
"""


def test_a_cycle_s_other_end_may_have_one_itself(
    bent: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All of them are computed; the reading of the other end is that of its own case."""
    bent.write_text(BENT + CHAIN, encoding="utf-8")
    made = planned(capsys, str(bent), "--case", "first")
    assert made.cycle
    assert [one.load for one in made.cycle.ends] == [200.0, 100.0]
    assert made.cycle.checks_at == [1, 100, 250, 500, 750, 1000]
    beyond = planned(capsys, str(bent), "--case", "third")
    assert any("travels are those of an elastic bar" in one for one in beyond.notes)


def test_a_gauge_too_coarse_is_said(bent: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A ram of 100 mm: no step is resolved, nor is the peak, and both are told."""
    rig = ["--force-unit", "bar", "--bore-mm", "100", "--resolution", "2"]
    made = planned(capsys, str(bent), "--case", "push", "--linear", *rig)
    assert all(one.gauge.remark == "not resolved" for one in made.steps if one.gauge)
    assert made.gauge
    assert made.gauge.resolves_peak is False
    notes = " ".join(made.notes)
    assert "the gauge cannot resolve the peak" in notes
    assert "take a smaller ram or a finer gauge" in notes
