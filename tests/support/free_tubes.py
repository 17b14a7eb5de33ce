"""Free straight tubes that are bent past yield until their moment falls."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np

from fea.collapse.equilibrium import Point
from fea.collapse.imperfection import Imperfection
from fea.collapse.initial_state import prepared
from fea.collapse.path import Plan, Position, plan_path, start_position, traced
from fea.collapse.path_model import PathModel, path_model_of
from fea.collapse.reading import Reading, reader_of, reading_of
from fea.collapse.step_length import pace_of
from fea.solid.linear_solver import pivoting
from studies.study_file.study import Study, study_from_table

FALLEN = 0.995
"""Of the largest moment, at which a tube has passed it."""

MOST_STEPS = 60


@dataclass(frozen=True, eq=False)
class Passed:
    """The largest moment of a tube.

    Attributes:
        moment_nmm: Of the middle cross-section, in the deformed shape.
        fell: Whether the moment fell after it.
        reading: There.
    """

    moment_nmm: float
    fell: bool
    reading: Reading


def third_point(od_mm: float, wall_mm: float, span_mm: float) -> dict[str, Any]:
    """Return the table of a tube under rings of load, half a diameter long, at its third points."""
    places = ((-0.5, 1000), (0.5, 1000), (-1 / 6, -1000), (1 / 6, -1000))
    loads = [
        {"at_mm": at * span_mm, "force_n": [0, 0, force], "band_mm": od_mm / 2}
        for at, force in places
    ]
    return _table(od_mm, wall_mm, span_mm / 2 + od_mm, loads)


def couples(od_mm: float, wall_mm: float, length_mm: float) -> dict[str, Any]:
    """Return the table of a tube with a couple on a ring at either end."""
    loads = [
        {"at_mm": sign * length_mm / 2, "moment_nmm": [0, -sign * 1e6, 0], "band_mm": od_mm / 2}
        for sign in (-1, 1)
    ]
    return _table(od_mm, wall_mm, length_mm / 2 + od_mm / 2, loads)


def largest_moment(
    table: Mapping[str, Any], most: float, imperfection: Imperfection | None = None
) -> Passed:
    """Return the largest moment of a tube within a deflection, in mm or rad."""
    path_model, positions, plan = traced_tube(table, most, imperfection)
    best, largest, fell = None, 0.0, False
    for position in islice(positions, MOST_STEPS):
        moment = middle_moment_nmm(path_model, position.point)
        if moment > largest:
            best, largest = position, moment
        elif moment < FALLEN * largest:
            fell = True
            break
    assert best is not None
    reading = reading_of(path_model, reader_of(path_model), best.point, plan.segments[0])
    return Passed(largest, fell, reading)


def middle_moment_nmm(path_model: PathModel, point: Point) -> float:
    """Return the bending moment at s = 0: of the loads on the right, about the origin."""
    points = path_model.model.mesh.points_mm + point.displacement.reshape(-1, 3)
    right = path_model.model.mesh.block[:, 0] > 0
    forces = point.factor * path_model.equations.load.reshape(-1, 3)
    # the forces on the right have no resultant along x, and the middle hardly rises
    return float(abs(np.cross(points[right], forces[right]).sum(axis=0)[1]))


def tube_study(table: Mapping[str, Any]) -> Study:
    """Return the study of a table."""
    return study_from_table(dict(table), Path("tube.toml"), "")


def traced_tube(
    table: Mapping[str, Any], most: float, imperfection: Imperfection | None = None
) -> tuple[PathModel, Iterator[Position], Plan]:
    """Return a tube, its positions as they are traced, and the plan."""
    study = tube_study(table)
    factorise = pivoting("auto")
    model = path_model_of(study.bar, study.clamp, study.cases[0].loads, imperfection=imperfection)
    path_model, start = prepared(model, "auto", factorise)
    plan = plan_path((), most, pace_of(path_model))
    positions = traced(path_model.equations, plan, start_position(plan, start), factorise)
    return path_model, positions, plan


def _table(od_mm: float, wall_mm: float, half_mm: float, loads: list[Any]) -> dict[str, Any]:
    return {
        "name": "tube",
        "bar": {
            "material": "al-6061-t6",
            "stations": [{"at_mm": 0, "od_mm": od_mm, "wall_mm": wall_mm}],
            "right": {"points_mm": [[0, 0, 0], [half_mm, 0, 0]]},
        },
        "clamp": {"model": "none"},
        "cases": [{"id": "bent", "loads": loads}],
    }
