"""Which cases have a path and how long it is: tables of the study, options of the command."""

from math import radians
from pathlib import Path

import pytest

from geometry.errors import InputError
from loadcases.path_control import TURN_RAD, PathControl
from studies.collapse.requested_paths import requested_path_controls
from studies.study_file.chosen_cases import with_cases
from studies.study_file.errors import StudyError
from studies.study_file.study import Study, read_study
from support.pages import RISER, short_bar

WEIGHT = """
[[cases]]
id = "bag"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, 0, -50], band_mm = 20 }]
cycle = { preload = true }
[[cases]]
id = "twist"
loads = [{ side = "right", from_end_mm = 30, moment_nmm = [10000, 0, 0], band_mm = 20 }]
"""


def study(folder: Path, push: str = "") -> Study:
    """Return the short bar with a steady weight and a twist; `push` follows its last case."""
    return read_study(short_bar(folder, "pier", 0.6, WEIGHT + push))


def refused(folder: Path, push: str) -> str:
    """Return what is said of a study."""
    with pytest.raises(StudyError) as caught:
        study(folder, push)
    return str(caught.value)


def test_without_a_table_those_that_come_once_are_pushed_by_a_fifth_of_the_arm(
    tmp_path: Path,
) -> None:
    """From the clamp's edge at 20 mm to the load at 90 mm; the steady one is left out."""
    found = requested_path_controls(study(tmp_path))
    assert list(found) == ["push", "pull", "twist"]
    assert found["push"] == PathControl(14.0)
    assert found["twist"].displacement == TURN_RAD
    assert list(requested_path_controls(read_study(RISER))) == [
        "iso-4210-5.bar-bending",
        "rider.standing-sprint",
        "rider.drop-landing",
    ]


def test_tables_say_which_and_how_far(tmp_path: Path) -> None:
    """Then only cases with one are pushed, unless others are named."""
    keys = 'rotation_deg = 10\nunload_at = [1, 1.5]\nsustained = ["bag"]\nmesh = "fine"\n'
    table = f"[cases.collapse]\n{keys}"
    given = study(tmp_path, table)
    (name,) = requested_path_controls(given)
    push = given.path_controls[name]
    assert name == "twist"
    assert (push.displacement, push.unload_at, push.mesh) == (
        radians(10),
        (1.0, 1.5),
        "fine",
    )
    (held,) = push.sustained
    assert held.force_n == (0, 0, -50)
    assert list(requested_path_controls(given, ["push"])) == ["push"]
    assert with_cases(given, ["push"]).path_controls == {}


def test_options_come_before_tables(tmp_path: Path) -> None:
    """Of every case that is pushed."""
    found = requested_path_controls(study(tmp_path), ["pull", "push"], 3.5, 12.0, "standard")
    assert list(found) == ["push", "pull"]
    for push in found.values():
        assert (push.displacement, push.imperfection_percent, push.mesh) == (
            3.5,
            12.0,
            "standard",
        )


@pytest.mark.parametrize(
    ("ids", "to_mm", "percent", "words"),
    [
        (["pul"], None, None, ["--case", "'pul'", "pull"]),
        ([], 0.0, None, ["--displacement-mm", "0 mm", "above 0"]),
        ([], float("nan"), None, ["--displacement-mm", "finite"]),
        ([], None, -101.0, ["--imperfection", "-101 %", "at least -100"]),
        ([], None, 101.0, ["--imperfection", "101 %", "at most 100"]),
        (
            ["twist"],
            5.0,
            None,
            ["--displacement-mm", "5 mm", "twist", "moments alone", "rotation_deg"],
        ),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(
    tmp_path: Path, ids: list[str], to_mm: float | None, percent: float | None, words: list[str]
) -> None:
    """Field, value, limit and remedy."""
    with pytest.raises(InputError) as caught:
        requested_path_controls(study(tmp_path), ids, to_mm, percent)
    for word in words:
        assert word in str(caught.value)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        (
            "displacement_mm = 5",
            ["cases[3].collapse.displacement_mm", "5", "moments alone", "rotation_deg"],
        ),
        ("rotation_deg = 0", ["cases[3].collapse.rotation_deg", "above 0"]),
        ("rotation_deg = 200", ["cases[3].collapse.rotation_deg", "180"]),
        ('sustained = ["bog"]', ["cases[3].collapse.sustained[0]", "'bog'", "bag"]),
        ('sustained = ["twist"]', ["cases[3].collapse.sustained[0]", "other case"]),
        ("unload_at = [0]", ["cases[3].collapse.unload_at[0]", "above 0"]),
        ("displacemnt_mm = 5", ["cases[3].collapse.displacemnt_mm", "displacement_mm"]),
        ('mesh = "finest"', ["cases[3].collapse.mesh", "coarse"]),
        ('imperfection = "wave"', ["cases[3].collapse.imperfection", "ripple"]),
        ("imperfection_percent = 300", ["cases[3].collapse.imperfection_percent", "100"]),
    ],
)
def test_a_wrong_table_is_one_sentence(tmp_path: Path, table: str, words: list[str]) -> None:
    """At the key, with value, limit and remedy."""
    told = refused(tmp_path, f"[cases.collapse]\n{table}\n")
    for word in words:
        assert word in told
    assert len(told.splitlines()) == 1


def test_a_turn_for_forces_is_refused(tmp_path: Path) -> None:
    """They are followed by their deflection."""
    case = """
[[cases]]
id = "more"
loads = [{ side = "right", from_end_mm = 30, force_n = [0, 0, -50], band_mm = 20 }]
collapse = { rotation_deg = 5 }
"""
    told = refused(tmp_path, case)
    assert "cases[4].collapse.rotation_deg: is 5.0 deg, but the case has forces" in told
