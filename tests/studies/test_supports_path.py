"""Cases on supports past yield, through the command: forces, travel, going on from stored steps."""

import json
from pathlib import Path

import numpy as np
import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from support.portal import STOOD, STUDY
from support.preview_bars import CRUDE

TUBE = """name = "tube-on-rollers"
[bar]
material = "al-6061-t6"
stations = [{at_mm = 0, od_mm = 31.8, wall_mm = 1.6}]
right = {points_mm = [[0, 0, 0], [330, 0, 0]]}
[clamp]
model = "none"
[[cases]]
use = "press.four-point"
span_mm = 600
inner_span_mm = 200
force_n = 1000
"""


@pytest.fixture(autouse=True)
def crude(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work in a folder of its own, on a crude mesh."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)


def path_of(text: str, *options: str, out: str = "out") -> dict:
    """Trace the path of a study's only case, and return what results.json says of it."""
    Path("study.toml").write_text(text, encoding="utf-8")
    fixed = ["collapse", "study.toml", "--no-figures", "--out", out]
    assert main([*fixed, *options]) == 0
    return json.loads(Path(out, "results.json").read_text(encoding="utf-8"))["cases"][0]["collapse"]


@pytest.mark.slow
def test_a_stood_up_bar_is_pressed_back_and_further() -> None:
    """Ram and feet balance at every step; a path that goes on remembers where its feet stick."""
    never = STUDY + STOOD + "[cases.collapse]\nunload_at = [0.5]\n"
    path_of(never, "--displacement-mm", "1.4", out="two")
    further = path_of(never, "--displacement-mm", "1.9", out="two")
    at_once = path_of(never, "--displacement-mm", "1.9")
    ram = np.array(at_once["curve"]["load_n"])
    feet = sum(np.array(one["force_n"])[:, 2] for one in at_once["supports"])
    seat = feet[0] - ram[0]
    assert 0 < seat < 2
    np.testing.assert_allclose(feet - ram, seat, atol=2e-6 * ram.max())
    # 1.4 mm cut a step, so the steps after it are not the same
    assert further["curve"]["load_n"][-1] == pytest.approx(ram[-1], rel=1e-3)
    # elastic, but friction has its loop: the ram comes down on another way than it went up
    assert "unloading" in at_once["curve"]["phase"]
    assert at_once["unloadings"][0]["permanent_set_mm"] == pytest.approx(0.0, abs=0.01)


@pytest.mark.slow
def test_a_tube_on_rollers_gives_at_its_plastic_moment() -> None:
    """Four rollers, no clamp: M = P a/2, between first yield and a hardened hinge."""
    path = path_of(TUBE, "--displacement-mm", "30")
    outer, inner = 31.8, 31.8 - 2 * 1.6
    yield_nmm = 241 * np.pi / 32 * (outer**4 - inner**4) / outer
    most = max(path["curve"]["load_n"]) * 200 / 2
    assert 1.0 < most / yield_nmm < 1.6
    assert path["supports"][2]["force_n"][-1][2] < 0


@pytest.mark.slow
def test_a_wider_ram_dents_less() -> None:
    """The bar bends alike under a roller, a plate and a saddle; what each sinks in does not."""
    free = TUBE.replace("press.four-point", "press.three-point-ram").replace(
        "inner_span_mm = 200", ""
    )
    dents, own = {}, {}
    for ram in ("roller", "plate", "saddle"):
        text = f'{free}ram = "{ram}"\n[cases.collapse]\nunload_at = []\n'
        curve = path_of(text, "--displacement-mm", "2", out=ram)["curve"]
        dents[ram] = curve["indentation_mm"][-1] / curve["load_n"][-1]
        own[ram] = (curve["deflection_mm"][-1] - curve["indentation_mm"][-1]) / curve["load_n"][-1]
    assert dents["saddle"] < dents["plate"] < dents["roller"]
    # a load over 30 mm of 600 mm, and not at a line, bends the bar by c^2/2L^2 less
    assert own["plate"] == pytest.approx(own["roller"], rel=0.02)
    assert own["saddle"] == pytest.approx(own["roller"], rel=0.02)
