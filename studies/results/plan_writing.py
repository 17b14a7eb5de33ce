"""plan.html and plan.json, each whole; the record, which marks the folder as ours, last."""

from pathlib import Path

from studies.bench.plan_record import PlanRecord
from studies.files.atomic_files import write_each
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
    write_each(folder, {PLAN_FILE: page, PLAN_RECORD: made.model_dump_json(indent=2) + "\n"})
    return made
