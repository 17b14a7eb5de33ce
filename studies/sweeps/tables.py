"""The files of a sweep: designs.csv, designs.parquet, sweep.json and sweep.html."""

import csv
import io
from importlib.util import find_spec
from pathlib import Path

from studies.files.atomic_files import unwritable, write_whole
from studies.files.results_folder import SWEEP_FILE, SWEEP_RECORD
from studies.sweeps.summary import Summary, summary_json, summary_of
from studies.sweeps.sweep_page import sweep_html
from studies.sweeps.sweep_results import Column, SweepRun, columns

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r")
"""What a formula of a spreadsheet begins with."""

TABLE_CSV, TABLE_PARQUET = "designs.csv", "designs.parquet"


def write_tables(run: SweepRun, folder: Path) -> Summary:
    """Write the tables of a sweep, each file whole; those of an earlier sweep give way.

    Returns:
        What the sweep says.

    Raises:
        InputError: The folder cannot be written.
    """
    summary = summary_of(run)
    found = columns(run)
    try:
        write_whole(folder / TABLE_CSV, csv_text(found))
        if find_spec("pyarrow"):
            write_whole(folder / TABLE_PARQUET, parquet_bytes(found))
        write_whole(folder / SWEEP_FILE, sweep_html(run, summary))
        write_whole(folder / SWEEP_RECORD, summary_json(run, summary))
    except OSError as error:
        raise unwritable(folder, error) from None
    return summary


def has_tables(folder: Path) -> bool:
    """Return whether a sweep's tables lie in a results folder."""
    return (folder / TABLE_CSV).is_file()


def csv_text(found: tuple[Column, ...]) -> str:
    """Return the table as comma-separated values: numbers in full, empty where there is none.

    A text that a spreadsheet would take for a formula gets an apostrophe in front.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(_harmless(column.key) for column in found)
    for row in zip(*(column.values for column in found), strict=True):
        writer.writerow("" if value is None else _harmless(value) for value in row)
    return text.getvalue()


def _harmless(value: object) -> object:
    formula = isinstance(value, str) and value.startswith(FORMULA_SIGNS)
    return f"'{value}" if formula else value


def parquet_bytes(found: tuple[Column, ...]) -> bytes:
    """Return the table as a Parquet file; needs pyarrow."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    table = pa.table({column.key: pa.array(_of_one_kind(column)) for column in found})
    sink = pa.BufferOutputStream()
    pq.write_table(table, sink)
    content: bytes = sink.getvalue().to_pybytes()
    return content


def _of_one_kind(column: Column) -> list[object]:
    """Return values that a typed column can hold: text if one of them is text."""
    values = column.values
    if any(isinstance(value, str) for value in values):
        return [None if value is None else str(value) for value in values]
    if any(isinstance(value, float) for value in values):
        return [None if value is None else float(value) for value in values]
    return list(values)
