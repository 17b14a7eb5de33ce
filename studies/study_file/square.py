"""The square bar beside one that is out of square: both halves as the better one."""

from collections.abc import Mapping
from copy import deepcopy
from typing import Any

from geometry.centreline import CentreLine
from geometry.out_of_square import Turned, differences_mm
from studies.study_file.chosen_cases import with_cases
from studies.study_file.study import Study
from studies.study_file.variants import PLANS, of_table

COURSE = ("points_mm", "bend_radii_mm", "bends", "tail_mm", "shape", "bend_names")
"""Keys of a half that say where it goes; its diameters and walls stay its own."""


def square_study(study: Study) -> Study | None:
    """Return the study with its square bar, None where nothing is out of square.

    Raises:
        StudyError: The square bar is not possible.
    """
    turned = study.bar_spec.turned
    if turned is None or not _is_off(turned):
        return None
    table = {key: value for key, value in study.table.items() if key not in PLANS}
    table["bar"] = _square_bar(study.table["bar"], turned.readings.side)
    square = of_table(study, table, "square")
    return with_cases(square, [placed.case.id for placed in study.cases])


def read_back_mm(line: CentreLine, turned: Turned) -> tuple[float, float, float]:
    """Return height, fore-aft and length of the end that deviates, of the bar as it is computed."""
    return differences_mm(line, turned.readings.side)


def _is_off(turned: Turned) -> bool:
    return any((*turned.plane_deg, *turned.angle_deg, turned.tail_mm))


def _square_bar(bar: Mapping[str, Any], side: str) -> dict[str, Any]:
    """Return the table of a bar whose half on `side` is the mirror image of the other."""
    square = deepcopy(dict(bar))
    del square["out_of_square"]
    if "left" in square:
        better = "right" if side == "left" else "left"
        kept = {key: value for key, value in square[side].items() if key not in COURSE}
        square[side] = {**kept, **mirrored_course(square[better])}
    return square


def mirrored_course(half: Mapping[str, Any]) -> dict[str, Any]:
    """Return the course of the mirror image of a half: only points have a sign of x."""
    course = {key: half[key] for key in COURSE if key in half}
    if "points_mm" in course:
        course["points_mm"] = [[-x + 0.0, y, z] for x, y, z in course["points_mm"]]
    return course
