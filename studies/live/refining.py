"""The whole answer to a saved file, in a process beside the one that answers at once.

It looks at the file between stages, and gives up as soon as the file is another.
"""

from dataclasses import dataclass
from pathlib import Path

from fea.solid.linear_solver import SolverName
from geometry.grading import LevelName
from studies.study_file.study import Study


class SupersededError(Exception):
    """The file has been saved again meanwhile."""


@dataclass(frozen=True)
class Refined:
    """The whole answer.

    Attributes:
        page: HTML of the live page.
        record: results.json as text.
    """

    page: str
    record: str


@dataclass(frozen=True)
class Wanted:
    """What is to be refined.

    Attributes:
        study: As read from the file.
        sha256: Of the file's bytes.
        folder: Where the results go.
        level: Mesh level, None for the study's.
        solver: Which direct solver.
        before: results.json of the whole answer before, empty where there is none.
        version: Of the page.
    """

    study: Study
    sha256: str
    folder: Path
    level: LevelName | None
    solver: SolverName
    before: str
    version: int


def refined(wanted: Wanted) -> Refined:
    """Return the whole answer, and write it to the results folder.

    Raises:
        SupersededError: The file is another by now.
        InputError, MeshError, SolveError: As a run; the folder cannot be written.
    """
    from studies.assessment.run import run_study
    from studies.page.live_page import live_html
    from studies.records.case import ResultsRecord
    from studies.results.record import results_record
    from studies.results.writing import write_results

    def tell(_stage: str) -> None:
        if file_sha256(wanted.study.path) != wanted.sha256:
            raise SupersededError

    run = run_study(wanted.study, wanted.level, wanted.solver, tell)
    record = results_record(run)
    before = ResultsRecord.model_validate_json(wanted.before) if wanted.before else None
    words = f"Mesh {run.level}, whole assessment, {sum(run.seconds.values()):.1f} s."
    page = live_html(run, record, before, whole=True, version=wanted.version, state=words)
    write_results(run, wanted.folder)
    return Refined(page, record.model_dump_json())


def file_sha256(path: Path) -> str:
    """Return the hash of a file's bytes, empty where it cannot be read just now."""
    from hashlib import sha256

    try:
        return sha256(path.read_bytes()).hexdigest()
    except OSError:
        return ""
