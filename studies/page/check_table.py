"""The checks of all cases as one table: a row for each check, a column for each case."""

from collections.abc import Iterator
from dataclasses import dataclass

from studies.records.case import CaseRecord, CheckRecord, ResultsRecord
from studies.records.places import capitalised

NONE = "\u2013"


@dataclass(frozen=True)
class CheckRow:
    """A check.

    Attributes:
        name: With its unit.
        limit: Of its value, in words.
        values: Of each case, in words.
        passed: Of each case; also where a case has no such check.
    """

    name: str
    limit: str
    values: tuple[str, ...]
    passed: tuple[bool, ...]


@dataclass(frozen=True)
class CheckTable:
    """All checks of a run.

    Attributes:
        rows: A row for each check.
        total: Checks of all cases.
        failed: A sentence for each that failed.
    """

    rows: tuple[CheckRow, ...]
    total: int
    failed: tuple[str, ...]

    @property
    def passed(self) -> int:
        """Return how many passed."""
        return self.total - len(self.failed)


def check_table(record: ResultsRecord) -> CheckTable:
    """Return the checks of a run."""
    # a check whose limit differs from case to case has a row for each limit
    keys = dict.fromkeys((one.name, one.limit) for case in record.cases for one in case.checks)
    rows = tuple(_row(record, name, limit) for name, limit in keys)
    total = sum(len(case.checks) for case in record.cases)
    return CheckTable(rows, total, tuple(_failed(record)))


def _row(record: ResultsRecord, name: str, limit: float) -> CheckRow:
    found = [_found(case, name, limit) for case in record.cases]
    return CheckRow(
        name,
        _number(limit),
        tuple(_number(one.value) if one else NONE for one in found),
        tuple(one is None or one.passed for one in found),
    )


def _found(case: CaseRecord, name: str, limit: float) -> CheckRecord | None:
    return next((one for one in case.checks if (one.name, one.limit) == (name, limit)), None)


def _failed(record: ResultsRecord) -> Iterator[str]:
    for case in record.cases:
        for one in case.checks:
            if not one.passed:
                values = f"{_number(one.value)}, limit {_number(one.limit)}"
                yield f"{capitalised(one.name)}, '{case.title}': {values}."


def _number(value: float) -> str:
    """Return a residual: many are far below what a few decimals would show."""
    return f"{value:.3g}".replace("-", "\u2212")
