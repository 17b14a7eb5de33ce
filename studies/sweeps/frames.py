"""The designs of a sweep as a data frame: the one door to pandas, which may be missing."""

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from geometry.errors import refuse
from studies.files.results_folder import SWEEP_RECORD, landed
from studies.study_file.changes import Value
from studies.study_file.settings import value_in
from studies.sweeps.sweep_results import SweepRun, columns
from studies.sweeps.tables import FORMULA_SIGNS, TABLE_CSV, has_tables

if TYPE_CHECKING:
    from pandas import DataFrame

DESIGN, STATUS = "design", "status"

Columns = Mapping[str, Sequence[Value | None]]


def frame_of(run: SweepRun) -> "DataFrame":
    """Return the designs of a sweep at hand, as `designs_frame` returns those on disk.

    Raises:
        InputError: pandas is not installed.
    """
    return _frame({column.key: column.values for column in columns(run)}, _kinds_of(run))


def designs_frame(folder: Path) -> "DataFrame":
    """Return the designs of a sweep on disk, one a row, by their numbers.

    Args:
        folder: Results folder of `barwright sweep`.

    Returns:
        The columns of designs.csv: status as a category, reasons and other texts as strings, inputs
        and figures as numbers, in the units of their heads.

    Raises:
        InputError: pandas is not installed, or the folder holds no table of a sweep that can be
            read.
    """
    if not has_tables(folder):
        raise refuse(
            f"{folder}", f"holds no {TABLE_CSV}; name a results folder of `barwright sweep`"
        )
    try:
        described = landed(folder, SWEEP_RECORD)["columns"]
        kinds = {column["key"]: column["kind"] for column in described}
        found = _columns_in(folder / TABLE_CSV, kinds)
    except (OSError, ValueError, LookupError, TypeError, csv.Error):
        sentence = f"holds a {TABLE_CSV} that cannot be read; give the sweep's command again"
        raise refuse(f"{folder}", sentence) from None
    return _frame(found, kinds)


def _columns_in(path: Path, kinds: Mapping[str, str]) -> dict[str, Sequence[Value | None]]:
    with path.open(encoding="utf-8", newline="") as file:
        heads, *rows = ([_as_written(cell) for cell in row] for row in csv.reader(file))
    read = {head: [row[number] for row in rows] for number, head in enumerate(heads)}
    numbers = [int(number) for number in read[DESIGN]]
    return {
        **{head: _values(kinds.get(head), cells) for head, cells in read.items()},
        DESIGN: numbers,
    }


def _values(kind: str | None, cells: Sequence[str]) -> list[Value | None]:
    """Return numbers where all cells of an input or figure are, else texts; None for nothing."""
    texts = [cell or None for cell in cells]
    read = [None if cell is None else value_in(cell) for cell in texts]
    is_text = kind == "state" or any(isinstance(value, str) for value in read)
    return list(texts) if is_text else read


def _as_written(cell: str) -> str:
    """Return a text without the apostrophe that keeps spreadsheets from taking it for a formula."""
    return cell[1:] if cell.startswith(tuple(f"'{sign}" for sign in FORMULA_SIGNS)) else cell


def _kinds_of(run: SweepRun) -> dict[str, str]:
    return {column.key: column.kind for column in columns(run)}


def _frame(found: Columns, kinds: Mapping[str, str]) -> "DataFrame":
    pd = _pandas()
    series = {
        key: pd.Series(_held(values), dtype=_dtype(key, kinds.get(key, ""), values))
        for key, values in found.items()
    }
    return pd.DataFrame(series).set_index(DESIGN)


def _held(values: Sequence[Value | None]) -> list[Value | None]:
    """Return values of one kind: all are texts where one is."""
    if not any(isinstance(value, str) for value in values):
        return list(values)
    return [None if value is None else str(value) for value in values]


def _dtype(key: str, kind: str, values: Sequence[Value | None]) -> str:
    """Return what a column holds: numbers are counts where all are whole inputs, else floats."""
    if key == STATUS:
        return "category"
    if kind == "state":
        return "int64" if key == DESIGN else "string"
    if any(isinstance(value, str) for value in values):
        return "string"
    whole = kind == "input" and all(isinstance(value, int) for value in values)
    return "int64" if whole else "float64"


def _pandas() -> Any:
    try:
        import pandas as pd
    except ImportError:
        sentence = "is not installed, and data frames need it; pip install 'barwright[notebook]'"
        raise refuse("pandas", sentence) from None
    return pd
