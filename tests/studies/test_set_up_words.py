"""Set-ups in words: cases of one title, whose figures they are, who wrote the friction."""

import tomllib
from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.assessment.run import run_study
from studies.page.inputs import inputs
from studies.page.report import report_html
from studies.results.record import results_record
from studies.study_file.study import Study, study_from_table
from support.portal import STOOD, STUDY
from support.preview_bars import CRUDE

PROP = """[[cases]]
id = "prop"
loads = [{at_mm = 150, force_n = [0, 0, -600]}]
supports = [{kind = "roller", at_mm = 100, direction = [0, 0, -1]}]
"""


def study(cases: str) -> Study:
    """Return a portal with cases."""
    return study_from_table(tomllib.loads(STUDY + cases), Path("portal.toml"), "")


def test_cases_of_one_title_have_their_ids_beside() -> None:
    """And one that has its title to itself does not."""
    forced = f'{STOOD}id = "forced"\nforce_n = 500\n'
    titles = [placed.case.title for placed in study(STOOD + forced + PROP).cases]
    stood = "Stood on both ends in a press"
    assert titles == [f"{stood} (press.stood-on-both-ends)", f"{stood} (forced)", "prop"]


@pytest.mark.parametrize(
    ("written", "own"), [("", False), ("friction = 0.2\n", True), ("friction = 0.3\n", True)]
)
def test_friction_that_was_written_is_the_studys_own(
    monkeypatch: pytest.MonkeyPatch, written: str, *, own: bool
) -> None:
    """Also where it is the catalogue's number; that is from memory where nobody wrote it."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    run = run_study(study(STOOD + written))
    rows = [row for group in inputs(run) for row in group.rows]
    unsure = [row.unsure for row in rows if row.name == "friction of supports"]
    assert unsure == [not own]
    page = report_html(run, results_record(run))
    assert "friction of supports" in page
    assert "Test requirements" not in page
