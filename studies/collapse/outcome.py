"""What a path says: where the bar yields, what set stays, where it gives and at what load.

Loads are multiples of the case's; deflections are along the loads, mm, or radians where there are
only moments. The limit counts only where it comes before the metal's elongation is used up: beyond
that the metal has torn, which no path here knows of. Nor does it count once a direction has lost
its stiffness short of it: there the bar can leave the path for another shape, a bow or ripples,
which a path without any fault does not follow.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, log1p
from typing import NamedTuple

import numpy as np

from fea.collapse.bifurcation import loses_stiffness, met_before
from fea.collapse.collapse_mode import Kind
from fea.collapse.flow_curve import uniform_strain
from fea.collapse.material_curve import flow_curve_of
from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from fea.collapse.reading import (
    YIELD_STRAIN,
    PathPoint,
    Reading,
    absorbed_energy_nmm,
    envelope,
    limit_at,
    offset_at,
    strained_at,
)
from fea.collapse.strain import length_mm
from geometry.bar import Bar
from loadcases.case import is_reversed
from loadcases.load import PlacedLoad
from studies.assessment.run import CaseRun

FIXED_MM = 1.0
"""Offset of the second rule; common practice, no source: what a gauge shows without doubt."""

SAME_LEVEL = 1e-9


@dataclass(frozen=True)
class Offset:
    """An offset load: where the curve crosses its first slope shifted by a deflection.

    Attributes:
        rule: What the shift is.
        shift: Its size, mm or radians.
        met: Where, None where the path does not come so far.
    """

    rule: str
    shift: float
    met: PathPoint | None


@dataclass(frozen=True)
class Level:
    """A load that was gone up to and taken away again.

    Attributes:
        factor: The load.
        reached: Whether the bar carried it, without having buckled.
        deflection: Under it; None where it was not reached.
        set_: Deflection that stays after it, along the loads; None where it was not reached.
        permanent_set_mm: Largest that stays at any load's place, along its force; None for moments.
    """

    factor: float
    reached: bool
    deflection: float | None
    set_: float | None
    permanent_set_mm: float | None


@dataclass(frozen=True)
class KnockDown:
    """What an imperfection of the wall leaves of the limit.

    Attributes:
        percent: Its amplitude in percent of the wall.
        limit: Largest load before the elongation is used up, None where none came.
        buckles: Last load before it buckles, None where it does not.
        most: Largest load of the whole path; None where no step succeeded.
        kind: Way in which it gave.
    """

    percent: float
    limit: float | None
    buckles: float | None
    most: float | None
    kind: Kind | None


class Buckling(NamedTuple):
    """Between which two places on the curve a direction loses its stiffness.

    Attributes:
        after: The last at which none had been lost: within a step, where the load rises on.
        before: The next.
        linear: Load at which the linear answer put the first elastic buckling, None where it knows
            of none for these loads.
    """

    after: PathPoint
    before: PathPoint
    linear: float | None


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a path says; of a bar that buckles nothing that lies beyond.

    Attributes:
        linear: Deflection along the loads by the linear answer at the case's own load.
        first_yield: Where the averaged plastic strain is `YIELD_STRAIN`; None if never.
        offsets: By each rule.
        levels: In the order in which they were visited.
        buckling: Where the bar can leave the path, if that is short of the limit and of the
            elongation.
        limit: Largest load, where the load fell after it, before the elongation was used up and
            where the bar had not left the path.
        most: Highest step of the whole path.
        torn: Where the averaged strain reaches the elongation, if it does.
        told: Index of the step whose place, kind and strain are told: the last before buckling,
            at the limit, where the elongation is used up, else the last.
        kind: In which way the wall gives there; None while it is elastic, and where the bar
            buckles, since nothing says into which shape.
        averaging_length_mm: Length over which the strain there is averaged.
        uniform: Logarithmic strain at which a pulled specimen of the metal begins to neck.
        elongation: Elongation at fracture as a logarithmic strain, None where it is not known.
        absorbed_energy_nmm: Work taken up to the step told.
        knocked: What each further amplitude of an imperfection left of the limit.
    """

    linear: float
    first_yield: PathPoint | None
    offsets: tuple[Offset, ...]
    levels: tuple[Level, ...]
    buckling: Buckling | None
    limit: PathPoint | None
    most: PathPoint
    torn: PathPoint | None
    told: int
    kind: Kind | None
    averaging_length_mm: float
    uniform: float
    elongation: float | None
    absorbed_energy_nmm: float
    knocked: tuple[KnockDown, ...]


def outcome_of(bar: Bar, case: CaseRun, path: PathRun) -> Outcome | None:
    """Return what the path of a case says, None where it has no step."""
    readings = path.readings
    if not readings:
        return None
    material = bar.spec.material
    percent = material.elongation_percent
    elongation = log1p(percent / 100) if percent else None
    torn = strained_at(readings, elongation) if elongation else None
    top = max(envelope(readings), key=lambda reading: reading.factor)
    limit = None if torn and top.deflection >= torn.deflection else limit_at(readings)
    told = readings.index(top) if limit else _told(readings, torn)
    buckling, told = _buckling(case, path, told) or (None, told)
    return Outcome(
        # twice the work over the loads: the path's own deflection is conjugate to them too
        2 * case.answer.work_nmm / path.unit,
        _within(strained_at(readings), buckling),
        _offsets(bar, case, path, buckling),
        tuple(
            _level(path, case.placed.loads, factor, cycle, buckling)
            for cycle, factor in enumerate(path.path_control.unload_at, start=1)
        ),
        buckling,
        None if buckling else limit,
        PathPoint(top.factor, top.deflection),
        None if buckling else torn,
        told,
        None if buckling else readings[told].kind,
        float(length_mm(bar, np.array([readings[told].strain.s_mm]))[0]),
        uniform_strain(flow_curve_of(material), material.youngs_modulus_mpa),
        elongation,
        absorbed_energy_nmm(path.unit, readings[: told + 1]),
        tuple(_knocked(bar, case, lesser) for lesser in path.knocked),
    )


def _knocked(bar: Bar, case: CaseRun, lesser: PathRun) -> KnockDown:
    percent, found = lesser.path_control.imperfection_percent, outcome_of(bar, case, lesser)
    if found is None:
        return KnockDown(percent, None, None, None, None)
    limit, buckles = found.limit, found.buckling and found.buckling.after
    return KnockDown(
        percent,
        limit.factor if limit else None,
        buckles.factor if buckles else None,
        found.most.factor,
        found.kind,
    )


def _told(readings: Sequence[Reading], torn: PathPoint | None) -> int:
    """Return the last step before the elongation is first used up, else the last of all."""
    end = torn.deflection if torn else inf
    beyond = (i for i, one in enumerate(readings) if one.deflection > end)
    return max(next(beyond, len(readings)) - 1, 0)


def _buckling(case: CaseRun, path: PathRun, told: int) -> tuple[Buckling, int] | None:
    """Return where the bar can leave its path up to a step, and the last step before that."""
    readings = path.readings
    step = loses_stiffness(readings[: told + 1])
    if step is not None:
        here = PathPoint(readings[step].factor, readings[step].deflection)
        between = readings[step + 1].lost or (met_before(readings, step), here)
    elif path.lost and told == len(readings) - 1:
        step, between = told, path.lost
    else:
        return None
    factors = case.stability.elastic.factors
    # of a load that is reversed, or stands beside others, the linear factor is another's
    alike = len(factors) and not is_reversed(case.placed.case) and not path.path_control.sustained
    return Buckling(*between, float(factors[0]) if alike else None), max(step - 1, 0)


def _within(met: PathPoint | None, buckling: Buckling | None) -> PathPoint | None:
    """Return a place on the curve, None where the bar has left the path before."""
    beyond = met and buckling and met.deflection > buckling.after.deflection
    return None if beyond else met


def _offsets(
    bar: Bar, case: CaseRun, path: PathRun, buckling: Buckling | None
) -> tuple[Offset, ...]:
    """Return the offset loads by two rules.

    The first shift is what the bar would keep if every section took the strain of the proof stress,
    0.2 %, in its outer fibre as it takes its elastic one: the elastic deflection over the elastic
    strain of the most bent section, nominal, times 0.002. The second is one millimetre.
    """
    readings, modulus = path.readings, bar.spec.material.youngs_modulus_mpa
    first = readings[0].deflection / readings[0].factor
    strain = case.beam.rigid_bends.peak_stress_mpa / modulus
    rules = [("0.2 % strain of the outer fibre", first * YIELD_STRAIN / strain)]
    if not path.by_moments:
        rules.append((f"{FIXED_MM:g} mm", FIXED_MM))
    met = [_within(offset_at(readings, shift), buckling) for _, shift in rules]
    return tuple(Offset(*rule, where) for rule, where in zip(rules, met, strict=True))


def _level(
    path: PathRun,
    loads: Sequence[PlacedLoad],
    factor: float,
    cycle: int,
    buckling: Buckling | None,
) -> Level:
    """Return what a level left."""
    steps = [one for one in path.readings if one.cycle == cycle]
    up, down = (
        [one for one in steps if one.phase is phase] for phase in (Phase.LOADING, Phase.UNLOADING)
    )
    left = buckling is not None and factor > buckling.after.factor
    if left or not up or abs(up[-1].factor - factor) > SAME_LEVEL * factor:
        return Level(factor, False, None, None, None)
    moved = up[-1].deflection
    if not down:
        # what has not yielded comes back; else the path broke off before the load was gone
        stays = None if up[-1].edge.value else 0.0
        return Level(factor, True, moved, stays, None if path.by_moments else stays)
    back = down[-1]
    places = zip(back.moved_mm, loads, strict=True)
    stays_mm = [
        abs(float(moves @ load.force_n)) / float(np.linalg.norm(load.force_n))
        for moves, load in places
        if any(load.force_n)
    ]
    return Level(factor, True, moved, back.deflection, max(stays_mm, default=None))
