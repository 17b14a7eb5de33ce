"""From the tables of a study to bar, clamps, cases, their paths and the inputs of fatigue."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from math import radians

from geometry.bar import Bar
from geometry.errors import Problem
from geometry.source import Source
from loadcases.bolts import Bolts
from loadcases.case import Case, Cycle, PlacedCase, place_case
from loadcases.catalogue import build_case, case_ids
from loadcases.clamp import FREE, Clamp, clamp_problems
from loadcases.fatigue_inputs import OWN_FATIGUE_SOURCE, FatigueInputs, SpectrumEntry
from loadcases.gauges import Gauge
from loadcases.levels import Levels
from loadcases.levers import Lever
from loadcases.load import Load
from loadcases.path_control import (
    PathControl,
    default_path_control,
    held_loads,
    only_moments,
    sustained_loads,
    travel_problem,
)
from loadcases.supports import Support
from loadcases.uncertainty import Uncertainty
from studies.study_file.format.case_tables import (
    AnyCaseTable,
    CollapseTable,
    CycleTable,
    OwnCaseTable,
)
from studies.study_file.format.clamp_tables import ClampTable, LeverTable
from studies.study_file.format.gauge_tables import GaugeTable
from studies.study_file.format.material_tables import source_of
from studies.study_file.format.study_tables import (
    FatigueTable,
    SpectrumTable,
    UncertaintyTable,
)
from studies.study_file.format.table import judged

OWN_SOURCE = Source(
    "practice", "own load, no source given; a `source` table in the case may name one"
)


SAME_IN_PATH = {"unload_at", "preload", "mesh", "imperfection_percent", "knock_down_percent"}

_ENDS_REFUSED = {
    True: (
        "displacement_mm",
        "is {} mm, but the case has moments alone and is followed by its rotation; "
        "give rotation_deg instead",
    ),
    False: (
        "rotation_deg",
        "is {} deg, but the case has forces and is followed by its deflection; "
        "give displacement_mm instead",
    ),
}
"""Key of an end that a path cannot have, and why, by whether its case has moments alone."""


def clamp_of(table: ClampTable, bar: Bar | None) -> Clamp:
    """Return the clamp of a table, judged against the bar where there is one.

    Raises:
        InputError: A clamp that does not fit the bar.
    """
    if table.model == "none":
        return judged(FREE, _beside_none(table))
    bolts = Bolts(**dict(table.bolts)) if table.bolts else None
    clamp = Clamp(**{**dict(table), "bolts": bolts})
    return judged(clamp, clamp_problems(clamp, bar.line) if bar else ())


def _beside_none(table: ClampTable) -> list[Problem]:
    sentence = "stands beside model = 'none', a bar that lies free of any clamp; drop one of both"
    return [Problem(name, sentence) for name in sorted(table.model_fields_set - {"model"})]


def uncertainty_of(table: UncertaintyTable) -> Uncertainty:
    """Return within what the inputs of a table are known."""
    return Uncertainty(**dict(table))


def lever_of(table: LeverTable) -> Lever:
    """Return the lever of a table, not yet at a place."""
    return Lever(**{**dict(table), "bolts": Bolts(**dict(table.bolts))})


def gauge_of(table: GaugeTable) -> Gauge:
    """Return the gauge of a table, not yet at a place."""
    return Gauge(**dict(table))


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


def placed_case_of(table: AnyCaseTable, bar: Bar, clamp: Clamp) -> PlacedCase:
    """Return a case at its places on the bar.

    Raises:
        InputError: An unknown case or parameter, or a load with no place on the bar.
    """
    if isinstance(table, OwnCaseTable):
        return place_case(_own_case(table), bar, clamp)
    case = build_case(table.use, table.parameters, bar, clamp)
    case = replace(
        case,
        id=table.id or case.id,
        title=table.title or case.title,
        cycle=_cycle(table.cycle, case.cycle),
    )
    return place_case(case, bar, clamp)


def outlines_of(
    rows: Sequence[object], tables: Sequence[AnyCaseTable | None]
) -> tuple[tuple[Case, ...], bool]:
    """Return cases with ids and cycles alone, and whether their ids are beyond doubt.

    Where an id may be misspelt the cycles are left out: to say that they name an unknown
    case would report the same mistake twice.

    Args:
        rows: As the file holds them.
        tables: The same, None for each that is not valid.
    """
    sure = all(isinstance(one, OwnCaseTable) or (one and one.use in case_ids()) for one in tables)
    found = []
    for index, (row, table) in enumerate(zip(rows, tables, strict=True)):
        name = row.get("id", row.get("use")) if isinstance(row, dict) else None
        name = name if isinstance(name, str) else f"[{index}]"
        cycle = _cycle(table.cycle, None) if sure and table else None
        found.append(Case(name, name, (), OWN_SOURCE, cycle=cycle))
    return tuple(found), sure


def path_control_of(
    table: CollapseTable, placed: PlacedCase, others: Sequence[PlacedCase], bar: Bar, clamp: Clamp
) -> PathControl:
    """Return how far the loads of a case grow.

    Raises:
        InputError: An end of the path in the wrong measure, or sustained loads that are none.
    """
    sustained, problems = sustained_loads(table.sustained, placed, others)
    wrong, sentence = _ENDS_REFUSED[only_moments(held_loads(placed))]
    if (given := getattr(table, wrong)) is not None:
        problems.append(Problem(wrong, sentence.format(given)))
    end = radians(table.rotation_deg) if table.rotation_deg else table.displacement_mm
    if end and (beyond := travel_problem(placed, bar, clamp, end)):
        problems.append(Problem("displacement_mm", beyond))
    control = PathControl(
        displacement=end or default_path_control(held_loads(placed), bar, clamp),
        sustained=sustained,
        shape=table.imperfection,
        **table.model_dump(include=SAME_IN_PATH),
    )
    return judged(control, problems)


def _own_case(table: OwnCaseTable) -> Case:
    return Case(
        id=table.id,
        title=table.title or table.id,
        loads=tuple(Load(**dict(load)) for load in table.loads),
        supports=tuple(Support(**dict(support)) for support in table.supports),
        source=source_of(table.source) if table.source else OWN_SOURCE,
        axes=table.axes,
        steerer_angle_deg=table.steerer_angle_deg,
        cycle=_cycle(table.cycle, None),
    )


def _cycle(table: CycleTable | None, catalogue: Cycle | None) -> Cycle | None:
    """Return the cycle that the study gives; a number of cycles it leaves out stays."""
    if table is None:
        return catalogue
    if table.cycles is None and catalogue:
        return replace(catalogue, other=table.other, preload=table.preload)
    return Cycle(**dict(table))
