"""The designs of a comparison: stored results that are current, or new ones."""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from json import loads
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from geometry.errors import refuse
from geometry.grading import LevelName
from studies.assessment.run import StudyRun, run_study
from studies.files.format_version import refuse_older
from studies.files.provenance import OTHER_VERSION, Provenance, is_current
from studies.files.recovery import held, recover
from studies.files.results_folder import REPORT_FILE, RESULTS_FILE, landed
from studies.page.report import report_html
from studies.page.scene import SCENE_VERSION
from studies.records.case import FORMAT_VERSION, ResultsRecord
from studies.results.record import results_record
from studies.results.writing import write_results
from studies.study_file.study import Study

_ISLAND = '<script id="{}" type="application/json">(.*?)</script>'


@dataclass(frozen=True, eq=False)
class Design:
    """A design with its results.

    Attributes:
        record: What results.json holds.
        scene: What the page's view needs, as JSON holds it.
        numbers: The numbers behind its charts, by case.
        reused: Whether they were stored before.
        older: Whether other sources or libraries than those here computed them.
    """

    record: ResultsRecord
    scene: dict[str, Any]
    numbers: dict[str, Any]
    reused: bool
    older: bool


def design_of(
    study: Study,
    folder: Path,
    level: LevelName | None,
    draw: Callable[[StudyRun, Path], None] | None,
    report: Callable[[str], None],
    say: Callable[[str], None] = lambda sentence: None,
) -> Design:
    """Return a study's design from its results folder, run anew where that is not current.

    Results of another version that hold a path past yield are shown as they are, and marked: a
    comparison traces no path, so a run would take from the folder what cost minutes.

    Args:
        study: The study.
        folder: Where its results are, or go.
        level: Mesh level, the study's own where it is None.
        draw: Draws the pictures of a run.
        report: Called with the stage at work.
        say: Called with a sentence on results of another version.

    Raises:
        MeshError: The mesh cannot be made.
        SolveError: The equations cannot be solved.
        InputError: The folder holds results of an earlier format, or must not or cannot be
            written.
    """
    recover(folder)
    remedy = f"`barwright run {study.path}` replaces it; move it away first to keep it"
    refuse_older(folder / RESULTS_FILE, FORMAT_VERSION, remedy)
    found = design_in(folder, study, level or study.mesh_level)
    if found and (not found.older or _has_path(found.record)):
        return found
    if _is_older(folder, study):
        say(f"results of {study.name} are of {OTHER_VERSION} and are computed again")
    with held(folder, study.path.name):
        run = run_study(study, level, progress=lambda stage: report(f"{study.name}: {stage}"))
        write_results(run, folder, draw)
    made = design_in(folder, study, level or study.mesh_level)
    if made is None:
        raise refuse("--out", f"{folder} was changed by something else; run it again")
    return replace(made, reused=False)


def design_of_run(run: StudyRun) -> Design:
    """Return the design of a run at hand, as its files would hold it."""
    record = results_record(run)
    page = report_html(run, record)
    scene, numbers = _island(page, "scene"), _island(page, "numbers")
    return Design(record, scene, numbers, reused=False, older=False)


def design_in(folder: Path, study: Study, level: LevelName) -> Design | None:
    """Return the design in a folder if it is of this very study, None if not."""
    try:
        text = (folder / RESULTS_FILE).read_text(encoding="utf-8")
        record = ResultsRecord.model_validate_json(text)
        page = (folder / REPORT_FILE).read_text(encoding="utf-8")
    except (OSError, ValidationError, ValueError):
        return None
    scene, numbers = _island(page, "scene"), _island(page, "numbers")
    same = (
        record.study.sha256 == study.sha256
        and record.study.mesh.level == level
        and [case.id for case in record.cases] == [placed.case.id for placed in study.cases]
        and scene.get("version") == SCENE_VERSION
        and bool(numbers)
    )
    older = not is_current("results", _made_by(record.study.model_dump()))
    return Design(record, scene, numbers, reused=True, older=older) if same else None


def _is_older(folder: Path, study: Study) -> bool:
    """Return whether a folder holds results of this very study, by another version."""
    stored = landed(folder).get("study")
    if not isinstance(stored, dict) or stored.get("sha256") != study.sha256:
        return False
    return not is_current("results", _made_by(stored))


def _made_by(stored: dict[str, Any]) -> Provenance:
    """Return what made results, from the part `study` of their record."""
    return Provenance(stored.get("sources_sha256", ""), stored.get("libraries", {}))


def _has_path(record: ResultsRecord) -> bool:
    return any(case.collapse for case in record.cases)


def _island(page: str, name: str) -> dict[str, Any]:
    """Return the JSON that a page carries under a name, empty where it does not."""
    found = re.search(_ISLAND.format(name), page, re.DOTALL)
    try:
        content = loads(found[1]) if found else {}
    except (ValueError, RecursionError):
        return {}
    return content if isinstance(content, dict) else {}
