"""A bar out of square on the page: the square bar beside it."""

from collections.abc import Iterator
from dataclasses import dataclass

from studies.records.case import CaseRecord, ResultsRecord
from studies.records.square import SquareCaseRecord
from studies.study_file.square_text import AGAINST, reading_text


@dataclass(frozen=True)
class SquarePart:
    """The table of a bar out of square.

    Attributes:
        words: What was read, and which bends turn.
        rows: (case, figure, of this bar, of the square bar, difference).
    """

    words: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def square_part(record: ResultsRecord) -> SquarePart | None:
    """Return what the page shows of a bar out of square, None for one that is drawn square."""
    square = record.square
    if square is None:
        return None
    pairs = zip(record.cases, square.cases, strict=False)
    rows = tuple(row for case, other in pairs for row in _rows(case, other))
    return SquarePart((f"{reading_text(square)}, against {AGAINST}", *_turns(record)), rows)


def _turns(record: ResultsRecord) -> Iterator[str]:
    square = record.square
    for one in square.bends if square else ():
        if one.plane_deg or one.angle_deg:
            turn = f"plane {one.plane_deg:+.3f}\u00b0, angle {one.angle_deg:+.3f}\u00b0"
            yield f"bend {one.bend}{f' {one.name}' if one.name else ''}: {turn}"
    if square:
        yield f"last straight {square.tail_mm:+.3f} mm"


def _rows(case: CaseRecord, square: SquareCaseRecord) -> Iterator[tuple[str, ...]]:
    yield (
        case.title,
        "deflection, mm",
        f"{case.deflection_mm:.2f}",
        f"{square.deflection_mm:.2f}",
        percent_text(square.deflection_change_percent),
    )
    yield (
        "",
        "peak stress, MPa",
        f"{case.peak_stress_mpa:.0f}",
        f"{square.peak_stress_mpa:.0f}",
        percent_text(square.peak_stress_change_percent),
    )
    yield (
        "",
        "governing factor, x load",
        f"{case.governing_factor:.2f}",
        f"{square.governing_factor:.2f}",
        percent_text(square.governing_factor_change_percent),
    )


def percent_text(value: float) -> str:
    """Return a difference in percent with its sign, without one where it rounds to nothing."""
    text = f"{value:+.1f} %"
    return "0.0 %" if text[1:] == "0.0 %" else text
