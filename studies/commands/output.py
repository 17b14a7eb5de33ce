"""What commands write: results to standard output, all else to standard error."""

import json
import sys
import webbrowser
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from geometry.source import UNSURE, Source
from studies.commands.units import in_inches, shown

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table

CAUTION = (
    "A bar that breaks hurts someone. These figures prepare a physical test and do not replace it: "
    "accredited tests, local rules and licensed practice decide."
)
"""Stands once in every output with figures of a bar."""

TEXT_WIDTH, TABLE_WIDTH = 80, 100
"""Columns of a file: of texts, and of tables with a column a design or an input."""

MOST_PROBLEMS = 50


def say(message: str) -> None:
    """Write a line for the person at the terminal to standard error."""
    typer.echo(printable(message), err=True)


def note(sentence: str) -> None:
    """Say what is worth knowing and hinders nothing."""
    say(f"note: {sentence}")


def write_json(data: object) -> None:
    """Write `data` as JSON to standard output."""
    typer.echo(json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False))


def open_page(path: Path) -> None:
    """Show a page in the browser; where none can be started, say where the page is."""
    if not webbrowser.open(path.resolve().as_uri()):
        say(f"note: no browser could be started; the page is {path}")


def show(*contents: "RenderableType", width: int = TEXT_WIDTH) -> None:
    """Write tables and texts to standard output, at a terminal as wide as that, else `width`.

    With inch units beside SI it is as wide as tables at least.
    """
    from rich.console import Console

    at_terminal = sys.stdout.isatty()
    width = max(width, TABLE_WIDTH) if in_inches() else width
    columns, plain_text = (None, None) if at_terminal else (width, True)
    console = Console(
        width=columns, no_color=plain_text, highlight=False, markup=False, emoji=False
    )
    with console.capture() as captured:
        console.print(*contents, sep="\n")
    # columns are filled up with blanks, which a file does not need
    lines = (line.rstrip() for line in captured.get().splitlines())
    typer.echo("\n".join(lines))


def indented(text: str) -> "RenderableType":
    """Return a text that stands two columns in, its later lines too."""
    from rich.padding import Padding
    from rich.text import Text

    return Padding(Text(shown(printable(text))), (0, 0, 0, 2))


def table(title: str, *columns: str, words: int = 0) -> "Table":
    """Return an empty table; the first `words` columns hold words, the others numbers.

    A head may have its unit in a second line. Where inch units are printed they stand in the next.
    """
    from rich import box
    from rich.text import Text

    made = _table_kind()(
        title=Text(title, style="bold"),
        title_justify="left",
        box=box.SIMPLE_HEAD,
        header_style="bold",
        pad_edge=False,
        collapse_padding=True,
    )
    heads = _heads(made, columns)
    most = max(head.count("\n") for head in heads)
    for index, head in enumerate(heads):
        # heads stand at the bottom of their row, so shorter ones get empty lines
        text = Text(head + "\n " * (most - head.count("\n")))
        made.add_column(text, justify="left" if index < words else "right")
    return made


def _table_kind() -> "type[Table]":
    from rich.table import Table

    if not in_inches():
        return Table
    from studies.commands.inch_table import InchTable

    return InchTable


def _heads(made: "Table", columns: tuple[str, ...]) -> tuple[str, ...]:
    """Return the heads of a table, which knows them where it prints inch units too."""
    if not in_inches():
        return columns
    from studies.commands.inch_table import InchTable, inch_head

    if isinstance(made, InchTable):
        made.heads = columns
    return tuple(map(inch_head, columns))


def evidence_of(source: Source) -> str:
    """Return the evidence of a value in a word or two: `standard`, `from memory`."""
    return UNSURE.get(source.kind, source.kind)


def plain(record: Any) -> Any:
    """Return a record of dataclasses as JSON can hold it; what is not finite becomes null."""
    from studies.records.base import finite

    return finite(asdict(record))


def printable(text: str) -> str:
    """Return text with every character that a terminal would obey written out."""
    return "".join(c if c.isprintable() or c == "\n" else f"\\u{ord(c):04x}" for c in text)


def problem_lines(where: str, problems: tuple[object, ...]) -> str:
    """Return the message for problems in a file or argument."""
    if len(problems) == 1:
        return f"barwright: {where}{': ' if where else ''}{problems[0]}"
    listed = [f"  {problem}" for problem in problems[:MOST_PROBLEMS]]
    if len(problems) > MOST_PROBLEMS:
        listed.append(f"  and {len(problems) - MOST_PROBLEMS} more")
    place = f" in {where}" if where else ""
    return "\n".join([f"barwright: {len(problems)} problems{place}", *listed])
