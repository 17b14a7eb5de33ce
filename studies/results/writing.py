"""All files of a run, as one set."""

from collections.abc import Callable
from pathlib import Path

from studies.assessment.run import StudyRun
from studies.files.fields import write_fields
from studies.files.results_folder import REPORT_FILE, RESULTS_FILE, land
from studies.page.report import report_html
from studies.preview.snapshots import Snapshots
from studies.records.case import ResultsRecord
from studies.results.record import results_record


def write_results(
    run: StudyRun,
    folder: Path,
    draw: Callable[[StudyRun, Path], None] | None = None,
    snapshots: Snapshots | None = None,
) -> ResultsRecord:
    """Write results.json, report.html, fields/*.vtu and, where `draw` is given, figures/*.png.

    Args:
        run: The answers.
        folder: Where the files go; what an earlier run left there is replaced.
        draw: Draws the figures of a run into a folder.
        snapshots: Other walls, for the page to follow.

    Returns:
        The content of results.json.

    Raises:
        InputError: The folder must not or cannot be written; nothing is left behind.
    """
    record = results_record(run)

    def write(fresh: Path) -> None:
        (fresh / "fields").mkdir()
        for case in run.cases:
            write_fields(run, case, fresh / "fields" / f"{case.placed.case.id}.vtu")
        figures = fresh / "figures" if draw else None
        if draw and figures:
            figures.mkdir()
            draw(run, figures)
        page = report_html(run, record, figures, snapshots)
        (fresh / REPORT_FILE).write_text(page, encoding="utf-8")
        text = record.model_dump_json(indent=2)
        (fresh / RESULTS_FILE).write_text(text + "\n", encoding="utf-8")

    land(folder, write)
    return record
