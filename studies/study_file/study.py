"""A study: the file, the bar that it describes, and the cases placed on that bar."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError

from geometry.bar import Bar, BarSpec
from geometry.errors import InputError, Problem
from geometry.grading import LevelName
from geometry.specimen import Specimen
from loadcases.case import PlacedCase, check_cases, told_apart
from loadcases.catalogue import load_template
from loadcases.clamp import Clamp
from loadcases.fatigue_inputs import FatigueInputs, check_entry
from loadcases.gauges import PlacedGauge, place_gauges
from loadcases.levers import LeverClamp, place_levers
from loadcases.parameters import resolve
from loadcases.path_control import PathControl
from loadcases.uncertainty import Uncertainty
from studies.study_file.errors import StudyError
from studies.study_file.format import coupling
from studies.study_file.format.bar_coupling import bar_of, is_ovality_given
from studies.study_file.format.bar_tables import BarTable
from studies.study_file.format.case_tables import AnyCaseTable, CaseChoice, CatalogueCaseTable
from studies.study_file.format.clamp_tables import ClampTable, LeverTable
from studies.study_file.format.gauge_tables import GaugeTable
from studies.study_file.format.reading import read_table
from studies.study_file.format.sentences import problems_of
from studies.study_file.format.specimen_coupling import specimen_of
from studies.study_file.format.study_tables import SpectrumTable, StudyTable
from studies.study_file.format.sweep_tables import OptimiseTable, PlanTable, SweepTable
from studies.study_file.input_warnings import input_warnings

Result = TypeVar("Result")
Part = TypeVar("Part", bound=BaseModel)

_CASE: TypeAdapter[AnyCaseTable] = TypeAdapter(CaseChoice)


@dataclass(frozen=True, eq=False)
class Study:
    """A study that can be run.

    Attributes:
        path: The study file.
        name: Name of the study, and of its results folder.
        title: In words.
        bar: The bar.
        clamp: The stem's clamp.
        levers: Clamps of control levers.
        specimen: The bar on the table, None where none was weighed.
        gauges: Dials and strain gauges, read in every case.
        mesh_level: Fineness of the mesh.
        cases: The load cases on this bar; none where a file describes a bar alone.
        path_controls: How far the loads of cases grow past yield, by the case's id.
        table: What the file holds.
        sweeps: What a sweep varies, as written.
        plan: How a sweep goes through it.
        optimise: What may vary for the lightest bar, and what it must keep.
        fatigue: What fatigue is judged with, and the spectrum of cases.
        uncertainty: Within what the inputs of a path's band are known.
        sha256: Of the file's bytes.
        text: The file as written; empty where a table did not come from one.
        warnings: Sentences that a reader should see with the results.
        measured: Sentences on what the specimen's readings took the place of.
    """

    path: Path
    name: str
    title: str
    bar: Bar
    clamp: Clamp
    levers: tuple[LeverClamp, ...]
    specimen: Specimen | None
    gauges: tuple[PlacedGauge, ...]
    mesh_level: LevelName
    cases: tuple[PlacedCase, ...]
    path_controls: Mapping[str, PathControl]
    table: Mapping[str, Any]
    sweeps: tuple[SweepTable, ...]
    plan: PlanTable
    optimise: OptimiseTable
    fatigue: FatigueInputs
    uncertainty: Uncertainty
    sha256: str
    text: str
    warnings: tuple[str, ...]
    measured: tuple[str, ...] = ()

    @property
    def bar_spec(self) -> BarSpec:
        """Return the description that the bar was built from."""
        return self.bar.spec


def read_study(path: Path) -> Study:
    """Return the study in a file.

    Raises:
        StudyError: The file cannot be read, or every problem found in it.
    """
    file = read_table(path)
    return study_from_table(file.table, path, file.sha256, file.text)


def study_from_table(table: dict[str, Any], path: Path, sha256: str, text: str = "") -> Study:
    """Return the study that a plain table describes; the others say where it is from.

    Raises:
        StudyError: Every problem found, those of one part beside those of another.
    """
    problems: list[Problem] = []
    whole = _whole(table, problems)
    bar, clamp, cases = _parts(table, problems)
    levers = _levers(table, bar, clamp, problems)
    gauges = _gauges(table, bar, problems)
    path_controls: dict[str, PathControl] = {}
    specimen = None
    if whole and bar:
        specimen = _tried(partial(specimen_of, whole.specimen, bar), "specimen", problems)
    if not problems and whole and bar and clamp:
        path_controls = _path_controls(whole, cases, bar, clamp, problems)
    if problems or whole is None or bar is None or clamp is None:
        raise StudyError(path, *dict.fromkeys(problems))
    return Study(
        path=path,
        name=whole.name,
        title=whole.title or whole.name,
        bar=bar,
        clamp=clamp,
        levers=levers,
        specimen=specimen,
        gauges=gauges,
        mesh_level=whole.mesh.level,
        cases=cases,
        path_controls=path_controls,
        table=table,
        sweeps=whole.sweep,
        plan=whole.plan,
        optimise=whole.optimise,
        fatigue=coupling.fatigue_inputs_of(whole.fatigue, whole.spectrum),
        uncertainty=coupling.uncertainty_of(whole.uncertainty),
        sha256=sha256,
        text=text,
        warnings=input_warnings(bar, ovality_given=is_ovality_given(whole.bar)),
    )


def _whole(table: dict[str, Any], problems: list[Problem]) -> StudyTable | None:
    try:
        return StudyTable.model_validate(table)
    except ValidationError as error:
        problems += problems_of(error)
        return None


def _parts(
    table: dict[str, Any], problems: list[Problem]
) -> tuple[Bar | None, Clamp | None, tuple[PlacedCase, ...]]:
    """Build what can be built although other parts may be wrong, and collect the problems."""
    bar, clamp = None, None
    if bar_table := _valid(BarTable.model_validate, table.get("bar")):
        name = str(table.get("name", ""))
        bar = _tried(partial(bar_of, bar_table, name), "bar", problems)
    if clamp_table := _valid(ClampTable.model_validate, table.get("clamp", {})):
        clamp = _tried(partial(coupling.clamp_of, clamp_table, bar), "clamp", problems)
    raw = table.get("cases", [])
    return bar, clamp, _cases(table, bar, clamp, problems) if isinstance(raw, list) else ()


def _cases(
    table: dict[str, Any], bar: Bar | None, clamp: Clamp | None, problems: list[Problem]
) -> tuple[PlacedCase, ...]:
    """Place the cases that are good; judge all of them together, and the spectrum of them."""
    tables = _rows(table, "cases", _CASE.validate_python)
    known, sure = coupling.outlines_of(table.get("cases", []), tables)
    placed, outlines = [], list(known)
    for index, case_table in enumerate(tables):
        if case_table:
            build = partial(_case, case_table, bar, clamp)
            placed += [one := _tried(build, f"cases[{index}]", problems)]
            outlines[index] = replace(outlines[index], supports=one.case.supports if one else ())
    _tried(lambda: check_cases(outlines), "", problems)
    for index, entry in enumerate(_rows(table, "spectrum", SpectrumTable.model_validate)):
        # not where the ids of the cases are in doubt themselves
        if entry and sure:
            judge = partial(check_entry, coupling.spectrum_entry_of(entry), outlines)
            _tried(judge, f"spectrum[{index}]", problems)
    return told_apart([case for case in placed if case])


def _case(table: AnyCaseTable, bar: Bar | None, clamp: Clamp | None) -> PlacedCase | None:
    if bar and clamp:
        return coupling.placed_case_of(table, bar, clamp)
    if isinstance(table, CatalogueCaseTable):
        resolve(load_template(table.use), table.parameters)
    return None


def _levers(
    table: dict[str, Any], bar: Bar | None, clamp: Clamp | None, problems: list[Problem]
) -> tuple[LeverClamp, ...]:
    """Place the levers where bar, clamp and all of their own tables are good."""
    tables = _rows(table, "levers", LeverTable.model_validate)
    if bar is None or clamp is None or None in tables:
        return ()
    levers = [coupling.lever_of(one) for one in tables if one]
    return _tried(lambda: place_levers(levers, bar.line, clamp), "levers", problems) or ()


def _gauges(
    table: dict[str, Any], bar: Bar | None, problems: list[Problem]
) -> tuple[PlacedGauge, ...]:
    """Place the gauges where the bar and all of their own tables are good."""
    tables = _rows(table, "gauges", GaugeTable.model_validate)
    if bar is None or None in tables:
        return ()
    gauges = [coupling.gauge_of(one) for one in tables if one]
    return _tried(lambda: place_gauges(gauges, bar), "gauges", problems) or ()


def _path_controls(
    whole: StudyTable, cases: Sequence[PlacedCase], bar: Bar, clamp: Clamp, problems: list[Problem]
) -> dict[str, PathControl]:
    """Return how far the loads of cases grow, by the case's id."""
    found = {}
    for index, (table, placed) in enumerate(zip(whole.cases, cases, strict=True)):
        if table.collapse:
            build = partial(coupling.path_control_of, table.collapse, placed, cases, bar, clamp)
            if control := _tried(build, f"cases[{index}].collapse", problems):
                found[placed.case.id] = control
    return found


def _rows(table: dict[str, Any], key: str, validate: Callable[[Any], Part]) -> list[Part | None]:
    """Return the entries of a list of the study, None for each that is not valid."""
    rows = table.get(key, [])
    return [_valid(validate, row) for row in rows] if isinstance(rows, list) else []


def _valid(validate: Callable[[Any], Part], value: object) -> Part | None:
    """Return the part if it is valid; what is wrong with it was said with the whole."""
    try:
        return validate(value)
    except ValidationError:
        return None


def _tried(build: Callable[[], Result], where: str, problems: list[Problem]) -> Result | None:
    try:
        return build()
    except InputError as error:
        problems += (error.within(where) if where else error).problems
        return None
