"""The designs of a preview, computed on a mesh of their own: rough, for only ratios are used."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from fea.solid.assembly import remembering
from fea.solid.linear_solver import SolverName
from geometry.arrays import Floats
from geometry.bar import nominal_wall_mm
from studies.preview.first_wrinkle import StressedRings, first_wrinkles, stressed_rings
from studies.preview.grid import Grid, fields_of, grid_of, sampled, sampling
from studies.preview.readings import DesignReading, Parts, read_design
from studies.preview.rough_run import RoughRun, rough_run
from studies.preview.stretches import stretch_ends_mm, stretch_of
from studies.preview.walls import Design, WallGroup, designs, wall_groups
from studies.study_file.study import Study

FieldValues = dict[str, Floats]


@dataclass(frozen=True, eq=False)
class Snapshot:
    """A computed design.

    Attributes:
        factors: On the walls of each group.
        reading: Figures and utilisation.
        local_buckling: Of each case, part by part.
        fields: Of each case by name, (L A, k) on the grid.
    """

    factors: tuple[float, ...]
    reading: DesignReading
    local_buckling: tuple[Parts, ...]
    fields: tuple[FieldValues, ...]


@dataclass(frozen=True, eq=False)
class Snapshots:
    """All designs of a preview.

    Attributes:
        groups: Walls that change together.
        grid: Of all of them.
        first_share: (L,) share of the wall at each line of the grid that is the first group's.
        taken: The study itself first, and last the one that the fit is judged by.
    """

    groups: tuple[WallGroup, ...]
    grid: Grid
    first_share: Floats
    taken: tuple[Snapshot, ...]


@dataclass(frozen=True, eq=False)
class _Made:
    """What is kept of a design until all are computed."""

    reading: DesignReading
    rings: tuple[StressedRings, ...]
    grid: Grid
    fields: tuple[FieldValues, ...]


def take_snapshots(study: Study, solver: SolverName = "auto") -> Snapshots:
    """Return the designs of a study's preview.

    Raises:
        StudyError: The bar can be made with no other wall.
        MeshError, SolveError: As a run.
    """
    groups, ends_mm = wall_groups(study), stretch_ends_mm(study)
    pattern_of, every, made = remembering(), designs(study, groups), list[_Made]()
    for design in every:
        run = rough_run(design.study, solver, pattern_of)
        grid = made[0].grid if made else grid_of(run.model.mesh.sheet)
        made.append(_made(run, grid, ends_mm))
    wrinkles = first_wrinkles([one.rings for one in made])
    taken = tuple(
        Snapshot(design.factors, one.reading, wrinkle, one.fields)
        for design, one, wrinkle in zip(every, made, wrinkles, strict=True)
    )
    grid = made[0].grid
    return Snapshots(groups, grid, _first_share(every, grid.s_mm), taken)


def _made(run: RoughRun, grid: Grid, ends_mm: Floats) -> _Made:
    """Return what is kept of a design."""
    sheet = run.model.mesh.sheet
    stretch, at_grid = stretch_of(ends_mm, sheet.nodes[:, 0]), sampling(grid, sheet)
    reading = read_design(run, stretch)
    fields = tuple(
        {name: sampled(at_grid, grid, values) for name, values in fields_of(*one).items()}
        for one in zip(run.cases, reading.cases, strict=True)
    )
    rings = tuple(stressed_rings(run, case, stretch) for case in run.cases)
    return _Made(reading, rings, grid, fields)


def wall_ratio(snapshots: Snapshots, factors: Sequence[float]) -> Floats:
    """Return (L,) the wall over the study's own at each line of the grid."""
    last = factors[-1]
    return np.asarray(last + (factors[0] - last) * snapshots.first_share)


def _first_share(every: Sequence[Design], s_mm: Floats) -> Floats:
    """Return (L,) the share of the wall that the first group's factor multiplies."""
    own = nominal_wall_mm(every[0].study.bar, s_mm)
    if len(every[0].factors) == 1:
        return np.ones_like(own)
    # of the others some have two different factors
    other = next(one for one in every if one.factors[0] != one.factors[1])
    first, last = other.factors
    ratio = nominal_wall_mm(other.study.bar, s_mm) / own
    return np.asarray((ratio - last) / (first - last))
