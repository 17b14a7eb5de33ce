"""Lines of text as wide as a terminal: wrapped, labelled, in cells; nothing is cut."""

import re
from collections.abc import Sequence
from textwrap import wrap

from studies.commands.output import printable
from studies.commands.units import in_inches, shown
from studies.records.places import capitalised

WIDTH = 80
LABEL = 14
"""Columns of a label within a case."""

GROUPS = re.compile(r"(?<=\d) (?=\d{3}(?!\d))")
"""Between groups of three digits; `KEPT` is a space there that no line ends at."""

KEPT = "\N{NO-BREAK SPACE}"


def wrapped(text: str, indent: int = 0, hang: int | None = None) -> list[str]:
    """Return a text in lines of at most `WIDTH` columns, later ones set in by `hang`."""
    later = " " * (indent if hang is None else hang)
    return _broken(shown(" ".join(printable(text).split())), WIDTH, " " * indent, later)


def cell(text: str, columns: int) -> list[str]:
    """Return a cell of a table in lines of at most `columns` columns, at least one line."""
    return _broken(text, columns) or [""]


def _broken(text: str, columns: int, first: str = "", later: str = "") -> list[str]:
    """Return lines that break between words, but not within a grouped number."""
    kept = GROUPS.sub(KEPT, text)
    lines = wrap(
        kept, columns, initial_indent=first, subsequent_indent=later, break_on_hyphens=False
    )
    return [line.replace(KEPT, " ") for line in lines]


def labelled(label: str, text: str, indent: int = 3, columns: int = LABEL) -> list[str]:
    """Return `label  text`, later lines under the text."""
    first, *later = wrapped(text, indent + columns) or [""]
    return [f"{' ' * indent}{label:<{columns}}{first.strip()}", *later]


def first_that_fits(candidates: Sequence[str], room: int) -> str:
    """Return the first candidate of at most `room` columns, the last one where none is."""
    return next((one for one in candidates if len(one) <= room), candidates[-1])


def within(texts: Sequence[str], lines: int, indent: int = 2) -> list[str]:
    """Return texts in one paragraph of at most `lines` lines, and how many were left out.

    The first text always stands; what has no room is counted, and `--verbose` prints it. Inch
    units beside SI have as many lines again.
    """
    most = 2 * lines if in_inches() else lines
    for kept in range(len(texts), 0, -1):
        left = len(texts) - kept
        tail = [f"{left} more: --verbose."] if left else []
        found = wrapped(" ".join([*texts[:kept], *tail]), indent)
        if len(found) <= most or kept == 1:
            return found
    return []


def sentence(text: str) -> str:
    """Return a text as a sentence: a capital first, a full stop last."""
    return f"{capitalised(text).removesuffix('.')}."
