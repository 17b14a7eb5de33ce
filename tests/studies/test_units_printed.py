"""`--units inch`: every quantity printed has its counterpart, and the files are the same."""

import json
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.commands.main import main
from studies.study_file.shipped import example_text
from support.code_rules import ROOT
from support.quick_commands import CRUDE

FACTORS = {
    "mm": (25.4, "in"), "N": (4.44822, "lbf"), "kN": (0.00444822, "lbf"), "MPa": (6.894757, "ksi"),
    "N/mm": (0.1751268, "lbf/in"), "N·m": (1.355818, "lbf·ft"), "g": (28.34952, "oz"),
    "cm³": (16.387064, "in³"),
}  # fmt: skip
UNITS = "|".join(sorted(map(re.escape, FACTORS), key=len, reverse=True))
QUANTITY = re.compile(
    rf"(?<![\w.(-])(-?\d+(?:\.\d+)?)(?: to (-?\d+(?:\.\d+)?))? ({UNITS})(?![\w·/²³⁴])"
)
CASE = "iso-4210-5.bar-bending"
RUN = ("run", "other.toml", "--no-figures", "--verbose")
PRESS = (
    "press", str(ROOT / "studies" / "examples" / "press-by-hand.csv"), "--bore-mm", "40",
    "--gauge-class", "1", "--full-scale", "60", "--friction-percent", "1:3",
)  # fmt: skip
PLAN = ("plan", "bar.toml", "--case", CASE, "--linear", "--out")
COMPARE = ("compare", "bar.toml", "other.toml", "--no-figures")
SPECIMEN = '\n[specimen]\nid = "R-3"\nmass_g = 288.0\nmass_within_g = 0.5\n'
SMALL = """
name = "other"
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 25.4, wall_mm = 1.6 }]
right = { points_mm = [[0, 0, 0], [80, 0, 0], [200, -20, 10]], bend_radii_mm = [60] }
[bar.out_of_square]
side = "left"
height_mm = 2
fore_aft_mm = -1
length_mm = 0.5
[clamp]
width_mm = 46
bolts = { count = 4, torque_nm = 5, diameter_mm = 5 }
[[levers]]
side = "right"
from_end_mm = 100
width_mm = 14
bolts = { count = 1, torque_nm = 3, diameter_mm = 5 }
[[gauges]]
name = "dial"
kind = "dial"
side = "right"
from_end_mm = 40
theta_deg = 0
direction = [0, 0, -1]
[[cases]]
id = "pull"
cycle = { cycles = 100000 }
loads = [{ side = "right", from_end_mm = 60, force_n = [0, 0, -900], band_mm = 30 }]
"""

Printed = dict[str, tuple[str, str]]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """A folder that is the current one, with the riser example weighed, and a small bar."""
    made = tmp_path_factory.mktemp("units")
    text = example_text("harbour-riser").split("[optimise]")[0]
    (made / "bar.toml").write_text(text + SPECIMEN, encoding="utf-8")
    (made / "other.toml").write_text(SMALL, encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(made)
        for level in tuple(LEVELS):
            patch.setitem(LEVELS, level, CRUDE)
        yield made


def both(
    capsys: pytest.CaptureFixture[str], *words: str, each: Sequence[str] = ("", "")
) -> Printed:
    """Return what a command prints in SI and with inch units; `each` are words of one of them."""
    told = []
    for word, units in zip(each, ("si", "inch"), strict=True):
        assert main([*words, *filter(None, [word]), "--units", units]) == 0
        told.append(capsys.readouterr().out)
    return {words[0]: (told[0], told[1])}


def one_line(text: str) -> str:
    """Return a text without its line breaks."""
    return " ".join(text.split())


def tokens(text: str) -> Counter[str]:
    """Return the words of a text, without the marks beside them and the rules of its tables."""
    words = (word.strip("(),;:.") for word in text.split())
    return Counter(word for word in words if not word.startswith("─"))


def alone(text: str) -> list[str]:
    """Return quantities that have no counterpart of the right size soon after them."""
    line = one_line(text)
    found = []
    for match in QUANTITY.finditer(line):
        factor, unit = FACTORS[match[3]]
        after = line[match.end() : match.end() + 130]
        near = re.findall(rf"([-\d. to]*\d) {re.escape(unit)}(?![\w/·²³])", after)
        others = [float(one) for text in near for one in re.findall(r"-?\d+(?:\.\d+)?", text)]
        for value in filter(None, match.groups()[:2]):
            exact = float(value) / factor
            if not any(abs(one - exact) <= 0.006 * abs(exact) for one in others):
                found.append(f"{match[0]} ... {after[:50]}")
    return found


def test_a_run_prints_both(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All of `--verbose`; what SI prints is there; files differ by times alone."""
    words = [*RUN, "--no-live", "--out"]
    told = {}
    for units in ("si", "inch"):
        assert main([*words, units, "--units", units]) == 0
        told[units] = capsys.readouterr().out.replace(f"Results in {units}", "Results in out")
    assert not alone(told["inch"])
    assert not tokens(told["si"]) - tokens(told["inch"])
    assert re.search(
        r"beam bounds [\d.]+ to [\d.]+ \([\d.]+ to [\d.]+ in\)", one_line(told["inch"])
    )
    assert "7000 N/mm³ (25 790 000 lbf/in³)" in one_line(told["inch"])
    assert "20.0 kN (4500 lbf) (15.4 to 24.6, 3460 to 5530 lbf)" in one_line(told["inch"])
    assert re.search(r"^ +mm      %      MPa .*\n +in             ksi$", told["inch"], re.MULTILINE)
    assert len(alone(told["si"])) > 20
    assert _stored(folder / "si") == _stored(folder / "inch")


def test_check_prints_both(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Sentences, and tables by a second line under each row."""
    si, inch = both(capsys, "check", "bar.toml")["check"]
    head, tables = inch.split("Round sections", 1)
    assert not alone(head)
    assert len(alone(si.split("Round sections", 1)[0])) > 5
    assert not tokens(si) - tokens(inch)
    row, below = (line.split() for line in _rows_after(tables, "clamp centre"))
    numbers = [float(one) for one in row[2:9]]
    others = [float(one) for one in below[:7]]
    factors = [25.4, 25.4, 25.4, 25.4**2, 25.4**4, 25.4**3, 1.355818]
    for number, other, factor in zip(numbers, others, factors, strict=True):
        assert other == pytest.approx(number / factor, rel=6e-3)
    assert tables.count("in⁴") == 1
    assert {len(line) for line in inch.splitlines()} <= set(range(101))


def test_press_plan_compare_and_cases_print_both(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Rows by their unit's column, steps by heads, figures by their labels, values in brackets."""
    si, inch = both(capsys, *PRESS)["press"]
    assert not tokens(si) - tokens(inch)
    assert "1036" in inch
    assert "lbf/in" in inch
    si, inch = both(capsys, *PLAN, each=("plan-si", "plan-inch"))["plan"]
    assert "224.8" in inch
    assert not alone(inch.split("Steps")[0])
    assert not alone(inch.split("Expected")[1])
    assert _without_times(folder / "plan-si/plan.json") == _without_times(
        folder / "plan-inch/plan.json"
    )
    si, inch = both(capsys, "cases")["cases"]
    assert "600 N (135 lbf)" in inch
    assert not tokens(si) - tokens(inch)
    assert "0.7 oz" not in inch


@pytest.mark.slow
def test_comparison_and_path_print_both(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Labels with a unit, and the lines of a path with what stands in brackets there."""
    _, inch = both(capsys, *COMPARE)["compare"]
    assert re.search(r"^ in +[\d.]+", inch, re.MULTILINE)
    assert re.search(r"^ ksi +\d", inch, re.MULTILINE)
    words = ("collapse", "other.toml", "--case", "pull", "--displacement-mm", "4", "--no-figures")
    assert main([*words, "--verbose", "--units", "inch"]) == 0
    inch = capsys.readouterr().out
    assert not alone(inch)
    assert inch.count(" lbf)") > 5


def test_the_choice_ends_with_its_command(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The next one prints SI, with the option or without it; another unit is refused."""
    assert main(["check", "other.toml", "--units", "inch"]) == 0
    assert " in)" in capsys.readouterr().out
    assert main(["check", "other.toml"]) == 0
    assert " in)" not in capsys.readouterr().out
    told = []
    for _ in range(2):
        assert main(["materials"]) == 0
        told.append(capsys.readouterr().out)
        assert main(["check", "other.toml", "--units", "inch"]) == 0
        capsys.readouterr()
    assert told[0] == told[1]
    assert main(["check", "other.toml", "--units", "feet"]) == 2


def _rows_after(text: str, name: str) -> list[str]:
    lines = text.splitlines()
    place = next(n for n, line in enumerate(lines) if name in line)
    return lines[place : place + 2]


def _stored(folder: Path) -> dict[str, object]:
    """Return the contents of a results folder without its times; fields byte for byte."""
    found: dict[str, object] = {}
    for path in sorted(one for one in folder.rglob("*") if one.is_file()):
        name = path.relative_to(folder).as_posix()
        if path.suffix == ".json":
            found[name] = _without_times(path)
        elif path.suffix == ".html":
            lines = path.read_text(encoding="utf-8").splitlines()
            found[name] = [line for line in lines if "Time" not in line and "20" not in line[:40]]
        else:
            found[name] = path.read_bytes()
    return found


def _without_times(path: Path) -> object:
    text = path.read_text(encoding="utf-8")
    return json.loads(text, object_pairs_hook=_timeless)


def _timeless(pairs: list[tuple[str, object]]) -> dict[str, object]:
    return {key: value for key, value in pairs if key not in ("computed_at", "seconds", "made_at")}
