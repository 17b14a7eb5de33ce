"""What the benchmarks share: one solved run of the riser example."""

import pytest

from studies.assessment.run import StudyRun, run_study
from studies.study_file.study import read_study
from support.pages import five_cases


@pytest.fixture(scope="session")
def run(tmp_path_factory: pytest.TempPathFactory) -> StudyRun:
    """Return the riser example with five cases on the standard mesh, with every part timed."""
    return run_study(read_study(five_cases(tmp_path_factory.mktemp("five"))))
