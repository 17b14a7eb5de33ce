"""One design of a sweep: the content of its file on disk."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal

from pydantic import Field

from fea.solid.linear_solver import SolverName
from geometry.grading import LevelName
from studies.files.provenance import Provenance, is_current, provenance
from studies.files.version import barwright_version
from studies.records.assessed import EVERY, OF_LIMITS, Part, Parts
from studies.records.base import Record
from studies.records.case import ResultsRecord
from studies.records.gauge_measures import gauge_measures_of
from studies.records.measures import ALL_MEASURES, Measure, governing
from studies.study_file.study import Study

FORMAT: Literal["barwright-design"] = "barwright-design"
FORMAT_VERSION: Literal[3] = 3

Status = Literal["computed", "invalid input", "failed", "worker failed"]
"""Invalid input: not possible; failed: not solved; worker failed: its process died."""

NAMING = ("name", "title")
"""Keys of a study that name it and move no figure."""


@dataclass(frozen=True)
class Job:
    """A design to compute, as it travels to a worker.

    Attributes:
        number: Its place in the plan, from 0.
        key: Hash of its inputs.
        table: The study's table with the changes made, as JSON.
        file: Path of the study file, for messages.
        level: Mesh level.
        solver: Which direct solver.
        cases: Ids of the cases to compute; none for all.
        changes: What makes the design, in words.
        without: Parts of the assessment that no figure kept needs.
    """

    number: int
    key: str
    table: str
    file: str
    level: LevelName
    solver: SolverName
    cases: tuple[str, ...]
    changes: tuple[str, ...]
    without: tuple[Part, ...] = ()


class DesignRow(Record):
    """A design that is finished, one way or another."""

    format: Literal["barwright-design"] = FORMAT
    format_version: Literal[3] = FORMAT_VERSION
    key: str
    changes: list[str]
    status: Status
    reason: str = Field(description="Why there are no figures; empty where there are.")
    traceback: str = Field("", description="Of a fault in the program itself.")
    barwright_version: str
    sources_sha256: str = Field(description="Of the sources that move its figures.")
    libraries: dict[str, str] = Field(description="Numerical libraries and their versions.")
    mesh_level: str
    dofs: int | None = None
    solver: str = ""
    seconds: dict[str, float] = Field(default_factory=dict)
    memory_mb: float | None = Field(None, description="Most that the process held until then.")
    bar: dict[str, float | None] = Field(default_factory=dict)
    governing_limit: str = ""
    governing_case: str = ""
    cases: dict[str, dict[str, float | None]] = Field(default_factory=dict)
    not_assessed: list[str] = Field(
        default_factory=list, description="What no figure that is kept needed."
    )


def key_of(
    table: Mapping[str, Any],
    level: LevelName,
    cases: tuple[str, ...],
    without: tuple[Part, ...] = (),
) -> str:
    """Return the hash of a design's inputs; what computed it stands in its row.

    A design `without` parts of the assessment is another one, for it has fewer figures.
    """
    inputs = {name: value for name, value in table.items() if name not in NAMING}
    left_out = [sorted(without)] if without else []
    everything = [FORMAT_VERSION, level, sorted(cases), inputs, *left_out]
    return sha256(json.dumps(everything, sort_keys=True, default=str).encode()).hexdigest()


def made_here(row: DesignRow) -> bool:
    """Return whether a row is what this program and its libraries would compute."""
    return is_current("design", Provenance(row.sources_sha256, row.libraries))


def unneeded(measures: Iterable[Measure]) -> tuple[Part, ...]:
    """Return the parts of the assessment that none of these measures needs."""
    needed = frozenset[Part]().union(*(measure.needs for measure in measures))
    return tuple(sorted(OF_LIMITS - needed))


def parts_of(job: Job, study: Study) -> Parts:
    """Return what is assessed of a design.

    No row tells of other clamp stiffnesses; only the range of a life rests on them.
    """
    parts = EVERY.difference(job.without)
    is_repeated = study.fatigue.spectrum or any(placed.case.cycle for placed in study.cases)
    return parts if Part.LIFE in parts and is_repeated else parts - {Part.CLAMP_STIFFNESS}


def computed_row(
    job: Job, record: ResultsRecord, seconds: float, memory_mb: float | None
) -> DesignRow:
    """Return the row of a design that was computed.

    Args:
        job: The design.
        record: What results.json of it would hold.
        seconds: What it took from its table to its figures.
        memory_mb: Most that the process has held.
    """
    measures = [m for m in ALL_MEASURES if m.needs.isdisjoint(job.without)]
    measures += gauge_measures_of(record.cases)
    first = None if job.without else governing(record)
    return DesignRow(
        key=job.key,
        changes=list(job.changes),
        status="computed",
        reason="",
        **_made_by(record.study.solver),
        mesh_level=job.level,
        dofs=record.study.mesh.dofs,
        solver=record.study.solver,
        seconds={"whole": seconds, **record.study.seconds},
        memory_mb=memory_mb,
        bar={
            "mass_g": record.bar.mass_g,
            "governing_factor": first.factor if first else None,
            "repeated_factor": record.fatigue.low_factor if record.fatigue else None,
        },
        governing_limit=first.limit if first else "",
        governing_case=first.case if first else "",
        cases={case.id: {m.key: m.of(case) for m in measures} for case in record.cases},
        not_assessed=list(job.without),
    )


def unfinished_row(job: Job, status: Status, reason: str, traceback: str = "") -> DesignRow:
    """Return the row of a design that has no figures, and why."""
    return DesignRow(
        key=job.key,
        changes=list(job.changes),
        status=status,
        reason=reason,
        traceback=traceback,
        **_made_by(),
        mesh_level=job.level,
    )


def _made_by(solver: str = "") -> dict[str, Any]:
    made = provenance("design", solver)
    return {
        "barwright_version": barwright_version(),
        "sources_sha256": made.sources_sha256,
        "libraries": dict(made.libraries),
    }
