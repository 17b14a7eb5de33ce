"""Cases on supports through the whole chain: results, words, page, sweeps, refusals."""

import json
from pathlib import Path

import numpy as np
import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from support.portal import STOOD, STUDY
from support.preview_bars import CRUDE

PROP = """[[cases]]
id = "prop"
loads = [{at_mm = 150, force_n = [0, 0, -600]}]
supports = [{kind = "roller", at_mm = 100, direction = [0, 0, -1]}, {kind = "pin", at_mm = -100}]
"""
SPRINGS = "normal_n_per_mm3 = 7000\ntangential_n_per_mm3 = 3500"
OTHER_END = '\ncycle = {cycles = 9, other = "prop"}'
ON_END = """[[cases]]
id = "end"
loads = [{at_mm = 150, force_n = [0, 0, -600]}]
supports = [{kind = "foot"}]"""


@pytest.fixture
def study(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return a study of both kinds in the working folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    path = tmp_path / "portal.toml"
    path.write_text(STUDY + STOOD + PROP, encoding="utf-8")
    return path


def results(study: Path, *options: str) -> dict:
    """Run a study and return its results."""
    assert main(["run", str(study), "--no-figures", "--out", "out", *options]) == 0
    return json.loads((study.parent / "out" / "results.json").read_text(encoding="utf-8"))


def test_a_stood_up_bar(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The deflection is the ram's travel, and friction has its range in every output."""
    case = results(study)["cases"][0]
    held = case["supports"]
    assert held["ram_force_n"] == 1000
    assert [one["kind"] for one in held["supports"]] == ["foot", "foot"]
    assert case["stiffness_n_per_mm"] == pytest.approx(1000 / case["deflection_mm"], rel=1e-9)
    least, given, most = (one["stiffness_n_per_mm"] for one in held["friction_study"])
    assert least < given < most
    assert given == pytest.approx(case["stiffness_n_per_mm"], rel=1e-3)
    for one in held["supports"]:
        assert one["normal_force_n"] == pytest.approx(500, rel=1e-4)
        assert one["friction_force_n"] == pytest.approx(100, rel=1e-4)
        assert one["state"] == "slides"
    # the clamp takes the ram; feet push against each other
    assert case["reaction_n"] == pytest.approx([0, 0, -1000], abs=0.1)
    low, high = (case["beam"][key]["deflection_mm"] for key in ("rigid_bends", "flexible_bends"))
    assert 0.97 * low < case["deflection_mm"] < 1.03 * high
    assert all(check["passed"] for check in case["checks"])
    said = capsys.readouterr().out
    assert "Ram           1000 N, the clamp, on feet" in said
    assert "foot, right end: 500 N, friction 100 N, slides" in said
    assert f"0.2; 0 gives {least:.0f} N/mm, 0.4 gives {most:.0f}" in said
    assert "Ram travel" in said
    page = (study.parent / "out" / "report.html").read_text(encoding="utf-8")
    assert "Supports; ram 1000 N, the clamp" in page
    assert "Stiffness at the ram over friction" in page


def test_supports_that_stand_still(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A roller above lets go, or holds; a pin holds; loads are printed without reactions."""
    case = results(study, "--verbose")["cases"][1]
    above, pin = case["supports"]["supports"]
    assert above["state"] == "open"
    assert not any(above["force_n"])
    assert len(case["load_points"]) == 2
    assert pin["state"] != "open"
    # the load is gauged, not the pin's larger or smaller reaction
    load = case["load_points"][0]
    gauge_mm = load["displacement_along_force_mm"]
    assert case["stiffness_n_per_mm"] == pytest.approx(600 / gauge_mm, rel=1e-9)
    assert case["deflection_mm"] == pytest.approx(np.linalg.norm(load["displacement_mm"]))
    said = capsys.readouterr().out
    assert "600 N down at right 150 mm" in said
    assert "roller at right 100 mm: does not touch" in said


GAUGES = """[[gauges]]
name = "dial beside the bend"
kind = "dial"
side = "right"
from_end_mm = 120
[[gauges]]
name = "rosette, arm a"
kind = "strain"
at_mm = -60
theta_deg = 180
"""


def test_gauges_are_read(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In results, terminal and page; the dial rises with the bed, against its direction."""
    study.write_text(STUDY + GAUGES + STOOD, encoding="utf-8")
    dial, strain = results(study)["cases"][0]["gauges"]
    assert (dial["unit"], strain["unit"]) == ("mm", "um/m")
    assert dial["reading"] < 0 < abs(strain["reading"])
    said = capsys.readouterr().out
    assert f"dial beside the bend: {dial['reading']:.3f} mm at right" in said
    assert f"rosette, arm a: {strain['reading']:.0f} µm/m at left 60 mm, underside" in said
    assert "rosette, arm a" in (study.parent / "out" / "report.html").read_text(encoding="utf-8")
    study.write_text(STUDY + GAUGES.replace("-60", "-900") + STOOD, encoding="utf-8")
    assert main(["check", str(study)]) == 2
    assert "gauges[1].at_mm: is -900 mm, off its half of the bar" in capsys.readouterr().err


def test_a_reaction_above_its_load_is_not_gauged(
    study: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A roller near the load takes more than the load, and does not move."""
    prop = PROP.replace(
        "at_mm = 100, direction = [0, 0, -1]", "at_mm = 130, direction = [0, 0.3, 1]"
    )
    prop = prop.replace("150", "170")
    study.write_text(STUDY + prop, encoding="utf-8")
    case = results(study)["cases"][0]
    load, roller, _ = case["load_points"]
    assert roller["force_n"][2] > 600
    # no friction: its push meets the centre line, and a moment would be round-off
    assert roller["moment_nmm"] == [0, 0, 0]
    assert case["stiffness_n_per_mm"] == pytest.approx(
        600 / load["displacement_along_force_mm"], rel=1e-9
    )
    said = capsys.readouterr().out
    assert f"along the load {load['displacement_along_force_mm']:.2f}" in said


def test_another_clamp_has_reactions_of_its_own(
    study: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The study of the clamp's stiffness is what a run with that stiffness gives."""
    prop = PROP.replace("at_mm = 100, direction = [0, 0, -1]", "at_mm = 130, friction = 0.2")
    study.write_text(STUDY + prop + STOOD, encoding="utf-8")
    each = zip(*(one["clamp_stiffness_study"] for one in results(study)["cases"]), strict=True)
    for cases in each:
        scale = cases[0]["stiffness_scale"]
        springs = (f"clamp.{key}_n_per_mm3*={scale!r}" for key in ("normal", "tangential"))
        written = STUDY.replace("width_mm = 40", "width_mm = 40\n" + SPRINGS)
        study.write_text(written + prop + STOOD, encoding="utf-8")
        changed = results(study, *(part for one in springs for part in ("--set", one)))
        for case, known in zip(cases, changed["cases"], strict=True):
            for key in ("deflection_mm", "peak_stress_mpa"):
                assert case[key] == pytest.approx(known[key], rel=1e-4)
    capsys.readouterr()


def test_the_range_of_friction_is_called_the_larger_one(
    study: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The clamp's stiffness moves a stood-up bar less than friction, and a propped one most."""
    stood, prop = (one["limitations"] for one in results(study)["cases"])
    assert any("Clamp stiffness is an estimate: x 1/3" in one for one in stood)
    assert not any("largest unknown of the deflection" in one for one in stood)
    assert any("largest unknown of the deflection" in one for one in prop)
    capsys.readouterr()


def test_a_ball_stands_out_of_a_leg_that_leans(study: Path) -> None:
    """Its edge reaches below its middle; the ball bears all the same."""
    leaning = STUDY.replace("[210, 0, -120]", "[240, 0, -120]") + STOOD
    study.write_text(leaning + 'feet = "ball"', encoding="utf-8")
    assert main(["check", str(study)]) == 0


def test_friction_can_be_swept(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """As any number of a case."""
    change = ["--set", "cases.press.stood-on-both-ends.friction=0,0.2", "--workers", "1"]
    change[1] = "cases.0.friction=0,0.2"
    assert main(["sweep", str(study), *change, "--out", "swept"]) == 0
    rows = (study.parent / "swept" / "designs.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 3
    said = capsys.readouterr().out
    assert "friction at supports" in said
    assert "friction of clamp" not in said


def test_a_ram_from_the_other_side_is_another_load(
    study: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At the same places, with the same force and friction."""
    turned = '[[cases]]\nuse = "press.three-point"\nspan_mm = 240\n'
    study.write_text(STUDY + turned, encoding="utf-8")
    other = "cases.0.direction_deg=30"
    assert main(["compare", str(study), "--set", other, "--no-figures", "--out", "both"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    assert "in supports: no difference given" in told


def test_designs_are_compared(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The same supports are the same load, whatever the reactions; others are told."""
    changes = ["--set", "bar.stations.0.wall_mm=1.6", "--set", "cases.0.friction=0.1"]
    assert main(["compare", str(study), *changes, "--no-figures", "--out", "both"]) == 0
    page = (study.parent / "both" / "comparison.html").read_text(encoding="utf-8")
    assert "1000 N, the clamp, on feet" in page
    capsys.readouterr()


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (STOOD + "friction = 2", "cases[0].friction: is 2 but must be at most 1"),
        (STOOD + "direction_deg = 180", "cases[0].direction_deg: does not stand on its ends"),
        (
            '[[cases]]\nuse = "press.three-point"\nspan_mm = 4000',
            "cases[0].span_mm: leaves a support",
        ),
        (
            '[[cases]]\nuse = "press.three-point"\nspan_mm = 30',
            "cases[0].span_mm: leaves a support",
        ),
        (PROP.replace('"roller"', '"bed"'), "cases[0].supports[0].kind"),
        (PROP.replace("at_mm = 100", "at_mm = 900"), "cases[0].supports[0].at_mm: is 900 mm"),
        (PROP.replace("at_mm = 100", "at_mm = 10"), "crosses the clamp"),
        (PROP.replace('"roller"', '"foot"'), "cases[0].supports[0].at_mm: stands beside"),
        (PROP.replace("[0, 0, -1]", "[0, 0, 0]"), "cases[0].supports[0].direction: is [0"),
        (STOOD + "supports = []", "cases[0].supports: is a key of a case of your own"),
        (PROP.replace("[0, 0, -1]", "[1, 0, 0.1]"), "direction: lies at 6 deg to the tube there"),
        (PROP.replace('"pin"', '"pin", friction = 0.1'), "supports[1].friction: is 0.1 beside"),
        (PROP.replace('"pin"', '"pin", direction = [1, 0, 0]'), "supports[1].direction: stands"),
        (ON_END, "cases[0].supports[0].side: is missing beside kind = 'foot'"),
        (ON_END[:-2] + ", side = 'left', direction = [0, 0, -1]}]", "points out of the tube's end"),
        (PROP + '[[spectrum]]\ncase = "prop"\ncycles = 9', "spectrum[0].case: 'prop' stands on"),
        (
            PROP + PROP.splitlines()[0] + '\nid = "b"\n' + PROP.splitlines()[2] + OTHER_END,
            "cases[1].cycle.other: names 'prop', a case on supports",
        ),
        (PROP + "[cases.cycle]\ncycles = 1000", "cases[0].cycle: stands beside supports"),
        (
            PROP.replace("at_mm = 100,", "at_mm = 100, radius_mm = 0,"),
            "supports[0].radius_mm: is 0",
        ),
        (
            STOOD + "[cases.collapse]\ndisplacement_mm = 110",
            "displacement_mm: is 110 mm, but the ram meets its bed after 108.9 mm",
        ),
        (
            PROP.replace("at_mm = 100,", "at_mm = 100, radius_mm = 10,").replace(
                '"roller"', '"saddle"'
            ),
            "supports[0].radius_mm: is 10 mm but the tube there has 11.1 mm",
        ),
        (
            '[[cases]]\nuse = "press.three-point"\nspan_mm = 900',
            "cases[0].span_mm: ",
        ),
    ],
)
def test_bad_supports_are_one_sentence(
    text: str, sentence: str, study: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the field, the value and the remedy."""
    study.write_text(STUDY + text, encoding="utf-8")
    assert main(["check", str(study)]) == 2
    said = capsys.readouterr().err
    assert sentence in said
    assert "Traceback" not in said


def test_check_shows_where_they_stand(study: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """In words and as JSON, before anything is solved."""
    assert main(["check", str(study)]) == 0
    assert "foot" in capsys.readouterr().out
    assert main(["check", str(study), "--json"]) == 0
    cases = json.loads(capsys.readouterr().out)["cases"]
    assert [len(case["supports"]) for case in cases] == [2, 2]
    assert cases[0]["ram_force_n"] == 1000
