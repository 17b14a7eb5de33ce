"""plan.html and plan.json, each whole; the record, which marks the folder as ours, last."""

from pathlib import Path

from studies.bench.plan_record import PlanRecord
from studies.files.atomic_files import unwritable, write_whole
from studies.files.results_folder import PLAN_FILE, PLAN_RECORD
from studies.page.plan_page import plan_html
from studies.results.plan import Planned, plan_record
from studies.results.plan_instruments import instruments


def write_plan(planned: Planned, folder: Path) -> PlanRecord:
    """Write the plan of a test into a folder and return what plan.json holds.

    Raises:
        InputError: The folder cannot be written.
    """
    found = instruments(planned.run, planned.case, planned.of_case, planned.foreseen)
    made = plan_record(planned, found)
    tags = tuple(tag for one in found for tag in one.at)
    page = plan_html(planned.run, planned.case, made, tags)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(folder / PLAN_FILE, page)
        write_whole(folder / PLAN_RECORD, made.model_dump_json(indent=2) + "\n")
    except OSError as error:
        raise unwritable(folder, error) from None
    return made
