"""The file of a press record: bytes in, heads and cells of its columns out.

Records come out of loggers, spreadsheets and by hand: neither encoding nor separator nor decimal
sign is stated, so each pair is tried and that kept which makes most numbers.
"""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from hashlib import sha256
from itertools import product, zip_longest
from math import nan
from pathlib import Path

import numpy as np

from geometry.arrays import Floats
from geometry.errors import InputError, refuse
from studies.records.clock import changed_at

ENCODINGS = ("utf-8-sig", "latin-1")
"""Tried in this order; a byte order mark of utf-16 is seen before."""

SEPARATORS = (";", "\t", ",", " ")
DECIMALS = (",", ".")

MOST_BYTES = 100_000_000
"""A press record of hours is far below."""

BEYOND_ANY_GAUGE = 1e15
"""A cell with more is no reading."""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")

_PARTED = {
    ".": re.compile(r"[+-]?[1-9]\d{0,2}([, ]\d{3})+(\.\d*)?"),
    ",": re.compile(r"[+-]?[1-9]\d{0,2}([. ]\d{3})+(,\d*)?"),
}
"""Thousands parted by the other sign or a space, for each decimal sign."""

_HUNDREDS = re.compile(r"[+-]?[1-9]\d\d")


@dataclass(frozen=True, eq=False)
class Table:
    """Columns of a file.

    Attributes:
        name: Of the file, without its folder.
        sha256: Of its bytes.
        heads: Of each column; empty where a file has none.
        cells: (n, m) numbers, nan for what is none.
        lines: Line of the file of each row, from 1.
        changed_at: When the file was last changed, UTC; empty where that is not known.
        unread: How many rows below the first hold one number only.
    """

    name: str
    sha256: str
    heads: tuple[str, ...]
    cells: Floats
    lines: tuple[int, ...]
    changed_at: str = ""
    unread: int = 0


def read_table(path: Path) -> Table:
    """Return the columns of a file.

    Raises:
        InputError: It cannot be read, or holds no two columns of numbers.
    """
    raw = _bytes_of(path)
    text = decoded(raw)
    best = max(_readings(text), key=lambda rows: rows.worth)
    if best.worth[0] == 0:
        raise refuse(
            "RECORD",
            f"{path} has no line with two numbers; give a table of gauge reading and travel, one "
            "point a line",
        )
    cells = np.array([_padded(row, best.width) for _, row in best.numbers])
    lines = tuple(line for line, _ in best.numbers)
    return Table(
        path.name,
        sha256(raw).hexdigest(),
        _heads(best),
        cells,
        lines,
        changed_at(path),
        best.unread,
    )


def decoded(raw: bytes) -> str:
    """Return the text of a file of unknown encoding; latin-1 takes any."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", errors="replace")
    for encoding in ENCODINGS[:-1]:
        try:
            return raw.decode(encoding)
        except UnicodeDecodeError:
            continue
    return raw.decode(ENCODINGS[-1])


def number(cell: str, decimal: str) -> float:
    """Return the number that a cell holds, nan for what is none."""
    # an apostrophe or a space that does not break parts thousands and nothing else
    plain = re.sub(r"['\u00a0\u202f]", "", cell.strip()).replace("\u2212", "-")
    if _PARTED[decimal].fullmatch(plain):
        plain = re.sub(r"[ .]" if decimal == "," else r"[ ,]", "", plain)
    if decimal == ",":
        # any other point beside a decimal comma is no number
        plain = plain.replace(".", "?").replace(",", ".")
    value = float(plain) if _NUMBER.fullmatch(plain) else nan
    return value if abs(value) < BEYOND_ANY_GAUGE else nan


@dataclass(frozen=True, eq=False)
class _Rows:
    """A text as one pair of separator and decimal sign reads it."""

    width: int
    texts: list[tuple[int, list[str]]]
    numbers: list[tuple[int, list[float]]]
    parted: int
    unread: int

    @property
    def worth(self) -> tuple[float, int, int]:
        """Return finite cells in rows of the commonest width times their share; fewer columns.

        Where all that is alike, thousands count by `_parted`.
        """
        cells = np.array([row for _, row in self.numbers if len(row) == self.width])
        finite = np.isfinite(cells)
        share = float(finite.sum() * finite.mean()) if cells.size else 0.0
        return share, -self.width, self.parted


def _readings(text: str) -> list[_Rows]:
    return [_rows(text, *pair) for pair in product(SEPARATORS, DECIMALS)]


def _rows(text: str, separator: str, decimal: str) -> _Rows:
    texts, numbers, kept, unread = [], [], [], 0
    for line, row in _split(text, separator):
        values = [number(cell, decimal) for cell in row]
        if np.isfinite(values).sum() >= 2:
            numbers.append((line, values))
            kept.append(row)
        else:
            texts.append((line, row))
            unread += bool(numbers) and bool(np.isfinite(values).any())
    widths = Counter(len(row) for _, row in numbers)
    width = widths.most_common(1)[0][0] if widths else 0
    return _Rows(width, texts, numbers, _parted(kept, decimal), unread)


def _parted(rows: list[list[str]], decimal: str) -> int:
    """Return how many cells part thousands by a sign, less than 0 where they rather do not.

    1,050 below 950 is more; in a column without plain hundreds it is as well a decimal.
    """
    count = 0
    for column in zip_longest(*rows, fillvalue=""):
        cells = [cell.strip() for cell in column]
        own = sum(bool(_PARTED[decimal].fullmatch(cell)) for cell in cells)
        count += own if any(map(_HUNDREDS.fullmatch, cells)) else -own
    return count


def _split(text: str, separator: str) -> list[tuple[int, list[str]]]:
    """Return line and cells of every line that is not empty."""
    lines = [line for line in enumerate(text.splitlines(), start=1) if line[1].strip()]
    if separator == " ":
        return [(at, line.split()) for at, line in lines]
    return [(at, next(csv.reader([line], delimiter=separator), [])) for at, line in lines]


def _padded(row: list[float], width: int) -> list[float]:
    return [*row, *[nan] * width][:width]


def _heads(rows: _Rows) -> tuple[str, ...]:
    """Return the words above each column: of all lines of its width before the first numbers."""
    first = rows.numbers[0][0]
    above = [row for line, row in rows.texts if line < first and len(row) == rows.width]
    return tuple(" ".join(cells).strip() for cells in zip(*above, strict=True))


def _bytes_of(path: Path) -> bytes:
    try:
        if path.stat().st_size > MOST_BYTES:
            raise _unreadable(path, f"it is larger than {MOST_BYTES / 1e6:g} MB")
        return path.read_bytes()
    except OSError as error:
        raise _unreadable(path, (error.strerror or "refused").lower()) from None


def _unreadable(path: Path, reason: str) -> InputError:
    return refuse("RECORD", f"{path} cannot be read ({reason}); give the file of a press record")
