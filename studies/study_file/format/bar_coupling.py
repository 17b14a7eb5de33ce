"""From the [bar] table of a study to the bar."""

from dataclasses import replace

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.errors import InputError, Problem
from geometry.material import Hardening, Material, load_material
from geometry.material_table import material_problems
from geometry.source import Source
from studies.study_file.format.bar_tables import BarTable, in_terms_of_file, stations_of
from studies.study_file.format.material_tables import LikeMaterialTable, own_material, source_of
from studies.study_file.format.square_coupling import halves_of
from studies.study_file.format.table import judged

LIKE_SOURCE = Source("practice", "own value in place of the catalogue's, no source given")
ELASTIC = frozenset({"youngs_modulus_mpa", "poisson_ratio", "density_kg_m3"})
STRENGTHS = frozenset({"proof_stress_mpa", "ultimate_stress_mpa"})
CURVE = frozenset({"curve", "stress_strain", "tangent_modulus_mpa"})


def bar_of(table: BarTable, study_name: str) -> Bar:
    """Return the bar of a table.

    Raises:
        InputError: What `build_bar` refuses, at the keys of the file.
    """
    try:
        return build_bar(_spec(table, study_name))
    except InputError as error:
        found = (_at_key(table, problem) for problem in error.problems)
        raise InputError(*dict.fromkeys(found)) from None


def is_ovality_given(table: BarTable) -> bool:
    """Return whether the file says how oval bends are."""
    return table.bend_effects.ovality_percent is not None


def _spec(table: BarTable, study_name: str) -> BarSpec:
    left_table = table.left
    right, left, turned = halves_of(table)
    return BarSpec(
        name=table.name or study_name,
        right=right,
        stations=stations_of(table.stations),
        material=_material(table),
        left=left,
        left_stations=(
            stations_of(left_table.stations) if left_table and left_table.stations else None
        ),
        blend_mm=table.blend_mm,
        effects=BendEffects(
            table.bend_effects.wall_change, table.bend_effects.ovality_percent or 0.0
        ),
        roll_deg=table.roll_deg,
        measured_mass_g=table.mass_g,
        turned=turned,
    )


def _material(table: BarTable) -> Material:
    if isinstance(table.material, str):
        return load_material(table.material)
    if isinstance(table.material, LikeMaterialTable):
        return _like(table.material)
    return own_material(table.material)


def _like(table: LikeMaterialTable) -> Material:
    """Return a material of the catalogue with some values of the study's own.

    Raises:
        InputError: The values are impossible together.
    """
    known = load_material(table.like)
    own = table.model_dump(exclude_none=True, exclude={"like", "source", "ramberg_osgood_n"})
    source = source_of(table.source) if table.source else LIKE_SOURCE
    elastic, n = known.elastic_source or known.source, table.ramberg_osgood_n
    material = replace(
        known,
        **own,
        id=f"{known.id}, changed",
        title=f"{known.title}, some values changed",
        elastic_source=source if ELASTIC & own.keys() else elastic,
        source=source if STRENGTHS & own.keys() else known.source,
        hardening=Hardening(n, n, source) if n else known.hardening,
        stress_strain_source=source if CURVE & own.keys() else None,
    )
    problems = InputError(*material_problems(material)).within("material").problems
    return judged(material, problems)


def _at_key(table: BarTable, problem: Problem) -> Problem:
    """Return a problem at the key that the file holds: a mirrored half has none of its own."""
    side, dot, field = problem.field.partition(".")
    if side not in {"left", "right"}:
        return problem
    written = "right" if table.left is None else side
    half = table.left if written == "left" and table.left else table.right
    inner = in_terms_of_file(half, Problem(field, problem.sentence))
    return Problem(f"{written}{dot}{inner.field}", inner.sentence)
