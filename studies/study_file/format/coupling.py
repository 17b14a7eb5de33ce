"""From the tables of a study to bar, clamps, cases and the inputs of fatigue."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from difflib import get_close_matches
from typing import Any

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.errors import InputError, Problem
from geometry.material import Hardening, Material, load_material
from geometry.material_table import material_from_table, material_problems
from geometry.source import Source
from loadcases.bolts import Bolts
from loadcases.case import Case, Cycle, PlacedCase, place_case
from loadcases.catalogue import build_case, case_ids, load_template
from loadcases.clamp import Clamp, clamp_problems
from loadcases.fatigue_inputs import OWN_FATIGUE_SOURCE, FatigueInputs, Levels, SpectrumEntry
from loadcases.levers import Lever
from loadcases.load import Load
from loadcases.parameters import resolve
from studies.study_file.format.bar_tables import BarTable
from studies.study_file.format.case_tables import CatalogueCaseTable, CycleTable, OwnCaseTable
from studies.study_file.format.clamp_tables import ClampTable, LeverTable
from studies.study_file.format.half_tables import in_terms_of_file, polyline_of, stations_of
from studies.study_file.format.material_tables import LikeMaterialTable, SourceTable
from studies.study_file.format.study_tables import FatigueTable, SpectrumTable

OWN_SOURCE = Source(
    "practice", "own load, no source given; a `source` table in the case may name one"
)

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


def clamp_of(table: ClampTable, bar: Bar | None) -> Clamp:
    """Return the clamp of a table, judged against the bar where there is one.

    Raises:
        InputError: A clamp that does not fit the bar.
    """
    bolts = Bolts(**dict(table.bolts)) if table.bolts else None
    clamp = Clamp(**{**dict(table), "bolts": bolts})
    problems = clamp_problems(clamp, bar.line) if bar else ()
    if problems:
        raise InputError(*problems)
    return clamp


def lever_of(table: LeverTable) -> Lever:
    """Return the lever of a table, not yet at a place."""
    return Lever(**{**dict(table), "bolts": Bolts(**dict(table.bolts))})


def fatigue_inputs_of(table: FatigueTable, spectrum: Iterable[SpectrumTable]) -> FatigueInputs:
    """Return the inputs of the tables; what is left out keeps the source of its default."""
    given = {name: getattr(table, name) for name in table.model_fields_set}
    sources = {f"{name.removesuffix('_factor')}_source": OWN_FATIGUE_SOURCE for name in given}
    levels = {name: Levels(*value) for name, value in given.items() if isinstance(value, tuple)}
    return FatigueInputs(
        **{**given, **sources, **levels}, spectrum=tuple(map(spectrum_entry_of, spectrum))
    )


def spectrum_entry_of(table: SpectrumTable) -> SpectrumEntry:
    """Return a stage of the spectrum."""
    return SpectrumEntry(**dict(table))


def placed_case_of(table: CatalogueCaseTable | OwnCaseTable, bar: Bar, clamp: Clamp) -> PlacedCase:
    """Return a case at its places on the bar.

    Raises:
        InputError: An unknown case or parameter, or a load with no place on the bar.
    """
    if isinstance(table, OwnCaseTable):
        return place_case(_own_case(table), bar, clamp)
    check_without_bar(table)
    case = build_case(table.use, parameters_of(table), bar, clamp)
    cycle = _cycle(table.cycle, case.cycle) if table.cycle else case.cycle
    case = replace(case, id=table.id or case.id, title=table.title or case.title, cycle=cycle)
    return place_case(case, bar, clamp)


def check_without_bar(table: CatalogueCaseTable | OwnCaseTable) -> None:
    """Judge of a case what needs no bar: its id in the catalogue and its parameters.

    Raises:
        InputError: An unknown case, or parameters that it does not take.
    """
    if not isinstance(table, CatalogueCaseTable):
        return
    template, given = load_template(table.use), parameters_of(table)
    try:
        resolve(template, given)
    except InputError as error:
        names = {parameter.name for parameter in template.parameters}
        # a misspelt parameter is one mistake, not an unknown and a missing one
        meant = {
            near for key in given if key not in names for near in get_close_matches(key, names)
        }
        found = [p for p in error.problems if p.field not in meant or p.field in given]
        raise InputError(*found) from None


def is_named(table: CatalogueCaseTable | OwnCaseTable) -> bool:
    """Return whether a case is one of your own, or one that the catalogue holds."""
    return isinstance(table, OwnCaseTable) or table.use in case_ids()


def parameters_of(table: CatalogueCaseTable) -> Mapping[str, object]:
    """Return the parameters that a study gives to a catalogue case."""
    return table.model_extra or {}


def _spec(table: BarTable, study_name: str) -> BarSpec:
    left = table.left
    return BarSpec(
        name=table.name or study_name,
        right=polyline_of(table.right, "right"),
        stations=stations_of(table.stations),
        material=_material(table),
        left=polyline_of(left, "left") if left else None,
        left_stations=stations_of(left.stations) if left and left.stations else None,
        blend_mm=table.blend_mm,
        effects=BendEffects(
            table.bend_effects.wall_change, table.bend_effects.ovality_percent or 0.0
        ),
        roll_deg=table.roll_deg,
        measured_mass_g=table.mass_g,
    )


def _material(table: BarTable) -> Material:
    if isinstance(table.material, str):
        return load_material(table.material)
    if isinstance(table.material, LikeMaterialTable):
        return _like(table.material)
    try:
        return material_from_table(table.material.model_dump(exclude_none=True))
    except InputError as error:
        raise error.within("material") from None


def _like(table: LikeMaterialTable) -> Material:
    """Return a material of the catalogue with some values of the study's own.

    Raises:
        InputError: The values are impossible together.
    """
    known = load_material(table.like)
    own = table.model_dump(exclude_none=True, exclude={"like", "source", "ramberg_osgood_n"})
    source = _source(table.source) if table.source else LIKE_SOURCE
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
    problems = material_problems(material)
    if problems:
        raise InputError(*problems).within("material")
    return material


def _at_key(table: BarTable, problem: Problem) -> Problem:
    """Return a problem at the key that the file holds: a mirrored half has none of its own."""
    side, dot, field = problem.field.partition(".")
    if side not in {"left", "right"}:
        return problem
    written = "right" if table.left is None else side
    half = table.left if written == "left" and table.left else table.right
    inner = in_terms_of_file(half, Problem(field, problem.sentence))
    return Problem(f"{written}{dot}{inner.field}", inner.sentence)


def _own_case(table: OwnCaseTable) -> Case:
    return Case(
        id=table.id,
        title=table.title or table.id,
        loads=tuple(Load(**dict(load)) for load in table.loads),
        source=_source(table.source),
        axes=table.axes,
        steerer_angle_deg=table.steerer_angle_deg,
        cycle=_cycle(table.cycle, None) if table.cycle else None,
    )


def _source(table: SourceTable | None) -> Source:
    if table is None:
        return OWN_SOURCE
    return Source(table.kind, table.reference, table.locator or "")


def _cycle(table: CycleTable, catalogue: Cycle | None) -> Cycle:
    """Return the cycle that the study gives; a number of cycles it leaves out stays."""
    if table.cycles is None and catalogue:
        return replace(catalogue, other=table.other, preload=table.preload)
    return Cycle(**dict(table))


def case_name(raw: object, index: int) -> str:
    """Return the id that a case has, valid or not; a place where it has none."""
    keys: Mapping[str, Any] = raw if isinstance(raw, dict) else {}
    name = keys.get("id", keys.get("use"))
    return name if isinstance(name, str) else f"[{index}]"
