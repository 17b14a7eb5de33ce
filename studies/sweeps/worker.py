"""What a worker process does: one design after the other, from its table to its row.

Nothing heavy is imported before a design comes, so that a worker is there at once and reads how
many threads it may use before the libraries that ask for it.
"""

import threading
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fea.solid.assembly import PatternMaker
    from studies.sweeps.rows import DesignRow, Job

_ONE_AT_A_TIME = threading.Lock()
"""gmsh holds one model for a process, and a worker of a cluster may have several threads."""


def compute(job: "Job") -> str:
    """Return the row of a design as JSON; what is wrong with the design is in it.

    So is a fault of the program itself, with its traceback, so that the sweep goes on.
    """
    with _ONE_AT_A_TIME:
        return _row(job).model_dump_json()


def _row(job: "Job") -> "DesignRow":
    from traceback import format_exc

    from geometry.errors import InputError, MeshError, SolveError
    from studies.study_file.errors import StudyError
    from studies.sweeps.rows import unfinished_row

    try:
        return _computed(job)
    except (StudyError, InputError) as error:
        return unfinished_row(job, "invalid input", "; ".join(map(str, error.problems)))
    except (MeshError, SolveError) as error:
        return unfinished_row(job, "failed", str(error))
    except MemoryError:
        return unfinished_row(
            job, "worker failed", "there was not enough memory; use fewer workers"
        )
    except Exception as error:  # noqa: BLE001 one design must not end a night of them
        reason = f"a fault of the program: {type(error).__name__}: {error}"
        return unfinished_row(job, "failed", reason, format_exc())


def _computed(job: "Job") -> "DesignRow":
    import json
    from pathlib import Path
    from time import perf_counter

    from studies.assessment.run import run_study
    from studies.results.record import results_record
    from studies.study_file.chosen_cases import with_cases
    from studies.study_file.study import study_from_table
    from studies.sweeps.rows import computed_row, parts_of

    start = perf_counter()
    study = study_from_table(json.loads(job.table), Path(job.file), job.key)
    study = with_cases(study, job.cases)
    parts = parts_of(job, study)
    run = run_study(study, job.level, job.solver, pattern_of=_kept_pattern(), parts=parts)
    record = results_record(run)
    return computed_row(job, record, perf_counter() - start, _memory_mb())


@cache
def _kept_pattern() -> "PatternMaker":
    """Return what keeps the pattern of the last mesh: most designs of a sweep share it."""
    from fea.solid.assembly import remembering

    return remembering()


def _memory_mb() -> float | None:
    """Return the most memory that this process has held, None where the system does not say."""
    import re
    import sys
    from pathlib import Path

    status = Path("/proc/self/status")
    if status.exists():
        # a process that another one spawned begins Linux's getrusage with that other one's memory
        most_kb = re.search(r"^VmHWM:\s+(\d+) kB", status.read_text(encoding="ascii"), re.MULTILINE)
        return int(most_kb[1]) / 2**10 if most_kb else None
    if sys.platform == "win32":
        return None
    import resource

    # in bytes on macOS
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
