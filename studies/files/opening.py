"""Finding what a results folder holds, for people who want to look at it."""

from pathlib import Path

from geometry.errors import InputError, refuse
from geometry.limits import unknown_name
from studies.files.format_version import refuse_older
from studies.files.recovery import recover
from studies.files.results_folder import (
    COMPARISON_FILE,
    PRESS_PAGE,
    REPORT_FILE,
    RESULTS_FILE,
    SPECIMENS_PAGE,
    SWEEP_FILE,
    landed_cases,
)
from studies.records.case import FORMAT_VERSION

PAGES = (REPORT_FILE, SWEEP_FILE, COMPARISON_FILE, PRESS_PAGE, SPECIMENS_PAGE)


def page_in(results: Path) -> Path:
    """Return the page in a results folder, or the page itself where it is named.

    Raises:
        InputError: There is none.
    """
    try:
        if results.is_file() and results.suffix == ".html":
            return results
        recover(results)
        found = [results / name for name in PAGES if (results / name).is_file()]
    except OSError:  # no name that the system can open
        found = []
    if not found:
        sentence = f"{results} holds no page; name a results folder, or run the study anew"
        raise refuse("RESULTS", sentence)
    return found[0]


def fields_in(results: Path, case: str | None) -> Path:
    """Return the .vtu file of a case, of the first one where none is named.

    Raises:
        InputError: The folder holds no fields or those of an earlier format, or the case is not
            among them.
    """
    recover(results)
    remedy = "open its page without --vtk, or run the study anew into another folder"
    refuse_older(results / RESULTS_FILE, FORMAT_VERSION, remedy)
    names = [case_record["id"] for case_record in landed_cases(results)]
    names = [name for name in names if _fields(results, name).is_file()]
    if not names:
        raise refuse("RESULTS", f"{results} holds no fields of a run; name a run's results folder")
    if case is not None and case not in names:
        raise InputError(unknown_name("--case", "case", case, names))
    return _fields(results, case or names[0])


def _fields(results: Path, name: str) -> Path:
    return results / "fields" / f"{name}.vtu"
