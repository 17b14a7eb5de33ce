"""The hour of a practitioner by the manual: measurements to plan, record to comparison."""

import json
import re
from collections.abc import Sequence
from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from studies.study_file.study import read_study
from support.how_tos import HOW_TOS, followed
from support.quick_commands import CRUDE

PAGE = HOW_TOS / "press.md"

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
    """Every command of the page, as it stands there, in a copy of the coupons' folder.

    The record is of another program's coupon, with a rig whose give nobody knew. The prediction
    must meet it, and the fit hold the strength that the coupon had.
    """
    monkeypatch.chdir(tmp_path)
    told: dict[str, str] = {}

    def run(words: Sequence[str]) -> str:
        printed = answered(capsys, *words)
        told[" ".join(words[:2])] = printed
        return printed

    followed(PAGE, run)
    folder = tmp_path / "coupons"
    assert "HC-1" in told["check aluminium.toml"]
    assert "Ranges, 95 %" in told["collapse aluminium.toml"]
    plan = json.loads(next(folder.rglob("plan.json")).read_text(encoding="utf-8"))
    assert plan["steps"]
    assert "does not tell" in " ".join(told["press aluminium.csv"].split())
    text = Path("aluminium-pressed", "press.json").read_text(encoding="utf-8")
    found = json.loads(text)["against"]
    assert len(found["figures"]) == 3
    assert all(abs(one["deviations"]) < 2 for one in found["figures"])
    fits = {one["input"]: one for one in found["calibration"]["fits"]}
    proof = fits["proof stress"]
    assert proof["low"] < 262 / 241 < proof["high"]
    page = Path("aluminium-pressed", "press.html").read_text(encoding="utf-8")
    assert "HC-1" in page
