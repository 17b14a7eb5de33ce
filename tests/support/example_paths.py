"""Paths past yield of shipped examples, walked as the command walks them."""

from pathlib import Path

from loadcases.path_control import PathControl
from studies.assessment.run import run_study, with_paths
from studies.collapse.path_analysis import TraceOptions, trace_paths
from studies.collapse.record import collapse_record
from studies.records.collapse import CollapseRecord
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import read_study

EXAMPLES = Path(__file__).parents[2] / "studies" / "examples"


def pushed(folder: Path, name: str, case: str, push: PathControl) -> CollapseRecord:
    """Return what is told of the path of an example's case."""
    study = with_cases(read_study(EXAMPLES / f"{name}.toml"), [case])
    run = with_paths(
        run_study(study, level="coarse"), trace_paths(study, {case: push}, folder, TraceOptions())
    )
    found = collapse_record(run, run.cases[0])
    assert found is not None
    assert found.complete
    return found
