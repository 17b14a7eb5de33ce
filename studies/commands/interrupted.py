"""What an interruption leaves, in a sentence that is true where it comes."""

from collections.abc import Iterator
from contextlib import contextmanager

import typer

from studies.commands.exit_codes import INTERRUPTED
from studies.commands.output import say

NOTHING_WRITTEN = "nothing was written, earlier results are as they were"


@contextmanager
def stopped(kept: str) -> Iterator[None]:
    """End a command that is interrupted in the block with exit code 130 and a sentence.

    Args:
        kept: What is kept then; one that comes while files are put in place has its own words.
    """
    try:
        yield
    except KeyboardInterrupt as end:
        say_stopped(end, kept)
        raise typer.Exit(INTERRUPTED) from None


def say_stopped(end: KeyboardInterrupt, kept: str = NOTHING_WRITTEN) -> None:
    """Say that a command was interrupted, and what is kept."""
    say(f"barwright: stopped; {end.args[0] if end.args else kept}")
