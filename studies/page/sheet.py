"""What the one printed page says below the first screen: model, what is not in it, inspection."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from studies.page.check_table import CheckTable
from studies.page.inspection import PRACTICE
from studies.records.case import CaseRecord, ResultsRecord
from studies.records.parts import governing_case
from studies.records.places import capitalised, grouped, percent

MOST = 3
"""Inspections on the sheet; the full report lists all."""


@dataclass(frozen=True)
class Sheet:
    """Three lists in sentences, and what stands below them in any case.

    Attributes:
        inspect: After the physical test, nearest limits first.
        model: What was computed, and how well.
        absent: What was not.
        practice: The caution on inspection.
    """

    inspect: tuple[str, ...]
    model: tuple[str, ...]
    absent: tuple[str, ...]
    practice: str


def sheet(record: ResultsRecord, inspections: Sequence[str], checks: CheckTable) -> Sheet:
    """Return the sheet of a run."""
    looks = [one for one in inspections if one != PRACTICE][:MOST]
    return Sheet(
        tuple(looks),
        tuple(_model(record, checks)),
        tuple(capitalised(one) for one in (*record.limitations, *record.warnings)),
        PRACTICE,
    )


def _model(record: ResultsRecord, checks: CheckTable) -> Iterator[str]:
    mesh, case = record.study.mesh, governing_case(record.cases)
    number = record.cases.index(case) + 1
    yield (
        f"Linear elastic, static, solid elements; mesh {mesh.level}, "
        f"{grouped(mesh.dofs)} degrees of freedom."
    )
    error = case.error_estimate
    yield (
        f"Discretisation error, case {number}: deflection {percent(error.deflection_percent)}, "
        f"peak stress {percent(error.stress_percent)}."
    )
    yield from _beam(case, number)
    if paths := [str(n) for n, one in enumerate(record.cases, start=1) if one.collapse]:
        yield f"Path past yield, elastic-plastic: case {', '.join(paths)}."
    yield " ".join([f"{checks.passed} of {checks.total} checks passed.", *checks.failed])


def _beam(case: CaseRecord, number: int) -> Iterator[str]:
    rigid, flexible = case.beam.rigid_bends.deflection_mm, case.beam.flexible_bends.deflection_mm
    if rigid or flexible:
        yield (
            f"Beam model, independent, case {number}: {rigid:.2f} to {flexible:.2f} mm; "
            f"solid {case.deflection_mm:.2f} mm."
        )
