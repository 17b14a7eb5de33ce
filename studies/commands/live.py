"""`barwright live`: answers every save of a study file."""

from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from studies.commands.computing import check_solver
from studies.commands.options import DirectSolver, MeshLevel, ResultsFolder, Solver, StudyFile
from studies.commands.output import CAUTION, printable, say

if TYPE_CHECKING:
    from studies.live.session import Answer

TITLE, CELL = 22, 19
"""Columns of a case's title, and of a figure with its change."""

WHOLE, ROUGH = "whole assessment", "rough mesh; elastic buckling, clamps and fatigue later"


def live(  # noqa: PLR0913 each is an option of the command
    study: StudyFile,
    *,
    out: ResultsFolder = None,
    mesh: MeshLevel = None,
    case: Annotated[
        list[str] | None, typer.Option(help="Answer this case only; may be given again.")
    ] = None,
    solver: DirectSolver = Solver.AUTO,
    port: Annotated[int, typer.Option(min=0, max=65535, help="Port; 0 for any that is free.")] = 0,
    open_: Annotated[bool, typer.Option("--open/--no-open", help="Open the page.")] = True,
) -> None:
    """Answer every save of a study file, until Ctrl-C.

    Table and page follow at once on a rough mesh, the whole assessment behind; its results are
    written as `run` writes them, without pictures. The page is served on 127.0.0.1 alone.
    """
    import webbrowser
    from threading import Event

    from studies.files.recovery import held
    from studies.files.results_folder import landed
    from studies.live.board import Board
    from studies.live.server import serving
    from studies.live.session import Ends, Task, follow_file
    from studies.study_file.chosen_cases import require_cases, with_cases
    from studies.study_file.study import read_study

    read = with_cases(read_study(study), case)
    require_cases(read)
    check_solver(solver.value)
    folder = out or Path("results") / read.name
    task = Task(study, case, folder, mesh.value if mesh else None, solver.value)
    board = Board()
    ends = Ends(board, _tell, lambda words: say(f"barwright: {words}"))
    with held(folder, study.name), serving(board, port) as address:
        say(f"live at {address}\nSave {study} to have it answered; Ctrl-C ends.\n{CAUTION}")
        if open_:
            webbrowser.open(address)
        with suppress(KeyboardInterrupt):
            follow_file(task, ends, Event())
    kept = f"; the last whole results are in {folder}" if landed(folder) else ""
    say(f"barwright: ended{kept}")


def _tell(answer: "Answer") -> None:
    """Print the table of an answer: a line a case, with the change against the answer before."""
    from studies.page.live_page import HEADS, live_rows

    kind = WHOLE if answer.whole else ROUGH
    lines = ["", f"{answer.record.bar.mass_g:.0f} g, {answer.seconds:.1f} s, {kind}"]
    heads = zip(*HEADS[:-1], strict=True)
    lines += [" " * TITLE + "".join(f"{one:>{CELL}}" for one in head) for head in heads]
    for row in live_rows(answer.record, answer.before, whole=answer.whole):
        *figures, last = row.figures
        cells = (f"{one.text} {one.change:>8}" for one in figures)
        lines.append(f"{row.title[: TITLE - 1]:<{TITLE}}" + "".join(f"{c:>{CELL}}" for c in cells))
        if answer.whole:
            lines.append(f"  {', '.join(filter(None, (f'{last.text} x load', last.place)))}")
    typer.echo(printable("\n".join(lines)))
