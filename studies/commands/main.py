"""The `barwright` command: its subcommands, and exit codes for what goes wrong."""

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import copy_context
from errno import EDQUOT, EFBIG, ENOSPC
from threading import current_thread, main_thread
from types import FrameType
from typing import Annotated

import typer

from geometry.errors import InputError, MeshError, SolveError
from studies.commands.cases import cases
from studies.commands.check import check
from studies.commands.collapse import collapse
from studies.commands.compare import compare
from studies.commands.exit_codes import BAD_INPUT, INTERRUPTED, NUMERICAL_FAILURE, PIPE_CLOSED
from studies.commands.interrupted import say_stopped
from studies.commands.live import live
from studies.commands.materials import materials
from studies.commands.new import new
from studies.commands.optimise import optimise
from studies.commands.output import problem_lines, say
from studies.commands.plan import plan
from studies.commands.press import press
from studies.commands.renamed import refuse_renamed
from studies.commands.run import run
from studies.commands.schema import schema
from studies.commands.specimens import specimens
from studies.commands.sweep import sweep
from studies.commands.view import view
from studies.study_file.errors import StoppedError, StudyError

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,  # plain help: nothing to load, nothing drawn round it
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _version(given: bool) -> None:
    if given:
        from studies.files.version import barwright_version

        typer.echo(f"barwright {barwright_version()}")
        raise typer.Exit


@app.callback()
def barwright(
    *,
    version: Annotated[
        bool, typer.Option("--version", help="Print the version.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    """Finite-element studies of thin-walled metal bars.

    Begin with: barwright new my-bar
    """


for command in (
    check,
    run,
    live,
    collapse,
    sweep,
    optimise,
    compare,
    plan,
    press,
    specimens,
    view,
    cases,
    materials,
    new,
    schema,
):
    app.command()(command)


def main(arguments: list[str] | None = None) -> int:
    """Run the command line and return its exit code.

    0 computed, 1 a limit set by the user not met, 2 bad input, 3 a numerical failure,
    130 interrupted, 141 nobody reads the output any more. Anything else is a bug and
    passes with its traceback.
    """
    _prepare_streams()
    _use_one_thread_for_small_products()
    try:
        with _termination_interrupts():
            # what a command chooses for its output ends with it
            code = copy_context().run(_answered, arguments)
            sys.stdout.flush()
    except BrokenPipeError:
        code = _pipe_closed()
    except OSError as error:
        code = _no_room(error)
    except KeyboardInterrupt as end:
        say_stopped(end)
        code = INTERRUPTED
    except Exception as error:
        # pydantic wraps one that comes while it builds a class
        if "KeyboardInterrupt" not in str(error):
            raise
        say_stopped(KeyboardInterrupt())
        code = INTERRUPTED
    return code


def _use_one_thread_for_small_products() -> None:
    """Let numpy's linear algebra use one thread, where the environment does not say how many.

    Its products here are many and small: other threads wait for them in a loop, which costs half
    as much processor time again, and minutes where other programs want the cores. It reads this
    when it is loaded. PARDISO has threads of its own; CHOLMOD gains nothing from others.
    """
    if not any(name in os.environ for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS")):
        os.environ["OPENBLAS_NUM_THREADS"] = "1"


@contextmanager
def _termination_interrupts() -> Iterator[None]:
    """Let SIGTERM end a command as Ctrl-C does: what is finished is kept, and said."""
    if current_thread() is not main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, _interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _interrupt(number: int, frame: FrameType | None) -> None:
    raise KeyboardInterrupt


def _answered(arguments: list[str] | None) -> int:
    try:
        return _run(arguments)
    except StudyError as error:
        say(problem_lines(str(error.path), error.problems))
        return BAD_INPUT
    except InputError as error:
        say(problem_lines("", error.problems))
        return BAD_INPUT
    except (MeshError, SolveError, StoppedError) as error:
        say(f"barwright: {error}")
        return NUMERICAL_FAILURE


def _run(arguments: list[str] | None) -> int:
    """Return the exit code that typer would end the process with."""
    refuse_renamed(sys.argv[1:] if arguments is None else arguments)
    try:
        typer.main.get_command(app)(arguments, prog_name="barwright")
    except SystemExit as end:
        behind = end.__context__
        if isinstance(behind, BrokenPipeError):
            raise BrokenPipeError from None
        if behind and isinstance(behind.__cause__, KeyboardInterrupt):
            raise behind.__cause__ from None  # typer ends with 130 and says nothing
        return end.code if isinstance(end.code, int) else 0
    return 0


def _pipe_closed() -> int:
    _let_nothing_more_be_written()
    return PIPE_CLOSED


def _no_room(error: OSError) -> int:
    """Say that the output has no room; a results folder is told of where it is written.

    Raises:
        OSError: It is another error, which is a bug.
    """
    if error.errno not in (ENOSPC, EDQUOT, EFBIG):
        raise error
    _let_nothing_more_be_written()
    reason = os.strerror(error.errno).lower()
    say(f"barwright: the output cannot be written ({reason}); make room, or send it elsewhere")
    return BAD_INPUT


def _let_nothing_more_be_written() -> None:
    """Close standard output, of which Python would complain when it ends."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


def _prepare_streams() -> None:
    """Open what was closed, and show a question mark where a character set lacks a sign."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, os.fdopen(os.open(os.devnull, os.O_WRONLY), "w"))
        reconfigure = getattr(getattr(sys, name), "reconfigure", None)
        if reconfigure:
            reconfigure(errors="replace")
