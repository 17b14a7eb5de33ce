"""Shipped examples past yield: what the reviewer reads, against our own former numbers.

The mechanics are held against published answers in `tests/validation`; this only tells when a
change moves what a user sees.
"""

from pathlib import Path

import pytest

from loadcases.push import Push
from studies.collapse.record import collapse_record
from studies.collapse.records import CollapseRecord
from studies.collapse.walk import How, walked_paths
from studies.runner import run_study, with_paths
from studies.study import read_study, with_cases

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"


def pushed(folder: Path, name: str, case: str, push: Push) -> CollapseRecord:
    """Return what is told of the path of an example's case."""
    study = with_cases(read_study(EXAMPLES / f"{name}.toml"), [case])
    run = with_paths(
        run_study(study, level="coarse"), walked_paths(study, {case: push}, folder, How())
    )
    found = collapse_record(run, run.cases[0])
    assert found is not None
    assert found.complete
    return found


@pytest.mark.slow
def test_the_riser_flattens_in_its_second_bend(tmp_path: Path) -> None:
    """No set after the test's load; its elongation is used up before a limit is reached."""
    found = pushed(tmp_path, "harbour-riser", "iso-4210-5.bar-bending", Push(63.0))
    assert (found.set_mm, found.levels[0].limit_mm) == (0.0, 15.0)
    assert found.first_yield_n == pytest.approx(1519, rel=0.01)
    assert found.offsets[1].load_n == pytest.approx(1794, rel=0.01)
    assert found.limit_n is None
    assert found.torn_n == pytest.approx(2250, rel=0.01)
    assert found.torn_deflection_mm == pytest.approx(61.2, rel=0.03)
    assert found.place is not None
    assert found.place.s_mm == pytest.approx(144, abs=4)
    assert found.kind == "ovalisation"
    assert found.assessment is not None
    assert found.assessment.named


@pytest.mark.slow
def test_the_drop_bar_wrinkles_beneath(tmp_path: Path) -> None:
    """A limit, then a fold in which the load falls; the assessment named its place."""
    found = pushed(tmp_path, "harbour-drop", "bending-at-the-hood", Push(34.0))
    assert found.set_mm == 0.0
    assert found.limit_n == pytest.approx(3738, rel=0.01)
    # of the highest step: the top is flat
    assert found.limit_deflection_mm == pytest.approx(32.3, rel=0.08)
    assert found.kind == "wrinkle"
    assert found.place is not None
    assert found.place.s_mm == pytest.approx(84, abs=4)
    assert found.assessment is not None
    assert found.assessment.named
    assert found.strain.averaged < (found.strain.elongation or 0.0)
