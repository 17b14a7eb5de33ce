"""A value set everywhere ends butting, which is said; a factor keeps the ratios of walls."""

import json
import tomllib
from pathlib import Path

import pytest

from studies.commands import sweep as command
from studies.commands.main import main
from studies.files.results_folder import landed
from studies.study_file.changes import Change
from studies.study_file.shipped import example_text
from studies.study_file.study import study_from_table
from studies.study_file.variants import variant_of
from support.pages import RISER, short_bar
from support.sweeps import at_once, made_row

WALLS = "bar.stations.*.wall_mm"
SAID = f"6 values of {WALLS}, 1.6 to 2.2 mm, become one; a factor (*=) keeps their ratios"
"""Of the riser example."""


@pytest.fixture
def riser(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Write the riser example into a folder that is the current one; designs take no time."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(command, "executor_of", lambda *_: at_once(made_row))
    path = tmp_path / "riser.toml"
    path.write_text(example_text("harbour-riser"), encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (Change(WALLS, "value", 1.6), [SAID]),
        (Change(WALLS, "factor", 0.9), []),
        (Change(WALLS, "shift", 0.1), []),
        (Change("bar.stations[3,4].wall_mm", "value", 1.7), []),
        (Change("bar.material", "value", "al-6061-t6"), []),
    ],
)
def test_a_variant_warns_where_differing_values_become_one(change: Change, said: list[str]) -> None:
    """Six walls of three sizes do; equal ones, factors and texts do not."""
    study = study_from_table(tomllib.loads(example_text("harbour-riser")), RISER, "")
    made = variant_of(study, [change])
    assert [line for line in made.warnings if "become one" in line] == said
    # a second change of the same path meets one value
    again = variant_of(study, [change, change])
    assert [line for line in again.warnings if "become one" in line] == said


def test_a_sweep_says_so_and_so_does_its_page(
    riser: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On standard error before it begins, and among the page's cautions; a factor says nothing."""
    assert main(["sweep", str(riser), "--set", f"{WALLS}=1.6,1.8"]) == 0
    assert f"note: {SAID}" in capsys.readouterr().err.splitlines()
    page = Path("results/harbour-riser/sweep.html").read_text(encoding="utf-8")
    assert f"<li>{SAID}</li>" in page
    assert main(["sweep", str(riser), "--set", f"{WALLS}*=0.9,1.1"]) == 0
    assert "become one" not in capsys.readouterr().err


def test_a_check_says_so_of_the_sweeps_in_the_file(
    riser: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As of what it would optimise; it varies nothing yet."""
    riser.write_text(
        riser.read_text("utf-8")
        + f'[[sweep]]\npath = "{WALLS}"\nvalues = [1.6, 1.8]\n'
        + f'[[optimise.vary]]\npath = "{WALLS}"\nfrom = 1\nto = 2\nstep = 0.1\n',
        "utf-8",
    )
    assert main(["check", str(riser)]) == 0
    told = capsys.readouterr()
    assert told.err.splitlines().count(f"warning: {SAID}") == 1
    assert "Sweep: 2 designs, grid, over wall thickness, mm" in told.out.splitlines()


def test_a_search_by_a_factor_keeps_the_ratios(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Walls of 1.6 and 1.2 mm: the yield factor is twice the first, so 0.75 of each gives 2.4."""
    monkeypatch.chdir(tmp_path)
    from studies.commands import optimise
    from studies.sweeps import optimised

    monkeypatch.setattr(optimise, "executor_of", lambda *_: at_once(made_row))
    monkeypatch.setattr(optimised, "CONFIRMED_ON", "coarse")
    short_bar(tmp_path, "pier", 1.6)
    text = Path("pier.toml").read_text("utf-8")
    end = "{ at_mm = 100, od_mm = 25.4, wall_mm = 1.2 }]"
    Path("pier.toml").write_text(text.replace("wall_mm = 1.6 }]", f"wall_mm = 1.6 }}, {end}"))
    vary = f"{WALLS}*=0.5:1.5:0.05"
    call = ["optimise", "pier.toml", "--vary", vary, "--min-yield-factor", "2.4", "--no-figures"]
    assert main(call) == 0
    said = capsys.readouterr()
    assert "become one" not in said.err
    folder = Path("results/pier-lightest")
    told = landed(folder, "optimise.json")
    assert told["sizes"] == {f"{WALLS} (factor)": pytest.approx(0.75)}
    walls = [pytest.approx(1.2), pytest.approx(0.9)]
    assert told["dimensions"] == {WALLS: walls}
    made = tomllib.loads((folder / "pier-lightest.toml").read_text("utf-8"))
    assert [station["wall_mm"] for station in made["bar"]["stations"]] == walls
    assert f"{WALLS}: 1.2, 0.9" in said.out
    designs = (folder / "designs.csv").read_text("utf-8")
    assert f"{WALLS} (factor)" in designs
    # the stated size is a factor, so the sweep's page offers it as one
    assert json.dumps(f"{WALLS}*=") in (folder / "sweep.html").read_text("utf-8")


def test_a_search_by_a_value_says_that_butting_ends(
    riser: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Also where it finds nothing; sizes must lie above zero."""
    call = ["optimise", str(riser), "--min-yield-factor", "1", "--vary"]
    assert main([*call, f"{WALLS}=0:2:0.1"]) == 2
    assert "from: is 0 but must be above 0" in capsys.readouterr().err


def test_the_terminal_names_axes_and_marks_designs_below_the_load(
    riser: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Words, unit and key of each axis; a design below the load keeps its place in the ranking."""
    assert main(["sweep", str(riser), "--set", f"{WALLS}*=0.2,0.9"]) == 0
    out = capsys.readouterr().out
    assert f"  a  wall thickness, x nominal: {WALLS} (factor)" in out.splitlines()
    assert "Pareto front (mass, stiffness, governing factor): 1 (below the load), 2" in out
    rows = [line.split() for line in out.splitlines() if "first yield" in line]
    assert rows[0][-4:] == ["computed,", "below", "the", "load"]
    assert rows[1][-1] == "computed"
    assert "governing factor" in out
    assert "governing_factor" not in out
