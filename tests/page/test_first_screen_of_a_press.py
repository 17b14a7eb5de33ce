"""The first screen of a case whose load is a ram's: no load point is its own."""

from pathlib import Path

import pytest

from geometry.grading import LEVELS
from studies.assessment.run import run_study
from studies.page.first_screen import case_strip, headline, key_figures
from studies.page.report import report_html
from studies.results.record import results_record
from studies.study_file.study import study_from_table
from support.preview_bars import CRUDE

FREE = {
    "name": "tube-on-rollers",
    "bar": {
        "material": "al-6061-t6",
        "stations": [{"at_mm": 0, "od_mm": 31.8, "wall_mm": 1.6}],
        "right": {"points_mm": [[0, 0, 0], [330, 0, 0]]},
    },
    "clamp": {"model": "none"},
    "mesh": {"level": "coarse"},
    "cases": [{"use": "press.four-point", "span_mm": 600, "inner_span_mm": 200, "force_n": 1000}],
}


def test_the_ram_is_the_load(monkeypatch: pytest.MonkeyPatch) -> None:
    """Sentence, button and stiffness name its force, and the page is made."""
    monkeypatch.setitem(LEVELS, "coarse", CRUDE)
    run = run_study(study_from_table(FREE, Path("free.toml"), ""))
    record = results_record(run)
    assert "(1000 N)" in headline(record).after
    assert case_strip(record)[0].load == "1000 N, by rollers, on rollers"
    assert "mm at 1000 N" in key_figures(record)[2].source
    assert "1000 N, by rollers" in report_html(run, record)
