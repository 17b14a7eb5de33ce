"""The cases with a path past yield, and its control."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from geometry.errors import InputError, Problem, refuse
from geometry.grading import LevelName
from geometry.limits import number_problem, unknown_name
from loadcases.case import PlacedCase, is_sustained
from loadcases.path_control import (
    PATH_LIMITS,
    PathControl,
    default_path_control,
    held_loads,
    only_moments,
    travel_problem,
)
from studies.study_file.study import Study


def requested_path_controls(
    study: Study,
    ids: Sequence[str] = (),
    displacement_mm: float | None = None,
    imperfection_percent: float | None = None,
    mesh: LevelName | None = None,
    knock_down_percent: Sequence[float] = (),
) -> Mapping[str, PathControl]:
    """Return how far the loads of cases grow, by the case's id, in the study's order.

    Args:
        study: The study.
        ids: Cases; where none is named those with a `collapse` table, else those that come once,
            else all that are not steady.
        displacement_mm: Deflection to trace to, over what the study says.
        imperfection_percent: Amplitude of the wall's imperfection, likewise.
        mesh: Fineness of the paths' mesh, likewise.
        knock_down_percent: Amplitudes of further paths, likewise; none for what the study says.

    Raises:
        InputError: No case has that id, or a value lies outside its limits.
    """
    _check(study, ids, displacement_mm, imperfection_percent)
    _check_amplitudes("--knock-down", knock_down_percent)
    found = {}
    for placed in _chosen(study, ids):
        path_control = study.path_controls.get(placed.case.id) or PathControl(
            default_path_control(held_loads(placed), study.bar, study.clamp)
        )
        if displacement_mm is not None:
            if only_moments(held_loads(placed)):
                sentence = (
                    f"is {displacement_mm:g} mm, but {placed.case.id} has moments alone and is "
                    "followed by its rotation; give rotation_deg in its table cases.collapse, or "
                    "name others by --case"
                )
                raise refuse("--displacement-mm", sentence)
            if beyond := travel_problem(placed, study.bar, study.clamp, displacement_mm):
                raise refuse("--displacement-mm", beyond)
            path_control = replace(path_control, displacement=displacement_mm)
        if imperfection_percent is not None:
            path_control = replace(path_control, imperfection_percent=imperfection_percent)
        amplitudes = tuple(knock_down_percent) or path_control.knock_down_percent
        found[placed.case.id] = replace(
            path_control, mesh=mesh or path_control.mesh, knock_down_percent=amplitudes
        )
    return found


def knock_downs(path_control: PathControl) -> tuple[PathControl, ...]:
    """Return the further paths for the knock-down factor of each amplitude of an imperfection.

    Ripples need a finer mesh, which by itself lowers a limit load by wrinkling, so the perfect wall
    is traced on it too: with no amplitude.
    """
    if not path_control.knock_down_percent:
        return ()
    return tuple(
        replace(
            path_control,
            unload_at=(),
            knock_down_percent=(),
            imperfection_percent=percent,
            rippled=True,
        )
        for percent in sorted({0.0, *path_control.knock_down_percent})
    )


def _chosen(study: Study, ids: Sequence[str]) -> Sequence[PlacedCase]:
    cases = [placed.case for placed in study.cases]
    once = [case.id for case in cases if case.cycle is None]
    repeated = [case.id for case in cases if not is_sustained(case)]
    named = ids or list(study.path_controls) or once or repeated
    return [placed for placed in study.cases if placed.case.id in named]


def _check(
    study: Study, ids: Sequence[str], displacement_mm: float | None, percent: float | None
) -> None:
    known = [placed.case.id for placed in study.cases]
    found: list[Problem | None] = [
        unknown_name("--case", "case", name, known) for name in ids if name not in known
    ]
    if displacement_mm is not None:
        found.append(
            number_problem("--displacement-mm", displacement_mm, PATH_LIMITS["displacement_mm"])
        )
    if percent is not None:
        _check_amplitudes("--imperfection", [percent])
    problems = [problem for problem in found if problem]
    if problems:
        raise InputError(*problems)


def _check_amplitudes(field: str, percent: Sequence[float]) -> None:
    limits = PATH_LIMITS["imperfection_percent"]
    problems = [problem for one in percent if (problem := number_problem(field, one, limits))]
    if problems:
        raise InputError(*problems)
