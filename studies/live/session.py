"""One study, answered whenever its file is saved: at once on a rough mesh, then whole behind."""

from collections.abc import Callable, Sequence
from concurrent.futures import Future
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Event
from time import perf_counter

from fea.solid.assembly import PatternMaker, remembering
from fea.solid.linear_solver import SolverName
from geometry.errors import InputError, MeshError, SolveError
from geometry.grading import LevelName
from studies.assessment.run import StudyRun, run_study
from studies.files.results_folder import REPORT_FILE
from studies.files.worker_process import Aside, answer_in, one_thread_each
from studies.live.board import Board
from studies.live.refining import Refined, SupersededError, Wanted, file_sha256, refined
from studies.page.live_page import live_html
from studies.records.case import ResultsRecord
from studies.results.record import results_record
from studies.study_file.chosen_cases import require_cases, with_cases
from studies.study_file.errors import StudyError
from studies.study_file.study import Study, read_study

POLL_S = 0.05
"""Between two looks at the file."""

SETTLED_S = 0.05
"""An editor may write in two steps: a file counts once it stays the same for so long."""

ROUGH = (
    "Rough mesh: deflection within 0.2 %, peak stress within 3 % of the whole run as a rule. "
    "Not yet assessed: elastic buckling, clamps, fatigue."
)
FOLLOWS = " The whole assessment follows."

FAULTS = (StudyError, InputError, MeshError, SolveError)


@dataclass(frozen=True)
class Task:
    """What is watched, and how it is computed.

    Attributes:
        path: The study file.
        cases: Ids of the cases that count, None for all.
        folder: Of the whole results.
        level: Mesh level of the whole answer, the study's where it is None.
        solver: Which direct solver.
    """

    path: Path
    cases: Sequence[str] | None
    folder: Path
    level: LevelName | None
    solver: SolverName


@dataclass(frozen=True)
class Answer:
    """An answer for the terminal.

    Attributes:
        record: What results.json would hold.
        before: The answer before, on the same mesh; None for the first.
        whole: Whether it is the whole assessment on the study's mesh.
        seconds: From the save to the page.
    """

    record: ResultsRecord
    before: ResultsRecord | None
    whole: bool
    seconds: float


@dataclass(frozen=True, eq=False)
class Ends:
    """Where answers go.

    Attributes:
        board: Shows pages.
        tell: Called with each answer.
        complain: Called with what is wrong with the file, or with the numbers.
    """

    board: Board
    tell: Callable[[Answer], None]
    complain: Callable[[str], None]


@dataclass(frozen=True, eq=False)
class _Now:
    """What is known of the file; every save makes another.

    Attributes:
        sha256: Of the file as answered last, empty before the first.
        since: When that was seen.
        rough: The rough answers, the last one last; at most two.
        whole: The whole answers, likewise.
        wanted: What is to be refined next, at most one.
        running: What is being refined, at most one.
    """

    sha256: str = ""
    since: float = 0.0
    rough: tuple[tuple[StudyRun, ResultsRecord], ...] = ()
    whole: tuple[ResultsRecord, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    running: "tuple[Future[str], ...]" = ()


def follow_file(task: Task, ends: Ends, ended: Event) -> None:
    """Answer every save of a study file until `ended` is set.

    Raises:
        SolveError: The process beside this one has ended.
    """
    now, pattern_of = _Now(), remembering()
    with ExitStack() as stack, one_thread_each():
        aside = Aside(stack)
        while not ended.wait(POLL_S):
            if sha256 := _saved(task.path, now.sha256, ended):
                now = replace(now, sha256=sha256, since=perf_counter(), wanted=())
                now = _at_once(task, now, ends, pattern_of)
            if any(future.done() for future in now.running):
                now = _taken(task, now, ends)
            if now.wanted and not now.running:
                running = tuple(aside.submit(refined, one) for one in now.wanted)
                now = replace(now, running=running, wanted=())


def _saved(path: Path, known: str, ended: Event) -> str:
    """Return the hash of a file that is another and stays so for a moment, else nothing."""
    sha256 = file_sha256(path)
    if not sha256 or sha256 == known:
        return ""
    ended.wait(SETTLED_S)
    return sha256 if file_sha256(path) == sha256 else ""


def _at_once(task: Task, now: _Now, ends: Ends, pattern_of: PatternMaker) -> _Now:
    """Answer on a rough mesh, or say what is wrong with the file."""
    try:
        study = with_cases(read_study(task.path), task.cases)
        require_cases(study)
        run = run_study(study, "preview", task.solver, pattern_of=pattern_of, parts=frozenset())
    except FAULTS as error:
        now = _with_problem(now, ends, str(error))
        ends.complain(str(error))
        return now
    record = results_record(run)
    now = replace(now, rough=(*now.rough[-1:], (run, record)))
    ends.board.show(_rough_page(now, ends.board.next_version))
    before = now.rough[-2][1] if len(now.rough) > 1 else None
    ends.tell(Answer(record, before, whole=False, seconds=perf_counter() - now.since))
    return replace(now, wanted=(_wanted(task, now, study, ends.board.next_version),))


def _rough_page(now: _Now, version: int, problem: str = "") -> str:
    run, record = now.rough[-1]
    before = now.rough[-2][1] if len(now.rough) > 1 else None
    state = ROUGH if problem else ROUGH + FOLLOWS
    return live_html(
        run, record, before, whole=False, version=version, state=state, problem=problem
    )


def _with_problem(now: _Now, ends: Ends, problem: str) -> _Now:
    """Show the last answer again with what is wrong with the file now."""
    if now.rough:
        ends.board.show(_rough_page(now, ends.board.next_version, problem))
    return now


def _wanted(task: Task, now: _Now, study: Study, version: int) -> Wanted:
    before = now.whole[-1].model_dump_json() if now.whole else ""
    return Wanted(study, now.sha256, task.folder, task.level, task.solver, before, version)


def _taken(task: Task, now: _Now, ends: Ends) -> _Now:
    """Show a whole answer, unless the file has been saved again."""
    future, now = now.running[0], replace(now, running=())
    try:
        found: Refined = answer_in(future)
    except SupersededError:
        return now
    except BrokenProcessPool:
        words = "the process of the whole assessment ended, mostly for want of memory; start again"
        raise SolveError(words) from None
    except FAULTS as error:
        ends.complain(str(error))
        return now
    record = ResultsRecord.model_validate_json(found.record)
    if record.study.sha256 != now.sha256:
        return now
    ends.board.show(found.page, (task.folder / REPORT_FILE).read_text(encoding="utf-8"))
    before = now.whole[-1] if now.whole else None
    ends.tell(Answer(record, before, whole=True, seconds=perf_counter() - now.since))
    return replace(now, whole=(record,))
