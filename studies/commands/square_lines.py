"""What `run` and `collapse` print of a bar out of square."""

from collections.abc import Iterator, Sequence

from studies.commands.lines import wrapped
from studies.commands.units import inch_rows
from studies.records.square import SquareCaseRecord, SquareRecord
from studies.study_file.square_text import AGAINST, reading_text

HEADS = (
    ("Square bar", "deflection", "peak", "governing"),
    ("", "mm      %", "MPa      %", "factor      %"),
)
ROOM = 29
WIDTHS = (17, 16, 17)


def square_lines(record: SquareRecord) -> Iterator[str]:
    """Yield the results of the square bar, and by how much those above differ from them."""
    yield from wrapped(f"Out of square: {reading_text(record)}, against {AGAINST}", 0, 2)
    if not record.cases:
        return
    for heads in (*HEADS, *inch_rows(HEADS[1], HEADS[1])):
        yield _row(heads)
    for number, case in enumerate(record.cases, start=1):
        cells = tuple(_cells(case))
        yield _row((f"{number:>2}", *cells))
        yield from map(_row, inch_rows(HEADS[1], ("", *cells)))
    yield from wrapped("Square bar: both halves as the better one. %: the bar above against it.", 2)
    others = [f"{n}" for n, case in enumerate(record.cases, start=1) if not case.loads_on_side]
    if others:
        cases = f"Case{'s' if len(others) > 1 else ''} {', '.join(others)}"
        yield from wrapped(f"{cases}: no load on the {record.side} half, the one that deviates.", 2)


def _cells(case: SquareCaseRecord) -> Iterator[str]:
    yield f"{case.deflection_mm:.2f} {_percent(case.deflection_change_percent)}"
    yield f"{case.peak_stress_mpa:.0f} {_percent(case.peak_stress_change_percent)}"
    yield f"{case.governing_factor:.2f} {_percent(case.governing_factor_change_percent)}"


def _percent(value: float) -> str:
    text = f"{value:>+6.1f}"
    return f"{0:>6.1f}" if float(text) == 0 else text


def _row(cells: Sequence[str]) -> str:
    first, *others = cells
    columns = zip(others, WIDTHS, strict=True)
    return f"{first:<{ROOM}}{''.join(f'{one:>{width}}' for one, width in columns)}".rstrip()
