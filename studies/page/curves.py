"""The curves of a case along the bar: moments, stress of four fibres, utilisations."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fea.beam.section import nominal_von_mises_mpa
from fea.beam.statics import resultants_of
from fea.solid.cross_sections import Rings, rings_of
from fea.solid.recovery import von_mises_mpa
from fea.stability import criteria
from fea.stability.criteria import YIELD, LocalCriterion
from fea.verification.section_forces import SectionForces, beam_section_forces, solid_section_forces
from geometry.arrays import Floats
from geometry.bar import Bar, local_wall_mm, nominal_od_mm
from geometry.centreline import arcs
from geometry.mesh import ONE_TURN
from studies.assessment.run import CaseRun, StudyRun
from studies.page.chart import Axis, Chart, Line, chart

FIBRES = (("top", "T"), ("front", "F"), ("underside", "U"), ("rear", "R"))
"""Names of the fibres by the side that they have at the clamp, and their letters."""

ROUND = 24
"""Places round the tube at which the wall is read."""


@dataclass(frozen=True)
class Stretch:
    """A length of the bar that charts mark, in chart units.

    Attributes:
        kind: clamp, bend, load or lever.
        x: Where it begins.
        width: Its length.
        words: What it is.
    """

    kind: str
    x: float
    width: float
    words: str


@dataclass(frozen=True, eq=False)
class Numbers:
    """The numbers behind a case's charts, for reading them off.

    Attributes:
        s_mm: (n,) places.
        columns: Name with unit, and (n,) values.
    """

    s_mm: Floats
    columns: tuple[tuple[str, Floats], ...]


@dataclass(frozen=True, eq=False)
class Curves:
    """What runs along the bar in a case.

    Attributes:
        axis: Along the bar.
        solid: Resultants and fibres of the solid.
        beam: Resultants and fibres of the beam.
        largest_mpa: Largest von Mises stress round the tube, at the solid's places.
        used: Largest utilisation of each local criterion round the tube, likewise.
        beam_share: The beam's nominal stress over the proof stress, at its own places.
    """

    axis: Axis
    solid: SectionForces
    beam: SectionForces
    largest_mpa: Floats
    used: Mapping[LocalCriterion, Floats]
    beam_share: Floats


def axis_of(bar: Bar) -> Axis:
    """Return the axis along a bar."""
    return Axis(bar.line.left_end_mm, bar.line.right_end_mm)


def stretches(run: StudyRun, case: CaseRun | None = None) -> tuple[Stretch, ...]:
    """Return what charts mark: bends, the clamp, levers, and the load bands of a case."""
    bar, clamp = run.study.bar, run.study.clamp
    found = [
        ("bend", arc.s_from_mm, arc.s_to_mm, f"bend, radius {arc.radius_mm:g} mm")
        for arc in arcs(bar.line)
    ]
    if clamp.holds:
        edges = clamp.from_mm, clamp.to_mm
        found.append(("clamp", *edges, f"clamp, {clamp.width_mm:g} mm"))
    found += [("lever", lever.from_mm, lever.to_mm, "lever's clamp") for lever in run.study.levers]
    if case:
        found += [("load", load.from_mm, load.to_mm, "load band") for load in case.placed.loads]
    axis = axis_of(bar)
    return tuple(
        Stretch(kind, float(axis.x(low)), float(axis.x(high) - axis.x(low)), words)
        for kind, low, high, words in found
    )


def station_places(run: StudyRun) -> tuple[float, ...]:
    """Return where the stations of both halves are, in chart units."""
    bar, axis = run.study.bar, axis_of(run.study.bar)
    left = bar.spec.left_stations or bar.spec.stations
    places = [station.at_mm for station in bar.spec.stations]
    places += [-station.at_mm for station in left]
    inside = [at for at in places if bar.line.left_end_mm <= at <= bar.line.right_end_mm]
    return tuple(float(axis.x(at)) for at in sorted(set(inside)))


def full_rings(run: StudyRun) -> tuple[Rings, Floats]:
    """Return the mesh's fullest cross-sections, ascending in s, and their places (S,)."""
    sheet = run.model.mesh.sheet
    rings = max(rings_of(run.study.bar, sheet), key=lambda some: some.nodes.shape[1])
    return rings, sheet.nodes[rings.nodes[:, 0], 0]


def study_curves(run: StudyRun) -> dict[str, Curves]:
    """Return what runs along the bar in each case, by its id."""
    rings, s = full_rings(run)
    return {case.placed.case.id: _curves(run, case, rings, s) for case in run.cases}


def _curves(run: StudyRun, case: CaseRun, rings: Rings, s: Floats) -> Curves:
    used = case.stability.local.used
    return Curves(
        axis=axis_of(run.study.bar),
        solid=solid_section_forces(rings, s, case.stress),
        beam=beam_section_forces(run.study.bar, case.beam.rigid_bends),
        largest_mpa=_largest_mpa(case, rings),
        used={one: used[one.id][rings.nodes].max(axis=1) for one in criteria.LOCAL},
        beam_share=_beam_share(run, case),
    )


def numbers_of(curves: Curves) -> Numbers:
    """Return all curves of a case at the mesh's cross-sections, solid and beam."""
    solid, beam, s = curves.solid, curves.beam, curves.solid.s_mm
    columns = [*_named(solid, ""), ("largest von Mises, MPa", curves.largest_mpa)]
    columns += [(utilisation_name(one), share) for one, share in curves.used.items()]
    columns += [(name, _at(s, beam, values)) for name, values in _named(beam, "beam, ")]
    columns.append((f"beam, {utilisation_name(YIELD)}", _at(s, beam, curves.beam_share)))
    return Numbers(s, tuple(columns))


def utilisation_name(one: LocalCriterion) -> str:
    """Return what the column of a local criterion is called."""
    return f"{one.label}, utilisation"


def _named(along: SectionForces, whose: str) -> list[tuple[str, Floats]]:
    """Return the moments and fibres of solid or beam with their names and units."""
    return [
        (f"{whose}vertical bending moment, N·m", along.bending_front_nmm / 1000),
        (f"{whose}fore-aft bending moment, N·m", along.bending_top_nmm / 1000),
        (f"{whose}torsion, N·m", along.torsion_nmm / 1000),
        *(
            (f"{whose}{name} fibre, MPa", along.fibres_mpa[:, k])
            for k, (name, _) in enumerate(FIBRES)
        ),
    ]


def charts_of(curves: Curves) -> tuple[Chart, ...]:
    """Return the charts of a case: moments, fibres, utilisations."""
    axis, solid, beam = curves.axis, curves.solid, curves.beam
    shares = [
        Line(one.label, one.id, solid.s_mm, share, one.label[0].upper())
        for one, share in curves.used.items()
    ]
    shares.append(
        Line(f"{YIELD.label} of the beam", f"{YIELD.id} beam", beam.s_mm, curves.beam_share)
    )
    outside = "Stress along the tube on the outer surface, MPa"
    full = (1.0, "at the limit")
    return (
        chart(axis, "moment", "Bending moment and torsion, N·m", _moments(solid, beam)),
        chart(axis, "stress", outside, _fibres(solid, beam)),
        chart(axis, "used", "Utilisation of each limit, the largest round the tube", shares, full),
    )


def wall_numbers(run: StudyRun) -> Numbers:
    """Return outer diameter and wall along the tube, with the wall's range in bends."""
    bar = run.study.bar
    s = np.unique(run.model.mesh.sheet.nodes[:, 0])
    theta = np.linspace(0, ONE_TURN, ROUND, endpoint=False)
    wall = local_wall_mm(bar, s[:, None], theta)
    columns = (
        ("outer diameter, mm", nominal_od_mm(bar, s)),
        ("wall, thickest round the tube, mm", wall.max(axis=1)),
        ("wall, thinnest round the tube, mm", wall.min(axis=1)),
    )
    return Numbers(s, columns)


def wall_charts(run: StudyRun) -> tuple[Chart, ...]:
    """Return the charts of the tube itself: outer diameter, wall with its range in bends."""
    axis, numbers = axis_of(run.study.bar), wall_numbers(run)
    diameter, thickest, thinnest = (values for _, values in numbers.columns)
    s = numbers.s_mm
    walls = [
        Line("thickest round the tube", "plain", s, thickest),
        Line("thinnest round the tube", "plain beam", s, thinnest),
    ]
    outer = [Line("outer diameter", "plain", s, diameter)]
    return (
        chart(axis, "diameter", "Outer diameter, mm", outer),
        chart(axis, "wall", "Wall, mm", walls),
    )


def _moments(solid: SectionForces, beam: SectionForces) -> Sequence[Line]:
    lines = []
    for answer, style, name in ((solid, "", ""), (beam, " beam", ", beam")):
        for moment, what, kind, letter in (
            (answer.bending_front_nmm, "vertical bending", "vertical", "V"),
            (answer.bending_top_nmm, "fore-aft bending", "level", "L"),
            (answer.torsion_nmm, "torsion", "torsion", "T"),
        ):
            mark = "" if name else letter
            lines.append(Line(what + name, kind + style, answer.s_mm, moment / 1000, mark))
    return lines


def _fibres(solid: SectionForces, beam: SectionForces) -> Sequence[Line]:
    lines = []
    for answer, style, suffix in ((solid, "", ""), (beam, " beam", ", beam")):
        for k, (name, letter) in enumerate(FIBRES):
            mark = "" if suffix else letter
            fibre = answer.fibres_mpa[:, k]
            lines.append(Line(name + suffix, f"fibre-{name}{style}", answer.s_mm, fibre, mark))
    return lines


def _beam_share(run: StudyRun, case: CaseRun) -> Floats:
    """Return the beam's nominal stress over the proof stress (n,) at its own places."""
    beam, bar = case.beam.rigid_bends, run.study.bar
    nominal = nominal_von_mises_mpa(bar, beam.s_mm, resultants_of(beam))
    return nominal / bar.spec.material.proof_stress_mpa


def _largest_mpa(case: CaseRun, rings: Rings) -> Floats:
    stress = case.stress
    outer, inner = (von_mises_mpa(side)[rings.nodes] for side in (stress.outer, stress.inner))
    largest: Floats = np.maximum(outer, inner).max(axis=1)
    return largest


def _at(s_mm: Floats, along: SectionForces, values: Floats) -> Floats:
    return np.interp(s_mm, along.s_mm, values)
