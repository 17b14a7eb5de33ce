"""Keys of earlier study files are refused in one sentence that names the new key."""

from pathlib import Path

import pytest

from studies.commands.main import main
from studies.study_file.format.case_tables import CollapseTable
from studies.study_file.format.clamp_tables import ClampTable
from studies.study_file.format.keys import RENAMED_KEYS, SUPERSEDED_KEYS, fields_of
from studies.study_file.format.study_tables import FatigueTable, StudyTable
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable

BAR = """\
name = "trial"
LINE
[bar]
material = "al-6061-t6"
stations = [{ at_mm = 0, od_mm = 31.8, wall_mm = 2.2 }]
right = { points_mm = [[0, 0, 0], [350, 0, 0]], bend_radii_mm = [] }
"""

#: Where the keys of a table stand in a file.
HOMES = {
    StudyTable: ("", ""),
    ClampTable: ("clamp.", "[clamp]\n"),
    CollapseTable: (
        "cases[0].collapse.",
        '[[cases]]\nuse = "iso-4210-5.bar-bending"\nbicycle = "mountain"\n[cases.collapse]\n',
    ),
    PlanTable: ("plan.", "[plan]\n"),
    OptimiseTable: ("optimise.", "[optimise]\n"),
}

RENAMED = [(table, *pair) for table, keys in RENAMED_KEYS.items() for pair in keys.items()]


@pytest.mark.parametrize(("table", "old", "new"), RENAMED)
def test_an_old_key_names_the_new_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], table: type, old: str, new: str
) -> None:
    """One sentence at the old key, exit code 2; the new key is one that the table knows."""
    place, header = HOMES[table]
    line = f"{old} = 1\n"
    text = BAR.replace("LINE\n", line if not header else "") + (header + line if header else "")
    path = tmp_path / "trial.toml"
    path.write_text(text, encoding="utf-8")
    assert main(["check", str(path)]) == 2
    (told,) = capsys.readouterr().err.strip().splitlines()
    assert told.endswith(f"{place}{old}: is now called {new}; rename the key")
    assert new in fields_of(table)
    assert old not in fields_of(table)


def test_a_key_of_another_meaning_names_the_one_in_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Its number would mean something else under another name, so no renaming is advised."""
    path = tmp_path / "trial.toml"
    path.write_text(BAR.replace("LINE\n", "") + "[fatigue]\nclamp_edge_factor = 1.8\n", "utf-8")
    assert main(["check", str(path)]) == 2
    (told,) = capsys.readouterr().err.strip().splitlines()
    assert "fatigue.clamp_edge_factor: multiplied stress" in told
    assert "give clamp_factor, [low, middle, high] over nominal stress at 1e5 cycles" in told
    assert "rename" not in told
    for table, keys in SUPERSEDED_KEYS.items():
        assert not keys.keys() & set(fields_of(table))
        assert {now for _, now in keys.values()} <= set(fields_of(table))
    assert FatigueTable in SUPERSEDED_KEYS
