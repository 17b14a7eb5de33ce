"""The hour of a practitioner by the README: measurements to plan, record to comparison."""

import json
import re
import shlex
import shutil
from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from studies.study_file.study import read_study
from support.code_rules import ROOT
from support.quick_commands import CRUDE

README = (ROOT / "README.md").read_text(encoding="utf-8")
COUPONS = ROOT / "studies" / "examples" / "coupons"

MEASURED = {
    "width_mm": 742.0,
    "rise_mm": 32.0,
    "backsweep_deg": 7.5,
    "upsweep_deg": 4.0,
    "middle_mm": 130.0,
    "knee_mm": 230.0,
    "bend_radius_mm": 70.0,
}
"""As someone wrote it down beside the bar, in the words of the file."""

ON_THE_SCALE = """
[specimen]
id = "R-3"
mass_g = 288.0
mass_within_g = 0.5
"""

PRESS = """
bore_mm = 30
force_unit = "bar"
gauge_class_percent = 1.0
full_scale = 40
resolution = 0.2
"""


def commands_after(words: str) -> list[list[str]]:
    """Return the commands of the README's first block after some words, without their comments."""
    block = README.split(words, 1)[1].split("\n\n")[1].replace("\\\n", " ")
    lines = [shlex.split(line, comments=True) for line in block.splitlines()]
    return [line for line in lines if line]


def answered(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Run a command that must succeed and return what it prints."""
    assert main(list(words)) == 0, words
    return capsys.readouterr().out


def test_from_a_list_of_measurements_to_a_plan(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A riser is asked for, filled in, weighed, checked, and its test printed on a sheet."""
    monkeypatch.chdir(tmp_path)
    for level in ("standard", "coarse"):
        monkeypatch.setitem(LEVELS, level, CRUDE)
    answered(capsys, "new", "my-bar", "--as", "riser")
    file = Path("my-bar.toml")
    before, shape = file.read_text(encoding="utf-8").split("[bar.right.shape]")
    for key, value in MEASURED.items():
        shape, count = re.subn(rf"(?m)^{key} = \S+", f"{key} = {value}", shape, count=1)
        assert count == 1, key
    file.write_text(f"{before}[bar.right.shape]{shape}{ON_THE_SCALE}", encoding="utf-8")
    told = " ".join(answered(capsys, "check", "my-bar.toml").split())
    assert "R-3" in told
    assert "742" in told
    assert read_study(file).specimen
    Path("bench.toml").write_text(PRESS, encoding="utf-8")
    plan = ["plan", "my-bar.toml", "--case", "iso-4210-5.bar-bending", "--linear", "--as-measured"]
    told = answered(capsys, *plan, "--rig", "bench.toml", "--out", "sheet")
    assert "straight part" in told
    sheet = Path("sheet", "plan.html").read_text(encoding="utf-8")
    assert "R-3" in sheet
    assert "Bar and stem bending" in sheet


@pytest.mark.slow
def test_from_the_coupon_to_the_comparison(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every command of the README's block, as it stands there, in a copy of its folder.

    The record is of another program's coupon, with a rig whose give nobody knew. The prediction
    must meet it, and the fit hold the strength that the coupon had.
    """
    folder = tmp_path / "coupons"
    shutil.copytree(COUPONS, folder)
    monkeypatch.chdir(folder)
    change, *commands = commands_after("From the bar on the table to the comparison:")
    assert change == ["cd", "studies/examples/coupons"]
    names = [name for name, *_ in commands]
    assert names == ["barwright"] * len(commands)
    told = {one[1]: answered(capsys, *one[1:]) for one in commands}
    assert list(told) == ["check", "collapse", "plan", "press"]
    assert "HC-1" in told["check"]
    assert "Ranges, 95 %" in told["collapse"]
    plan = json.loads(next(folder.rglob("plan.json")).read_text(encoding="utf-8"))
    assert plan["steps"]
    assert "does not tell" in " ".join(told["press"].split())
    text = Path("aluminium-pressed", "press.json").read_text(encoding="utf-8")
    found = json.loads(text)["against"]
    assert len(found["figures"]) == 3
    assert all(abs(one["deviations"]) < 2 for one in found["figures"])
    fits = {one["input"]: one for one in found["calibration"]["fits"]}
    proof = fits["proof stress"]
    assert proof["low"] < 262 / 241 < proof["high"]
    page = Path("aluminium-pressed", "press.html").read_text(encoding="utf-8")
    assert "HC-1" in page
