"""From the `collapse` table of a case to how far its loads grow."""

from collections.abc import Mapping, Sequence
from math import radians

from geometry.errors import InputError, Problem
from loadcases.case import PlacedCase
from loadcases.clamp import Clamp
from loadcases.path_control import PathControl, default_path_control, only_moments, sustained_loads
from studies.study_file.format.case_tables import CollapseTable


def path_controls_of(
    tables: Sequence[CollapseTable | None], cases: Sequence[PlacedCase], clamp: Clamp
) -> Mapping[str, PathControl]:
    """Return how far the loads of cases grow, by the case's id.

    Args:
        tables: One for each case, None where its loads do not grow.
        cases: In the same order.
        clamp: The stem's.

    Raises:
        InputError: An end of the path in the wrong measure, or loads that stay and are none.
    """
    found, problems = {}, list[Problem]()
    for index, (table, placed) in enumerate(zip(tables, cases, strict=True)):
        if table is None:
            continue
        try:
            found[placed.case.id] = push_of(table, placed, cases, clamp)
        except InputError as error:
            problems += error.within(f"[{index}].collapse").problems
    if problems:
        raise InputError(*problems)
    return found


def push_of(
    table: CollapseTable, placed: PlacedCase, others: Sequence[PlacedCase], clamp: Clamp
) -> PathControl:
    """Return how far the loads of a case grow.

    Raises:
        InputError: See `path_controls_of`.
    """
    sustained, problems = sustained_loads(table.sustained, placed, others)
    problems += _end_problems(table, placed)
    if problems:
        raise InputError(*problems)
    return PathControl(
        displacement=_end(table) or default_path_control(placed.loads, clamp),
        unload_at=table.unload_at,
        sustained=sustained,
        preload=table.preload,
        mesh=table.mesh,
        shape=table.imperfection,
        imperfection_percent=table.imperfection_percent,
        knock_down_percent=table.knock_down_percent,
    )


def _end(table: CollapseTable) -> float | None:
    return table.displacement_mm if table.rotation_deg is None else radians(table.rotation_deg)


def _end_problems(table: CollapseTable, placed: PlacedCase) -> list[Problem]:
    if only_moments(placed.loads):
        sentence = (
            f"is {table.displacement_mm} mm, but the case has moments alone and is followed by its "
            "rotation; give rotation_deg instead"
        )
        return [] if table.displacement_mm is None else [Problem("displacement_mm", sentence)]
    sentence = (
        f"is {table.rotation_deg} deg, but the case has forces and is followed by its deflection; "
        "give displacement_mm instead"
    )
    return [] if table.rotation_deg is None else [Problem("rotation_deg", sentence)]
