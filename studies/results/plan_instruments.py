"""Where dials, strain gauges and witness marks of a test go, and what they should read.

Readings are those of the linear run at the case's load. Where instruments go is common practice,
no source: a strain gauge stands where strain is large and changes little over its grid, and one
more a diameter from the clamp's edge, where strain is that of a beam.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import atan2, degrees, hypot, pi, radians

import numpy as np

from fea.solid.gauges import gauge_readings
from geometry.arrays import Floats
from geometry.bar import axes, nominal_od_mm
from loadcases.gauges import Gauge, PlacedGauge
from loadcases.load import PlacedLoad
from loadcases.supports import ON_ENDS
from studies.assessment.acting import own_count
from studies.assessment.run import CaseRun, StudyRun
from studies.bench.foreseen import Foreseen, travel_at
from studies.pictures.bench_drawing import Tag
from studies.records.case import CaseRecord
from studies.records.gauges import reading_text
from studies.records.places import on_ruler, place_in_words, short

GRID_MM = 3.0
REACH_MM, STEP_MM = 25.0, 1.0
"""How far from the peak a strain gauge may go, and by which steps it is looked for."""

STEEP = 0.03
"""Change of the strain over a grid's length, as a share of it, that is too much."""

LEAST_STRAIN = 50.0
"""In µm/m: of less a strain gauge says little."""

FARTHER = 1.03
"""By how much a place must move more than the load's to have a dial of its own."""

MOST_GAUGES, MOST_NAME = 3, 40
"""Of a study that a page lists, and signs of the name of one."""


@dataclass(frozen=True)
class Instrument:
    """An instrument or mark: its tag, what it is, place and expected reading, tags on a drawing."""

    tag: str
    what: str
    place: str
    expected: str
    at: tuple[Tag, ...] = ()


def instruments(
    run: StudyRun, case: CaseRun, record: CaseRecord, foreseen: Foreseen
) -> tuple[Instrument, ...]:
    """Return dials, strain gauges, witness marks and the study's own gauges."""
    return (
        *_numbered("D", _dials(run, case, foreseen)),
        *_numbered("S", _strain_gauges(run, case)),
        *_numbered("W", _marks(run, case)),
        *_own(record),
    )


def _numbered(letter: str, found: Iterator[Instrument]) -> Iterator[Instrument]:
    for number, one in enumerate(found, start=1):
        tag = f"{letter}{number}"
        yield replace(one, tag=tag, at=tuple(replace(at, text=tag) for at in one.at))


def _dials(run: StudyRun, case: CaseRun, foreseen: Foreseen) -> Iterator[Instrument]:
    at_load = travel_at(foreseen, foreseen.case_load)
    travel = "not reached" if at_load is None else f"{at_load:.2f} {foreseen.travel_unit}"
    if case.placed.case.ram_force_n:
        yield Instrument("", "dial", "ram against bed, its travel", travel)
        yield Instrument("", "dial", "bed against frame: the rig's own give", "subtract")
        return
    load = _largest(case)
    tag = Tag("", load.at_mm, _facing_away(run, load))
    along = "along the load" if any(load.force_n) else "an angle gauge"
    yield Instrument("", "dial", f"{on_ruler(load.at_mm)}, {along}", travel, (tag,))
    yield from _farthest(run, case, load)
    if run.study.clamp.holds or case.placed.supports:
        held = "on the clamp" if run.study.clamp.holds else "on a support"
        yield Instrument("", "dial", f"{held}: the rig's own give", "subtract")


def _largest(case: CaseRun) -> PlacedLoad:
    """Return the largest of a case's own loads."""
    own = case.placed.loads[: own_count(case.placed, case.supports)]
    return max(own, key=lambda load: (hypot(*load.force_n), hypot(*load.moment_nmm)))


def _facing_away(run: StudyRun, load: PlacedLoad) -> float:
    """Return the angle round the tube of the side that a load pushes away from it."""
    if not any(load.force_n):
        return 0.0
    angles = np.linspace(0, 2 * pi, 8, endpoint=False)
    way = np.array(load.force_n) / hypot(*load.force_n)
    return float(max(angles, key=lambda angle: _normal(run, load.at_mm, angle) @ way))


def _normal(run: StudyRun, s_mm: float, theta: float) -> Floats:
    return np.asarray(axes(run.study.bar, np.array(s_mm), np.array(theta))[2])


def _farthest(run: StudyRun, case: CaseRun, load: PlacedLoad) -> Iterator[Instrument]:
    """Yield a dial where the bar moves farther than at its load."""
    moved = np.linalg.norm(case.answer.displacement_mm, axis=1)
    node = int(np.argmax(moved))
    s = float(run.model.mesh.block[node, 0])
    loads = (one for one in case.answer.load_points if one.load == load)
    if moved[node] > FARTHER * max(np.linalg.norm(one.displacement_mm) for one in loads):
        way = _way(case.answer.displacement_mm[node])
        tag = Tag("", s, _facing_away(run, load))
        place = f"{on_ruler(s)}, moves farthest, {way}"
        yield Instrument("", "dial", place, f"{moved[node]:.2f} mm", (tag,))


def _way(moved_mm: Floats) -> str:
    """Return the direction of a movement in words, by its largest part."""
    axis = int(np.argmax(np.abs(moved_mm)))
    words = (("leftward", "rightward"), ("rearward", "forward"), ("down", "up"))
    return words[axis][int(moved_mm[axis] > 0)]


def _strain_gauges(run: StudyRun, case: CaseRun) -> Iterator[Instrument]:
    s, angle, strain = _near_peak(run, case)
    theta = case.peak.theta_rad
    peak = place_in_words(run.study.bar, case.peak.s_mm, theta, case.peak.surface)
    place = place_in_words(run.study.bar, s, theta)
    beside = f"the peak is at {peak}" if place != peak else "at the peak"
    yield _strain(run, s, theta, angle, strain, beside)
    yield from _nominal(run, case)


def _strain(
    run: StudyRun, s: float, theta: float, angle: float, strain: float, why: str
) -> Instrument:
    along = "along the tube" if abs(angle) < 3 else f"{angle:.0f} deg to the axis"
    place = f"{place_in_words(run.study.bar, s, theta)}, {along}; {why}"
    return Instrument("", "strain", place, _signed(strain), (Tag("", s, theta),))


def _signed(strain: float) -> str:
    return f"{round(strain) + 0:d} µm/m".replace("-", "\u2212")


def _near_peak(run: StudyRun, case: CaseRun) -> tuple[float, float, float]:
    """Return place, angle in degrees and strain of a gauge near the peak, off steep gradients."""
    peak, line = case.peak, run.study.bar.line
    around = peak.s_mm + np.arange(-REACH_MM, REACH_MM + STEP_MM / 2, STEP_MM)
    kept = [float(s) for s in around if _is_free(run, case, float(s))] or [peak.s_mm]
    kept = [s for s in kept if line.left_end_mm + GRID_MM < s < line.right_end_mm - GRID_MM]
    angle = _principal_deg(run, case, min(kept, key=lambda s: abs(s - peak.s_mm)), peak.theta_rad)
    strain = np.array(_read(run, case, [(s, peak.theta_rad, angle) for s in kept]))
    slope = np.abs(np.gradient(strain, kept)) if len(kept) > 2 else np.zeros(len(kept))
    steep = slope * GRID_MM > STEEP * np.maximum(np.abs(strain), 1e-12)
    size = np.abs(strain) * np.where(steep, 0.0, 1.0)
    best = int(np.argmax(size)) if size.any() else int(np.argmin(slope))
    return kept[best], angle, float(strain[best])


def _is_free(run: StudyRun, case: CaseRun, s_mm: float) -> bool:
    """Return whether a gauge has room at a place: beside clamp, loads and supports."""
    clamp, half = run.study.clamp, GRID_MM
    if clamp.holds and abs(s_mm) < clamp.to_mm + half:
        return False
    return not any(one.from_mm - half < s_mm < one.to_mm + half for one in case.placed.bands)


def _principal_deg(run: StudyRun, case: CaseRun, s_mm: float, theta: float) -> float:
    """Return the angle of the larger principal strain, by three readings at 0, 45 and 90 deg.

    Source: strain rosette, textbook.
    """
    a, b, c = _read(run, case, [(s_mm, theta, angle) for angle in (0.0, 45.0, 90.0)])
    middle, half, shear = (a + c) / 2, (a - c) / 2, b - (a + c) / 2
    angle = degrees(atan2(shear, half)) / 2
    if middle < 0:
        angle += 90 if angle <= 0 else -90
    return angle


def _read(
    run: StudyRun, case: CaseRun, places: Sequence[tuple[float, float, float]]
) -> tuple[float, ...]:
    """Return strain in µm/m at places (s in mm, theta in radians) along angles in degrees."""
    gauges = [
        PlacedGauge(Gauge("", "strain", at_mm=s, theta_deg=degrees(t), angle_deg=angle), s)
        for s, t, angle in places
    ]
    return gauge_readings(run.model, gauges, case.answer.displacement_mm, case.stress)


def _nominal(run: StudyRun, case: CaseRun) -> Iterator[Instrument]:
    """Yield a gauge on the side in tension, a diameter from the clamp's edge, or in the middle."""
    od_mm = float(nominal_od_mm(run.study.bar, np.array(0.0)))
    side = 1.0 if case.placed.case.ram_force_n or _largest(case).at_mm > 0 else -1.0
    holds = run.study.clamp.holds
    s = side * (run.study.clamp.to_mm + od_mm) if holds else 0.0
    angles = [radians(one) for one in (0, 90, 180, 270)]
    strain = _read(run, case, [(s, theta, 0.0) for theta in angles])
    best = int(np.argmax(strain))
    if strain[best] > LEAST_STRAIN and _is_free(run, case, s) and abs(s - case.peak.s_mm) > STEP_MM:
        why = "a diameter from the clamp" if holds else "middle"
        yield _strain(run, s, angles[best], 0.0, strain[best], f"{why}, tension")


def _marks(run: StudyRun, case: CaseRun) -> Iterator[Instrument]:
    """Yield lines across bar and what holds it: a step in one is a slip and no set."""
    clamp = run.study.clamp
    if clamp.holds:
        at = clamp.to_mm
        tags = tuple(Tag("", s, 0.0) for s in (-at, at))
        place = f"across clamp edge and bar, left and right {at:.0f} mm"
        yield Instrument("", "mark", place, "no step", tags)
    standing = [one for one in case.placed.supports if one.kind not in ON_ENDS and not one.of_ram]
    if standing:
        where = " and ".join(sorted({on_ruler(one.at_mm) for one in standing}, reverse=True))
        tags = tuple(Tag("", one.at_mm, pi / 2) for one in standing)
        yield Instrument("", "mark", f"{where}, front, over the support", "how far", tags)
    elif case.placed.supports:
        yield Instrument("", "mark", "round the ends, on the bed", "how far")


def _own(record: CaseRecord) -> Iterator[Instrument]:
    for number, one in enumerate(record.gauges[:MOST_GAUGES], start=1):
        name, _, rest = reading_text(one).rpartition(": ")
        value, _, place = rest.partition(" at ")
        yield Instrument(f"G{number}", f"{one.kind}, {short(name, MOST_NAME)}", place, value)
    if len(record.gauges) > MOST_GAUGES:
        left = f"{len(record.gauges) - MOST_GAUGES} more"
        yield Instrument("G", "the study's other gauges", "in the results of run", left)
