"""What several tests of pages read: two cases of the riser example, solved once."""

import pytest

from studies.assessment.run import StudyRun, run_study
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study
from support.pages import CASES, RISER


@pytest.fixture(scope="session")
def riser() -> StudyRun:
    """Return the first and the last case of the example, on a coarse mesh."""
    return run_study(with_cases(read_study(RISER), CASES), level="coarse")


@pytest.fixture(scope="session")
def riser_record(riser: StudyRun) -> ResultsRecord:
    """Return what results.json holds of them."""
    return results_record(riser)
