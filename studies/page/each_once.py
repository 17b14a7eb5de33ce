"""Cautions, warnings and limitations of a run, each once; those of some cases name them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from geometry.source import MARKS
from studies.records.case import ResultsRecord
from studies.records.fatigue import FatigueRecord
from studies.records.places import capitalised


@dataclass(frozen=True)
class Remarks:
    """What stands beside all results.

    Attributes:
        cautions: What can hurt someone.
        warnings: On inputs.
        limitations: Of the model.
    """

    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    limitations: tuple[str, ...]


def remarks_once(record: ResultsRecord) -> Remarks:
    """Return the remarks of a run and of its cases, each once."""
    cases = record.cases
    return Remarks(
        tuple(_once(record.cautions, [case.cautions for case in cases])),
        tuple(_once(record.warnings, [case.warnings for case in cases])),
        tuple(_once(record.limitations, [case.limitations for case in cases])),
    )


def fatigue_notes(record: ResultsRecord) -> tuple[str, ...]:
    """Return the curves that lives are read from and the notes on them, each once."""
    shared = _of_life(record.fatigue)
    return tuple(_once(shared, [_of_life(case.fatigue) for case in record.cases]))


def _of_life(life: FatigueRecord | None) -> list[str]:
    if life is None:
        return []
    if life.curve is None:
        return life.notes
    place = f", {life.curve.locator}" if life.curve.locator else ""
    marked = next(words for kind, words in MARKS.items() if kind == life.curve.kind)
    return [f"Curve: {life.curve.reference}{place} ({marked}); {life.basis}.", *life.notes]


def _once(shared: Sequence[str], own: Sequence[Sequence[str]]) -> Iterator[str]:
    """Yield the shared lines, then those of cases with their numbers."""
    yield from (capitalised(line) for line in shared)
    every = dict.fromkeys(line for lines in own for line in lines)
    for line in (line for line in every if line not in shared):
        numbers = [str(n) for n, lines in enumerate(own, start=1) if line in lines]
        word = "Cases" if len(numbers) > 1 else "Case"
        yield f"{word} {', '.join(numbers)}: {line}"
