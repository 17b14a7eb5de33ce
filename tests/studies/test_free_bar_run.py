"""A bar that lies free, through the whole of `run`: terminal, page, pictures, record."""

import json
from pathlib import Path

import pytest

from studies.commands.main import main

STUDY = """\
name = "bench"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 30, wall_mm = 2 }]
right = { points_mm = [[0, 0, 0], [160, 0, 0]] }
[clamp]
model = "none"
[mesh]
level = "coarse"
[[cases]]
use = "press.four-point"
span_mm = 280
[[cases]]
id = "couples"
loads = [
    { at_mm = -140, moment_nmm = [0, 1e5, 0], band_mm = 10 },
    { at_mm = 140, moment_nmm = [0, -1e5, 0], band_mm = 10 },
]
"""


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the results folder of the study."""
    folder = tmp_path_factory.mktemp("free")
    (folder / "bench.toml").write_text(STUDY, encoding="utf-8")
    code = main(["run", str(folder / "bench.toml"), "--no-live", "--out", str(folder / "out")])
    assert code == 0
    return folder / "out"


def test_the_record_says_that_nothing_holds(ran: Path) -> None:
    """No width, no stiffness, no study of it; the ram's rollers are marked, the hold is checked."""
    record = json.loads((ran / "results.json").read_text(encoding="utf-8"))
    assert (record["clamp"]["model"], record["clamp"]["width_mm"]) == ("none", 0)
    pressed, couples = record["cases"]
    assert [one["of_ram"] for one in pressed["supports"]["supports"]] == [False, False, True, True]
    for case in (pressed, couples):
        assert case["clamp_stiffness_study"] == []
        assert case["clamp"] is None
        (held,) = (one for one in case["checks"] if "holds the free bar" in one["name"])
        assert held["passed"]
        assert held["value"] < 1e-6
        assert any("The bar lies free" in text for text in record_words(record, case))


def record_words(record: dict[str, list[str]], case: dict[str, list[str]]) -> list[str]:
    """Return the limitations of a case, and those that all cases share."""
    return [*record["limitations"], *case["limitations"]]


def test_page_and_pictures_have_no_clamp(ran: Path) -> None:
    """The set-up is drawn with the ram on its own rollers."""
    page = (ran / "report.html").read_text(encoding="utf-8")
    assert "none, the bar lies free" in page
    assert "roller of the ram" in page
    assert "N, the clamp" not in page
    assert "solid, nominal clamp stiffness" not in page
    assert {"press.four-point-setup.png", "couples-deformed.png"} <= {
        one.name for one in (ran / "figures").iterdir()
    }
