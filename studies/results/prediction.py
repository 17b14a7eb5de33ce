"""The path of a case, read back from the results folder that holds it."""

from hashlib import sha256
from pathlib import Path

from pydantic import ValidationError

from geometry.errors import InputError, refuse
from geometry.limits import unknown_name
from studies.bench.against import Prediction
from studies.files.format_version import refuse_older
from studies.files.recovery import recover
from studies.files.results_folder import RESULTS_FILE
from studies.records.case import FORMAT_VERSION, ResultsRecord

ANEW = "trace its case with `barwright collapse` first"


def read_prediction(folder: Path, case: str | None = None) -> Prediction:
    """Return the path of a case in a results folder, of the only one with a path by default.

    Raises:
        InputError: The folder holds no results of this version's form, no path, several paths and
            no case is named, or none of that case.
    """
    file = folder / RESULTS_FILE
    recover(folder)
    refuse_older(file, FORMAT_VERSION, ANEW)
    try:
        data = file.read_bytes()
        record = ResultsRecord.model_validate_json(data)
    except (OSError, ValidationError):
        sentence = f"{folder} holds no {RESULTS_FILE} that can be read; {ANEW}"
        raise refuse("--against", sentence) from None
    traced = {one.id: (one.title, one.collapse) for one in record.cases if one.collapse}
    if not traced:
        raise refuse("--against", f"{folder} holds no path past yield; {ANEW}")
    if case is not None and case not in traced:
        raise InputError(unknown_name("--case", "case with a path", case, traced))
    if case is None and len(traced) > 1:
        raise refuse("--case", f"is not given, and there are paths of {', '.join(traced)}")
    title, path = traced[case or next(iter(traced))]
    bar, study = record.bar, record.study
    return Prediction(
        str(file),
        sha256(data).hexdigest(),
        study.computed_at,
        study.name,
        title,
        bar.measured_mass_g or bar.mass_g,
        path,
    )
