"""What a single table of a study must obey beyond the kinds of its values.

The physical rules are geometry's own; here they are asked early, so that a mistake
in one table does not hide those of another.
"""

from typing import TYPE_CHECKING, TypeVar

from geometry.bend_table import (
    Bend,
    BendTable,
    Polyline,
    check_polyline,
    cut_length_mm,
    polyline_from_table,
    table_from_polyline,
)
from geometry.errors import InputError, Problem
from geometry.given_curve import curve_problems
from geometry.material import load_material
from geometry.section import Station, build_profile
from studies.study_file.format.values import TEXT_LENGTH, broken
from studies.study_file.format.wording import listed, shown, shown_key

if TYPE_CHECKING:
    from studies.study_file.format.bar_tables import HalfTable, MaterialTable, StationTable
    from studies.study_file.format.study_tables import CatalogueCaseTable, LeverTable, LoadTable
    from studies.study_file.format.sweep_tables import (
        SweepTable,
        TruncatedTable,
        UniformTable,
        VariedTable,
    )

Half = TypeVar("Half", bound="HalfTable")
Ends = TypeVar("Ends", "UniformTable", "TruncatedTable", "VariedTable")

MOST_HALF_MM = 1500.0
"""Three times what the widest bars have: beyond it a unit is wrong, or a point."""

WAYS_OF_SWEEP = ("values", "scale", "linspace", "uniform", "normal", "truncated")
"""How a sweep's values may be given."""

OWN_CASE_KEYS = frozenset({"id", "loads", "axes", "steerer_angle_deg"})
"""A case without `use` that has one of these is meant as one of your own."""


def stations_of(tables: "tuple[StationTable, ...]") -> tuple[Station, ...]:
    """Return geometry's stations of the file's."""
    return tuple(Station(table.at_mm, table.od_mm, table.wall_mm) for table in tables)


def polyline_of(half: "HalfTable", side: str) -> Polyline:
    """Return a half in geometry's sense: a left half by points is mirrored in x.

    Raises:
        InputError: The bend table cannot be built.
    """
    if half.bends is not None:
        rows = (Bend(b.straight_mm, b.rotation_deg, b.angle_deg, b.radius_mm) for b in half.bends)
        return polyline_from_table(BendTable(tuple(rows), half.tail_mm or 0.0))
    sign = 1.0 if side == "right" else -1.0
    # adding zero turns -0.0 into 0.0, which people do not want to read
    points = tuple((sign * x + 0.0, y, z) for x, y, z in half.points_mm or ())
    return Polyline(points, half.bend_radii_mm or ())


def in_terms_of_file(half: "HalfTable", problem: Problem) -> Problem:
    """Return a problem of a polyline at the key that the file holds: points or bends."""
    if half.bends is None:
        return problem
    name, bracket, rest = problem.field.partition("[")
    if not bracket or name not in {"points_mm", "bend_radii_mm"}:
        return problem
    index = int(rest.rstrip("]"))
    if name == "bend_radii_mm":
        return Problem(f"bends[{index}].radius_mm", problem.sentence)
    field = f"bends[{index - 1}]" if index <= len(half.bends) else "tail_mm"
    return Problem(field, problem.sentence)


def stations_possible(tables: "tuple[StationTable, ...]") -> "tuple[StationTable, ...]":
    """Refuse stations that do not ascend and walls that leave no bore."""
    try:
        build_profile(stations_of(tables), None, 0.0)
    except InputError as error:
        found = [Problem(p.field.removeprefix("stations"), p.sentence) for p in error.problems]
        raise broken(*found) from None
    return tables


def material_known(material_id: str) -> str:
    """Refuse an id that the catalogue does not hold."""
    try:
        load_material(material_id)
    except InputError as error:
        raise broken(*(Problem("", p.sentence) for p in error.problems)) from None
    return material_id


def strengths_ordered(table: "MaterialTable") -> "MaterialTable":
    """Refuse a tensile strength below the proof stress."""
    if table.ultimate_stress_mpa < table.proof_stress_mpa:
        sentence = (
            f"is {table.ultimate_stress_mpa:g} MPa, below the proof stress of "
            f"{table.proof_stress_mpa:g} MPa; exchange or correct the two"
        )
        raise broken(Problem("ultimate_stress_mpa", sentence))
    return table


def curve_possible(table: "MaterialTable") -> "MaterialTable":
    """Refuse a curve past yield that no metal has, or one that is given twice."""
    if problems := tuple(curve_problems(table.model_dump(exclude_none=True))):
        raise broken(*problems)
    return table


def one_way_of_shape(half: Half) -> Half:
    """Refuse a half by points and bends at once, and one by neither."""
    problems = _shape_problems(half)
    if problems:
        raise broken(*problems)
    return half


def right_bendable(half: Half) -> Half:
    """Refuse a right half that no tube can follow."""
    return _bendable(half, "right")


def left_bendable(half: Half) -> Half:
    """Refuse a left half that no tube can follow."""
    return _bendable(half, "left")


def load_placed(load: "LoadTable") -> "LoadTable":
    """Refuse a load without a place, with two, or without force and moment."""
    if problem := _place_problem(load):
        raise broken(problem)
    if not any(load.force_n) and not any(load.moment_nmm):
        raise broken(
            Problem("", "has neither force nor moment; give force_n or moment_nmm other than zero")
        )
    return load


def lever_placed(lever: "LeverTable") -> "LeverTable":
    """Refuse a lever's clamp without a place or with two."""
    if problem := _place_problem(lever):
        raise broken(problem)
    return lever


def parameters_plain(case: "CatalogueCaseTable") -> "CatalogueCaseTable":
    """Refuse parameters of a catalogue case that are neither a plain number nor a short text."""
    given = case.model_extra or {}
    found = [Problem(shown_key(key), said) for key, value in given.items() if (said := _odd(value))]
    found += [
        Problem(shown_key(key), "is no parameter of a case; use letters, digits and _")
        for key in given
        if shown_key(key) != key
    ]
    if "loads" in given:
        sentence = (
            "stands beside use; a catalogue case brings its own loads, so drop one of the two"
        )
        found = [Problem("loads", sentence)]
    if found:
        raise broken(*found)
    return case


def one_way_of_sweep(sweep: "SweepTable") -> "SweepTable":
    """Refuse a sweep with no values, or with values in two ways."""
    given = [key for key in WAYS_OF_SWEEP if getattr(sweep, key) is not None]
    if len(given) != 1:
        what = listed(given) if given else "no values"
        sentence = f"has {what}; give exactly one of {listed(list(WAYS_OF_SWEEP))}"
        raise broken(Problem("", sentence))
    return sweep


def ends_ascend(table: Ends) -> Ends:
    """Refuse an interval whose end does not lie above its beginning."""
    if not table.to > table.from_:
        sentence = f"is {table.to:g}, not above from = {table.from_:g}; exchange or correct the two"
        raise broken(Problem("to", sentence))
    return table


def _shape_problems(half: "HalfTable") -> list[Problem]:
    by_points = half.points_mm is not None or half.bend_radii_mm is not None
    by_bends = half.bends is not None or half.tail_mm is not None
    if by_points and by_bends:
        return [Problem("", "is given by points and by bends; keep one of the two ways")]
    if not by_points and not by_bends:
        return [Problem("", "has no shape; give points_mm and bend_radii_mm, or bends and tail_mm")]
    first, second = ("points_mm", "bend_radii_mm") if by_points else ("bends", "tail_mm")
    if getattr(half, first) is None:
        return [Problem(first, f"is missing, though {second} is given; give it as well")]
    if by_bends and half.tail_mm is None:
        return [Problem("tail_mm", "is missing; give the straight after the last bend in mm")]
    return []


def _bendable(half: Half, side: str) -> Half:
    try:
        polyline = polyline_of(half, side)
        check_polyline(polyline)
    except InputError as error:
        ours = {problem.field: problem for problem in _start_problems(half, side)}
        found = [ours.get(p.field, in_terms_of_file(half, p)) for p in error.problems]
        raise broken(*found) from None
    length_mm = cut_length_mm(table_from_polyline(polyline))
    if length_mm > MOST_HALF_MM:
        sentence = (
            f"is {length_mm:.0f} mm long from clamp centre to end; the limit is "
            f"{MOST_HALF_MM:g} mm, so check the points and their unit"
        )
        raise broken(Problem("", sentence))
    return half


def _start_problems(half: "HalfTable", side: str) -> list[Problem]:
    """Say what is wrong at the clamp in the numbers of the file, which geometry sees mirrored."""
    if half.points_mm is None:
        return []
    start, corner = half.points_mm[:2]
    if any(start):
        return [Problem("points_mm[0]", f"is {_text(start)}; start at the clamp centre, [0, 0, 0]")]
    along = corner[0] if side == "right" else -corner[0]
    if along > 0 and not any(corner[1:]):
        return []
    sign = "+x" if side == "right" else "-x"
    sentence = (
        f"is {_text(corner)}, but the first leg of the {side} half runs straight out of the clamp "
        f"along {sign}; set y and z to 0 and bend at the next point"
    )
    return [Problem("points_mm[1]", sentence)] if any(corner) else []


def _place_problem(load: "LoadTable | LeverTable") -> Problem | None:
    ends = load.side is not None or load.from_end_mm is not None
    if ends and load.at_mm is not None:
        return Problem("", "has two places; give either side and from_end_mm, or at_mm")
    if not ends and load.at_mm is None:
        return Problem("", "has no place; give side and from_end_mm, or at_mm")
    if ends and load.side is None:
        return Problem("side", 'is missing; say from which end, side = "left" or "right"')
    if ends and load.from_end_mm is None:
        return Problem("from_end_mm", "is missing; give the distance from the end in mm")
    return None


def _odd(value: object) -> str | None:
    """Return what is wrong with a value as a parameter, None for a plain one."""
    if isinstance(value, str):
        return None if len(value) <= TEXT_LENGTH else f"is {shown(value)}; shorten it"
    if isinstance(value, bool) or not isinstance(value, int | float):
        return f"is {shown(value)}; give a number or a text"
    return f"is {shown(value)}; give a smaller number" if abs(value) > 1e12 else None


def _text(point: tuple[float, float, float]) -> str:
    return "[" + ", ".join(f"{value:g}" for value in point) + "]"
