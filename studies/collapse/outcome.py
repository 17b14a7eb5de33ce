"""The results of a path: yield load, permanent set, limit load, collapse mode and place.

Loads are multiples of the case's; deflections are along the loads, mm, or radians where there are
only moments. A limit load counts only where it comes before the strain limit, the elongation:
beyond it the metal fractures, which no path here models. Nor does it count beyond a bifurcation,
where the bar can leave the path for an overall or a local mode, which a path without any
imperfection does not follow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log1p
from typing import NamedTuple

import numpy as np

from fea.collapse.bifurcation import bifurcation_step, step_start
from fea.collapse.collapse_mode import Kind
from fea.collapse.curve import (
    Curve,
    absorbed_energy_nmm,
    curve_of,
    envelope,
    limit_at,
    offset_at,
    strained_at,
    top_of,
)
from fea.collapse.flow_curve import uniform_strain
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from fea.collapse.reading import YIELD_STRAIN, PathPoint, Reading
from fea.collapse.strain import length_mm
from fea.verification.checks import bends_as_beam
from geometry.bar import Bar
from loadcases.case import PlacedCase, is_reversed
from studies.assessment.bounds import deflection_mm
from studies.assessment.run import CaseRun

FIXED_MM = 1.0
"""Offset of the second rule; practice, unsourced: clearly above the resolution of a gauge."""

OUTER_FIBRE_RULE = "0.2 % strain of the outer fibre"
"""The first rule, of which `offset_n` in results.json is."""

SAME_LEVEL = 1e-9


@dataclass(frozen=True)
class Offset:
    """An offset load: where the curve crosses its first slope shifted by a deflection.

    Attributes:
        rule: Definition of the shift.
        shift: Its size, mm or radians.
        point: The crossing, None where the path ends before.
    """

    rule: str
    shift: float
    point: PathPoint | None


@dataclass(frozen=True)
class Unloading:
    """An unloading from a level of the load.

    Attributes:
        factor: The load.
        reached: Whether the path reaches it before a bifurcation.
        deflection: Under it; None where it was not reached.
        permanent_set: Deflection after unloading, along the loads; None where not reached.
        permanent_set_mm: Largest of the load points, along their forces; None for moments.
    """

    factor: float
    reached: bool
    deflection: float | None
    permanent_set: float | None
    permanent_set_mm: float | None


@dataclass(frozen=True)
class KnockDown:
    """The limit load with an imperfection of the wall.

    Attributes:
        percent: Its amplitude in percent of the wall.
        limit_load: Largest load before the strain limit, None where none came.
        bifurcation: Last load before it, None where there is none.
        max_load: Largest load of the whole path; None where no step converged.
        kind: Collapse mode.
    """

    percent: float
    limit_load: float | None
    bifurcation: float | None
    max_load: float | None
    kind: Kind | None


class Bifurcation(NamedTuple):
    """The two points of the curve between which a negative pivot appears.

    Attributes:
        start: The last without one: within a step, where the load rises on.
        end: The next.
        linear_factor: Load of the first elastic buckling by the linear solution, None where it has
            none for these loads.
    """

    start: PathPoint
    end: PathPoint
    linear_factor: float | None


@dataclass(frozen=True, eq=False)
class Outcome:
    """The results of a path; nothing beyond a bifurcation.

    Attributes:
        linear_deflection: Deflection along the loads by the linear solution at the case's own load.
        yield_load: Where the averaged plastic strain is `YIELD_STRAIN`; None if never.
        offsets: By each rule.
        unloadings: In the order of the path.
        bifurcation: If it is before the limit load and the strain limit.
        limit_load: Largest load, where the load fell after it, before the strain limit and any
            bifurcation.
        max_load: Largest load of the whole path.
        strain_limit: Where the averaged strain reaches the elongation, if it does.
        reported: Index of the step whose place, kind and strain are reported: the last before a
            bifurcation, at the limit load, at the strain limit, else the last.
        kind: Collapse mode there; None while it is elastic, and at a bifurcation, whose mode is not
            known.
        averaging_length_mm: Length over which the strain there is averaged.
        uniform: Uniform strain, logarithmic: that of a tensile specimen at the onset of necking.
        elongation: Elongation at fracture as a logarithmic strain, None where it is not known.
        absorbed_energy_nmm: Up to the reported step.
        knock_downs: The limit load of each further amplitude of an imperfection.
    """

    linear_deflection: float
    yield_load: PathPoint | None
    offsets: tuple[Offset, ...]
    unloadings: tuple[Unloading, ...]
    bifurcation: Bifurcation | None
    limit_load: PathPoint | None
    max_load: PathPoint
    strain_limit: PathPoint | None
    reported: int
    kind: Kind | None
    averaging_length_mm: float
    uniform: float
    elongation: float | None
    absorbed_energy_nmm: float
    knock_downs: tuple[KnockDown, ...]


def outcome_of(bar: Bar, case: CaseRun, path: PathRun) -> Outcome | None:
    """Return the results of the path of a case, None where it has no step."""
    readings = path.readings
    if not readings:
        return None
    curve = curve_of(readings, path.end_slope)
    material = bar.spec.material
    percent = material.elongation_percent
    elongation = log1p(percent / 100) if percent else None
    strain_limit = strained_at(curve, elongation) if elongation else None
    top = max(envelope(readings), key=lambda reading: reading.factor)
    limit = limit_at(curve)
    if limit and strain_limit and limit.deflection >= strain_limit.deflection:
        limit = None
    reported = readings.index(top) if limit else _reported(readings, strain_limit)
    bifurcation, reported = _bifurcation(case, path, reported) or (None, reported)
    return Outcome(
        _linear_deflection(case, path),
        _within(strained_at(curve), bifurcation),
        _offsets(bar, case, path, curve, bifurcation),
        tuple(
            _unloading(path, case.placed, factor, cycle, bifurcation)
            for cycle, factor in enumerate(path.path_control.unload_at, start=1)
        ),
        bifurcation,
        None if bifurcation else limit,
        top_of(curve),
        None if bifurcation else strain_limit,
        reported,
        None if bifurcation else readings[reported].kind,
        float(length_mm(bar, np.array([readings[reported].strain.s_mm]))[0]),
        uniform_strain(flow_curve_of(material), material.youngs_modulus_mpa),
        elongation,
        absorbed_energy_nmm(path.unit, readings[: reported + 1]),
        tuple(_knock_down(bar, case, lesser) for lesser in path.knock_down_paths),
    )


def _linear_deflection(case: CaseRun, path: PathRun) -> float:
    """Return the linear solution's deflection along the loads, or the ram's travel."""
    if path.by_ram:
        return deflection_mm(case.answer, case.supports)
    # twice the work over the loads: the path's own deflection is conjugate to them too
    return 2 * case.answer.work_nmm / path.unit


def _knock_down(bar: Bar, case: CaseRun, lesser: PathRun) -> KnockDown:
    percent, found = lesser.path_control.imperfection_percent, outcome_of(bar, case, lesser)
    if found is None:
        return KnockDown(percent, None, None, None, None)
    limit, bifurcation = found.limit_load, found.bifurcation and found.bifurcation.start
    return KnockDown(
        percent,
        limit.factor if limit else None,
        bifurcation.factor if bifurcation else None,
        found.max_load.factor,
        found.kind,
    )


def _reported(readings: Sequence[Reading], strain_limit: PathPoint | None) -> int:
    """Return the last step before the strain limit is first reached, else the last of all."""
    end = strain_limit.deflection if strain_limit else inf
    beyond = (i for i, one in enumerate(readings) if one.deflection > end)
    return max(next(beyond, len(readings)) - 1, 0)


def _bifurcation(case: CaseRun, path: PathRun, reported: int) -> tuple[Bifurcation, int] | None:
    """Return the bifurcation up to a step, and the last step before it."""
    readings = path.readings
    step = bifurcation_step(readings[: reported + 1])
    if step is not None:
        here = PathPoint(readings[step].factor, readings[step].deflection)
        between = readings[step + 1].bifurcation or (step_start(readings, step), here)
    elif path.bifurcation and reported == len(readings) - 1:
        step, between = reported, path.bifurcation
    else:
        return None
    factors = case.stability.elastic.factors
    # of a load that is reversed, or stands beside others, the linear factor is another's
    alike = len(factors) and not is_reversed(case.placed.case) and not path.path_control.sustained
    return Bifurcation(*between, float(factors[0]) if alike else None), max(step - 1, 0)


def _within(point: PathPoint | None, bifurcation: Bifurcation | None) -> PathPoint | None:
    """Return a point of the curve, None where it is beyond a bifurcation."""
    beyond = point and bifurcation and point.deflection > bifurcation.start.deflection
    return None if beyond else point


def _offsets(
    bar: Bar, case: CaseRun, path: PathRun, curve: Curve, bifurcation: Bifurcation | None
) -> tuple[Offset, ...]:
    """Return the offset loads by two rules.

    The first shift is the permanent set of a bar with a plastic strain of 0.2 % in the outer fibre
    of every section, distributed like the elastic one: the elastic deflection over the nominal
    elastic strain of the section of largest bending, times 0.002. A tube that is not bent as a beam
    has none. The second is one millimetre.
    """
    rules = []
    if bends_as_beam(case.answer, case.beam.rigid_bends):
        strain = case.beam.rigid_bends.peak_stress_mpa / bar.spec.material.youngs_modulus_mpa
        rules.append((OUTER_FIBRE_RULE, YIELD_STRAIN / strain / curve.first_slope))
    if not path.by_moments:
        rules.append((f"{FIXED_MM:g} mm", FIXED_MM))
    points = [_within(offset_at(curve, shift), bifurcation) for _, shift in rules]
    return tuple(Offset(*rule, point) for rule, point in zip(rules, points, strict=True))


def _unloading(
    path: PathRun,
    placed: PlacedCase,
    factor: float,
    cycle: int,
    bifurcation: Bifurcation | None,
) -> Unloading:
    """Return the permanent set after a load."""
    steps = [one for one in path.readings if one.cycle == cycle]
    up, down = (
        [one for one in steps if one.phase is phase] for phase in (Phase.LOADING, Phase.UNLOADING)
    )
    left = bifurcation is not None and factor > bifurcation.start.factor
    if left or not up or abs(up[-1].factor - factor) > SAME_LEVEL * factor:
        return Unloading(factor, False, None, None, None)
    deflection = up[-1].deflection
    if not down:
        # elastic: no permanent set; else the path terminated before the bar was unloaded
        none = None if up[-1].edge.value else 0.0
        return Unloading(factor, True, deflection, none, None if path.by_moments else none)
    unloaded = down[-1]
    if placed.case.ram_force_n:
        return Unloading(factor, True, deflection, unloaded.deflection, unloaded.deflection)
    sets_mm = [
        abs(float(displacement @ load.force_n)) / float(np.linalg.norm(load.force_n))
        for displacement, load in zip(unloaded.moved_mm, path.loads, strict=True)
        if any(load.force_n)
    ]
    return Unloading(factor, True, deflection, unloaded.deflection, max(sets_mm, default=None))
