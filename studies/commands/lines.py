"""Lines of text as wide as a terminal: wrapped, labelled, and as many facts as fit."""

from collections.abc import Iterable, Sequence
from textwrap import wrap

from studies.commands.output import printable
from studies.commands.units import in_inches, shown
from studies.records.places import capitalised

WIDTH = 80
LABEL = 14
"""Columns of a label within a case."""


def wrapped(text: str, indent: int = 0, hang: int | None = None) -> list[str]:
    """Return a text in lines of at most `WIDTH` columns, later ones set in by `hang`."""
    later = " " * (indent if hang is None else hang)
    words = shown(" ".join(printable(text).split()))
    return wrap(
        words, WIDTH, initial_indent=" " * indent, subsequent_indent=later, break_on_hyphens=False
    )


def labelled(label: str, text: str, indent: int = 3, columns: int = LABEL) -> list[str]:
    """Return `label  text`, later lines under the text."""
    first, *later = wrapped(text, indent + columns) or [""]
    return [f"{' ' * indent}{label:<{columns}}{first.strip()}", *later]


def fitted(parts: Iterable[str], room: int = WIDTH - 3 - LABEL) -> str:
    """Return the first part and as many others as one line holds; with inch units all."""
    text, *others = parts
    if in_inches():
        return "; ".join([text, *others])
    for part in others:
        if len(text) + 2 + len(part) <= room:
            text = f"{text}; {part}"
    return text


def first_of(lines: Sequence[str]) -> Sequence[str]:
    """Return the first line, all that is kept of a text; with inch units all lines."""
    return lines if in_inches() else lines[:1]


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
