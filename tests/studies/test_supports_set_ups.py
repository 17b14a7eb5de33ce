"""Set-ups of a press that lie free, over shapes of ram, friction and direction, on the beam."""

from itertools import product
from pathlib import Path

import numpy as np
import pytest

from geometry.grading import LEVELS
from studies.assessment.supports import beam_supported
from studies.commands.main import main
from studies.study_file.study import read_study
from support.preview_bars import CRUDE

STUDY = """name = "tube"
[bar]
material = "al-6061-t6"
stations = [{{ at_mm = 0, od_mm = {od}, wall_mm = {wall} }}]
right = {{ points_mm = [[0, 0, 0], [{half}, 0, 0]] }}
[clamp]
model = "none"
"""
CASE = """[[cases]]
id = "{use}-{ram}-{friction}-{way}"
use = "press.{use}"
ram = "{ram}"
ram_mm = {ram_mm}
span_mm = {span}
friction = {friction}
direction_deg = {way}
"""
SET_UPS = {"three-point-ram": "", "four-point": "inner_span_mm = {inner}\n"}
WAYS, FRICTIONS = (0, 33, 45, 90), (0.3, 0.5)
TUBES = [(25.4, 0.847, 127, 60), (22.2, 2.22, 555, 30)]


@pytest.mark.parametrize(("od", "wall", "span", "ram_mm"), TUBES)
@pytest.mark.parametrize("ram", ["roller", "plate", "saddle"])
def test_free_bars_balance(
    tmp_path: Path, od: float, wall: float, span: float, ram_mm: float, ram: str
) -> None:
    """Halves bear the same, and rollers that slide rub with all their friction.

    Each way and friction, at once and twice of it as for the range of a stiffness.
    """
    text = STUDY.format(od=od, wall=wall, half=span / 2 + 24.2)
    for (use, more), way, friction in product(SET_UPS.items(), WAYS, FRICTIONS):
        given = {"use": use, "ram": ram, "ram_mm": ram_mm, "span": span, "friction": friction}
        text += CASE.format(**given, way=way) + more.format(inner=span / 2)
    path = tmp_path / "tube.toml"
    path.write_text(text, encoding="utf-8")
    study = read_study(path)
    for case, answer in zip(
        study.cases, beam_supported(study, flexible=False).answers, strict=True
    ):
        assert answer
        forces = np.abs(answer.reactions.wrenches[:, :3])
        bed, state = case.supports[0], answer.reactions.states[0]
        rub = 500 * bed.points[0].friction
        # 1e-3 of 500 N: what friction that creeps leaves, and rounds that end at a millionth
        assert forces[0] == pytest.approx(forces[1], abs=0.5)
        assert forces[0, 1:] == pytest.approx(500 * np.abs(bed.direction[1:]), abs=0.5)
        assert (state == "sticks" and forces[0, 0] < rub) or forces[0, 0] == pytest.approx(
            rub, abs=0.5
        )


def test_a_piece_is_crushed_off_its_middle(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Platens hold it by friction alone, and what keeps its place else bears no force."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    text = STUDY.format(od=25.4, wall=1.8, half=20)
    text += '[[cases]]\nuse = "press.crush"\nplaten_mm = 10\nplaten_at_mm = 12\n'
    path = tmp_path / "piece.toml"
    path.write_text(text, encoding="utf-8")
    given = ["--mesh", "coarse", "--no-figures", "--no-live", "--out", str(tmp_path / "out")]
    assert main(["run", str(path), *given]) == 0
    said = capsys.readouterr().out
    assert "platen at right 12 mm: 1000 N, sticks" in said
    assert "platen of the ram at right 12 mm: 1000 N, sticks" in said


def test_a_fixture_has_its_moment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Force times arm about the middle of its ring, which is 4 mm long."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    text = STUDY.format(od=25.4, wall=1.8, half=200)
    text += '[[cases]]\nid = "held"\nloads = [{ at_mm = 100, force_n = [0, 0, -200] }]\n'
    text += 'supports = [{ kind = "fixture", at_mm = -100, band_mm = 4 }]\n'
    path = tmp_path / "held.toml"
    path.write_text(text, encoding="utf-8")
    given = ["--mesh", "coarse", "--no-figures", "--no-live", "--out", str(tmp_path / "out")]
    assert main(["run", str(path), *given]) == 0
    assert "fixture at left 100 mm: 200 N and 40.0 N·m" in capsys.readouterr().out
