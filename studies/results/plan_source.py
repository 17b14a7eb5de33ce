"""The path that a plan expects a test to follow: of a results folder, where it is of this study."""

from pathlib import Path

from pydantic import ValidationError

from studies.files.provenance import Provenance, is_current
from studies.files.recovery import recover
from studies.files.results_folder import RESULTS_FILE
from studies.records.case import ResultsRecord
from studies.records.collapse import CollapseRecord
from studies.study_file.study import Study


def stored_path(study: Study, case_id: str, folder: Path) -> CollapseRecord | None:
    """Return the path of a case in a results folder.

    None where it has none, or where the study's file, barwright or its libraries were others.
    """
    recover(folder)
    try:
        record = ResultsRecord.model_validate_json((folder / RESULTS_FILE).read_bytes())
    except (OSError, ValidationError):
        return None
    made_by = Provenance(record.study.sources_sha256, record.study.libraries)
    if record.study.sha256 != study.sha256 or not is_current("results", made_by):
        return None
    return next((one.collapse for one in record.cases if one.id == case_id), None)
