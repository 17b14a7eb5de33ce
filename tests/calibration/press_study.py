"""How often the stated 95 % interval of a reduced press record holds the truth.

`PYTHONPATH=.:tests python -m calibration.press_study 2000 3000` prints the table for a range of
seeds, half a minute of a core. Seeds below 1000 were looked at while the reduction was written.
"""

import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from geometry.errors import InputError
from studies.bench.interval import COVERAGE, Measured
from studies.bench.readings import read_readings
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig
from support.press_records import PressRecord, press_record, written_to

QUANTITIES = ("slope", "offset load", "peak", "set")


@dataclass(frozen=True)
class Row:
    """A quantity of a record: read, true, half of its interval, and by the fit alone."""

    quantity: str
    seed: int
    by_hand: bool
    value: float
    truth: float
    half_width: float
    by_fit_alone: float

    @property
    def covered(self) -> bool:
        """Return whether the interval holds the truth."""
        return abs(self.value - self.truth) <= self.half_width


def rows_of(seeds: Iterable[int]) -> list[Row]:
    """Return every quantity of the records of some seeds but those that are refused."""
    with TemporaryDirectory() as folder:
        return [row for seed in seeds for row in _rows(seed, Path(folder))]


def reduced(record: PressRecord, folder: Path) -> Reduction:
    """Return the reduction of an invented record, from its files."""
    path, block = written_to(record, folder)
    rig = Rig(**record.options)  # type: ignore[arg-type]
    pressed = read_readings(block, rig) if block else None
    return reduce_record(read_readings(path, rig), rig, pressed)


def _rows(seed: int, folder: Path) -> Iterator[Row]:
    record = press_record(seed)
    try:
        found, truth = reduced(record, folder), record.truth
    except InputError:
        return
    pairs: Sequence[tuple[Measured | None, float | None]] = (
        (found.line.slope, truth.slope_n_per_mm),
        (found.offsets[0].load_n, truth.offset_n),
        (found.peak_n, truth.peak_n),
        (found.unloadings[-1].set_mm, truth.set_mm),
    )
    for name, (read, true) in zip(QUANTITIES, pairs, strict=True):
        if read and true is not None:
            fit = COVERAGE * read.terms.get("fit", 0.0)
            yield Row(name, seed, record.by_hand, read.value, true, read.half_width, fit)


def of(rows: Iterable[Row], quantity: str) -> list[Row]:
    """Return the rows of a quantity."""
    return [row for row in rows if row.quantity == quantity]


def coverage_percent(rows: Sequence[Row]) -> float:
    """Return the share of rows whose interval holds the truth."""
    return 100 * float(np.mean([row.covered for row in rows]))


def table(rows: Sequence[Row]) -> Iterator[str]:
    """Yield a line a quantity: records, coverage, median half width, median error and bias."""
    yield "quantity     records  covered  half width    error     bias"
    for name in QUANTITIES:
        some = of(rows, name)
        errors = np.array([row.value / row.truth - 1 for row in some])
        width = np.median([row.half_width / row.truth for row in some])
        yield (
            f"{name:12s} {len(some):7d} {coverage_percent(some):7.1f}% {100 * width:10.1f}% "
            f"{100 * np.median(abs(errors)):7.2f}% {100 * np.median(errors):+7.2f}%"
        )


if __name__ == "__main__":
    sys.stdout.write("\n".join(table(rows_of(range(*map(int, sys.argv[1:3]))))) + "\n")
