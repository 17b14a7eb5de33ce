"""What buckling adds to the linear run of the riser example; run alone on the machine.

The run is the one whose page is measured.
"""

from collections.abc import Callable

import pytest

from studies.assessment.run import Stage, StudyRun

pytestmark = pytest.mark.slow

Record = Callable[[str, object], None]

MOST_ADDED = 3.0
"""Elastic buckling and the zones of all cases, over mesh, solution, stress and frames of the same
cases. Measured 1.3 to 2."""

ASSESSED = (Stage.BUCKLING, Stage.CLAMP_PRELOAD, Stage.FATIGUE)


def test_buckling_adds_at_most_three_linear_runs(run: StudyRun, record_property: Record) -> None:
    """Both from the stages of one run; clamps and fatigue are shown beside."""
    seconds = run.seconds
    linear = sum(took for stage, took in seconds.items() if stage not in ASSESSED)
    record_property("linear", f"{linear:.1f} s")
    for stage in ASSESSED:
        record_property(stage, f"{seconds[stage]:.1f} s")
    ratio = seconds[Stage.BUCKLING] / linear
    record_property("ratio", f"{ratio:.2f}, at most {MOST_ADDED:g}")
    assert ratio <= MOST_ADDED
