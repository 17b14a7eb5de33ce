"""What is known of one design of a sweep: the content of its file on disk."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from hashlib import sha256
from typing import Any, Literal

from pydantic import Field

from fea.solid.linear_solver import SolverName
from geometry.grading import LevelName
from studies.files.version import barwright_version
from studies.records.base import Record
from studies.records.case import ResultsRecord
from studies.records.measures import ALL_MEASURES, governing

FORMAT: Literal["barwright-design"] = "barwright-design"
FORMAT_VERSION: Literal[3] = 3

Status = Literal["computed", "invalid input", "failed", "worker failed"]
"""Refused: its input is not possible; failed: it cannot be solved; lost: its process died."""

NAMING = ("name", "title")
"""Keys of a study that name it and move no figure."""


@dataclass(frozen=True)
class Job:
    """A design to compute, as it travels to a worker.

    Attributes:
        number: Its place in the plan, from 0.
        key: Hash of everything that its figures depend on.
        table: The study's table with the changes made, as JSON.
        file: Path of the study file, for messages.
        level: Mesh level.
        solver: Which direct solver.
        cases: Ids of the cases to compute; none for all.
        changes: What makes the design, in words.
    """

    number: int
    key: str
    table: str
    file: str
    level: LevelName
    solver: SolverName
    cases: tuple[str, ...]
    changes: tuple[str, ...]


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
    mesh_level: str
    dofs: int | None = None
    solver: str = ""
    seconds: dict[str, float] = Field(default_factory=dict)
    memory_mb: float | None = Field(None, description="Most that the process held until then.")
    bar: dict[str, float | None] = Field(default_factory=dict)
    governing_limit: str = ""
    governing_case: str = ""
    cases: dict[str, dict[str, float | None]] = Field(default_factory=dict)


def key_of(table: Mapping[str, Any], level: LevelName, cases: tuple[str, ...]) -> str:
    """Return the hash of everything that the figures of a design depend on."""
    inputs = {name: value for name, value in table.items() if name not in NAMING}
    everything = [FORMAT_VERSION, barwright_version(), level, sorted(cases), inputs]
    return sha256(json.dumps(everything, sort_keys=True).encode()).hexdigest()


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
    first = governing(record)
    return DesignRow(
        key=job.key,
        changes=list(job.changes),
        status="computed",
        reason="",
        barwright_version=barwright_version(),
        mesh_level=job.level,
        dofs=record.study.mesh.dofs,
        solver=record.study.solver,
        seconds={"whole": seconds, **record.study.seconds},
        memory_mb=memory_mb,
        bar={
            "mass_g": record.bar.mass_g,
            "governing_factor": first.factor,
            "repeated_factor": record.fatigue.low_factor if record.fatigue else None,
        },
        governing_limit=first.limit,
        governing_case=first.case,
        cases={case.id: {m.key: m.of(case) for m in ALL_MEASURES} for case in record.cases},
    )


def unfinished_row(job: Job, status: Status, reason: str, traceback: str = "") -> DesignRow:
    """Return the row of a design that has no figures, and why."""
    return DesignRow(
        key=job.key,
        changes=list(job.changes),
        status=status,
        reason=reason,
        traceback=traceback,
        barwright_version=barwright_version(),
        mesh_level=job.level,
    )
