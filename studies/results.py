"""All files of a run, as one set."""

from collections.abc import Callable
from pathlib import Path

from studies.export import write_fields
from studies.landing import RESULTS_FILE, land
from studies.records import ResultsRecord
from studies.result_record import results_record
from studies.runner import StudyRun


def write_results(
    run: StudyRun,
    folder: Path,
    draw: Callable[[StudyRun, Path], None] | None = None,
) -> ResultsRecord:
    """Write results.json, fields/*.vtu and, where `draw` is given, figures/*.png.

    Args:
        run: The answers.
        folder: Where the files go; what an earlier run left there is replaced.
        draw: Draws the figures of a run into a folder.

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
        if draw:
            (fresh / "figures").mkdir()
            draw(run, fresh / "figures")
        text = record.model_dump_json(indent=2)
        (fresh / RESULTS_FILE).write_text(text + "\n", encoding="utf-8")

    land(folder, write)
    return record
