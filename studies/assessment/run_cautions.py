"""Remarks beside every result: cautions, limitations and warnings."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np

from fea.clamp.contact import foundation_pressure_mpa
from fea.fatigue.notes import notes_of
from fea.solid.hot_spot import AT_CLAMP_EDGE
from fea.verification.checks import (
    MAX_WORK_RATIO_FLEXIBLE,
    MIN_WORK_RATIO_RIGID,
    bends_as_beam,
)
from geometry.centreline import locate
from geometry.source import UNSURE, Source
from loadcases.case import is_sustained
from studies.assessment.bounds import deflection_mm, stiffness_n_per_mm
from studies.assessment.run import CaseRun, StudyRun


class Remark(NamedTuple):
    """A sentence or two beside a result.

    Attributes:
        kind: A caution can hurt someone; a limitation is of the model, a warning of an input.
        text: The sentences.
    """

    kind: Literal["caution", "limitation", "warning"]
    text: str


@dataclass(frozen=True)
class Remarks:
    """Remarks by kind."""

    cautions: tuple[str, ...]
    limitations: tuple[str, ...]
    warnings: tuple[str, ...]


ALWAYS = (
    Remark("caution", "A bar that breaks hurts someone."),
    Remark(
        "caution",
        "These figures prepare a physical test and do not replace it: accredited tests, local "
        "rules and licensed practice decide.",
    ),
    Remark("limitation", "Linear elastic, static: limits beyond first yield are estimates."),
    Remark("limitation", "Bare bar, no flaws, scratches, dents, knurling or corrosion."),
)

NO_PATH = Remark("limitation", "Permanent set and collapse: see `barwright collapse`.")
PATH = Remark("limitation", "The path past yield is elastic-plastic and reported separately.")

NO_TURN = 1e-6
"""Rotation of the centre line within the clamp, between 33 places, that counts as none."""

WORTH_SAYING = 0.005
"""Share of the deflection below which the clamp stiffness is not worth a remark."""

NO_DEFLECTION = 1e-6
"""A mean displacement below this share of the largest one is zero by symmetry, but for noise."""

COARSE_PERCENT = 8.0
"""Error estimate of a peak stress that asks for a finer mesh: the error is often a third of it."""

LARGE_ROTATION_RAD = 0.1
"""Above it small-displacement theory is off by more than about half a percent (1 - cos)."""


def remarks_of(run: StudyRun) -> tuple[Remarks, tuple[Remarks, ...]]:
    """Return the remarks that all cases share, the study's warnings first, and each case's own."""
    each = [case_remarks(run, case) for case in run.cases]
    shared = [one for one in each[0] if all(one in others for others in each)]
    warned = [Remark("warning", text) for text in run.study.warnings]
    own = tuple(_by_kind([one for one in found if one not in shared]) for found in each)
    return _by_kind([*warned, *shared]), own


def case_remarks(run: StudyRun, case: CaseRun) -> tuple[Remark, ...]:
    """Return the remarks on a case, the general ones first."""
    found = [
        *_fatigue(run, case),
        *_strength(run, case),
        *_supports(case),
        *_clamp_stiffness(run, case),
    ]
    found += [*_work_ratios(case), *_clamps(run, case), *_sustained(run, case), *_size(case)]
    found += [*_mesh(run, case), *_sources(run, case)]
    return (*ALWAYS, *([] if case.supports else [PATH if case.path else NO_PATH]), *found)


def _by_kind(found: Sequence[Remark]) -> Remarks:
    kinds = ("caution", "limitation", "warning")
    return Remarks(*(tuple(one.text for one in found if one.kind == kind) for kind in kinds))


def _fatigue(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    cycle = case.placed.case.cycle
    if is_sustained(case.placed.case):
        yield Remark(
            "limitation",
            "Sustained load under the repeated loads: it shifts their mean and is not repeated.",
        )
    elif cycle and not cycle.cycles:
        yield Remark(
            "limitation",
            "Static extreme of a repeated load: without a number of cycles no life is computed.",
        )
    elif case.life and case.life.result.factor is None:
        notes = " ".join(notes_of(case.life.result, run.study.bar.spec.material))
        yield Remark("caution", f"Fatigue is not judged, and --fail-under fails for it. {notes}")
    elif case.life:
        yield Remark(
            "caution",
            "Fatigue range of smooth, unscratched bars; scratches, corrosion, welds, overloads and "
            "a sharp clamp edge shorten the life.",
        )


def _sustained(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    sustained = [one.placed.case.id for one in run.cases if is_sustained(one.placed.case)]
    if sustained and not is_sustained(case.placed.case):
        yield Remark(
            "limitation",
            f"The sustained load of {', '.join(sustained)} counts in fatigue only. "
            "The other limits are of this load alone.",
        )


def _strength(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    proof = run.study.bar.spec.material.proof_stress_mpa
    if case.peak.stress_mpa > proof:
        yield Remark(
            "caution",
            f"Peak stress above the proof stress of {proof:g} MPa: the bar yields there, and "
            "linear figures are no longer valid.",
        )
    if case.band.stress_mpa > case.peak.stress_mpa:
        yield Remark(
            "caution",
            f"Stress inside a load band reaches {case.band.stress_mpa:.0f} MPa, above the peak "
            "outside. Overall bending and the load introduction both contribute; --fail-under "
            "counts it.",
        )


def _supports(case: CaseRun) -> Iterator[Remark]:
    """Yield what a linear run leaves out of supports."""
    if case.supports is None:
        return
    yield Remark(
        "limitation",
        "Supports hold rings that keep their shape: dents under rollers and feet, and friction on "
        "the way back, are left out, and need barwright collapse. Elastic buckling takes their "
        "forces as loads.",
    )


def _clamp_stiffness(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    if run.study.clamp.model == "rigid":
        yield Remark(
            "limitation",
            "Rigid clamp: deflection is a lower bound. A peak at the clamp edge is an upper bound "
            "that grows with a finer mesh.",
        )
        return
    nominal = deflection_mm(case.answer, case.supports)
    if nominal < NO_DEFLECTION * float(np.abs(case.answer.displacement_mm).max()):
        return
    shares = [abs(one.deflection_mm / nominal - 1) for one in case.clamp_stiffness_study]
    if (share := max(shares, default=0.0)) > WORTH_SAYING:
        most = "" if _by_friction(case) > share else " and the largest unknown of the deflection"
        yield Remark(
            "limitation",
            f"Clamp stiffness is an estimate{most}: x 1/3 to x 3 changes "
            f"{'it' if most else 'the deflection'} by up to {100 * share:.1f} %.",
        )


def _by_friction(case: CaseRun) -> float:
    """Return the largest share by which none, or twice, of the friction changes a ram's travel."""
    known = case.supports.by_friction if case.supports else ()
    nominal = stiffness_n_per_mm(case.answer, case.supports)
    return max((abs(nominal / one - 1) for _, one in known if nominal), default=0.0)


def _clamps(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    """Yield what is assumed of a clamp: no bolts given, a bend in it, a thin tube under it."""
    clamp, line = run.study.clamp, run.study.bar.line
    if not clamp.holds:
        yield Remark(
            "limitation",
            "The bar lies free: displacements count from the mean motion of the cross-section at "
            "its middle, or from supports that stand still.",
        )
        return
    inside = np.linspace(clamp.from_mm, clamp.to_mm, 33)
    if np.linalg.norm(np.diff(locate(line, inside).tangent, axis=0), axis=1).max() > NO_TURN:
        yield Remark(
            "limitation",
            "Clamp on a bend: slip, pressure and foundation are those of a straight round tube.",
        )
    if clamp.bolts is None and clamp.model == "elastic":
        pressure_mpa = foundation_pressure_mpa(run.model, case.answer.displacement_mm)
        pull = max(-float(pressure_mpa.min()), 0.0)
        text = "Bolts not given: clamp slip and preload stress are not computed."
        yield Remark("limitation", text)
        text = f"Contact over the whole clamp needs a bolt pressure of at least {pull:.0f} MPa."
        yield Remark("limitation", text)
    yield from _pressures(run)


def _pressures(run: StudyRun) -> Iterator[Remark]:
    for one in run.clamping.clamps if run.clamping else ():
        pressed = one.force.high_n / one.force.nominal_n * one.pressure_mpa
        if pressed > one.ring_buckling_mpa:
            yield Remark(
                "caution",
                f"Pressure of the {one.name}'s clamp, up to {pressed:.1f} MPa, exceeds the ring "
                f"buckling pressure of {one.ring_buckling_mpa:.1f} MPa. "
                "Only a clamp that keeps the tube round prevents collapse.",
            )
        if one.bolts.pressure == "cosine":
            yield Remark(
                "limitation",
                f"Pressure of the {one.name} is taken as a cosine on a free tube. "
                "Its stress is an upper bound, left out of the limits.",
            )


def _work_ratios(case: CaseRun) -> Iterator[Remark]:
    if not bends_as_beam(case.answer, case.beam.rigid_bends):
        return
    plain = case.answer.work_nmm / case.beam.rigid_bends.work_nmm
    flexible = case.answer.work_nmm / case.beam.flexible_bends.work_nmm
    if plain < MIN_WORK_RATIO_RIGID:
        yield Remark(
            "warning",
            f"Work ratio solid / beam (k = 1) {plain:.3f}, less than a beam allows. Likely cause: "
            "a load or clamp on a bend, or a bar too short for a beam.",
        )
    if flexible > MAX_WORK_RATIO_FLEXIBLE:
        yield Remark(
            "warning",
            f"Work ratio solid / beam (flexible bends) {flexible:.3f}, more than a beam allows. "
            "Likely cause: a thin wall that dents or flattens at a load or the clamp.",
        )


def _size(case: CaseRun) -> Iterator[Remark]:
    rotation = max(float(np.linalg.norm(point.rotation_rad)) for point in case.answer.load_points)
    if rotation > LARGE_ROTATION_RAD:
        yield Remark(
            "warning",
            f"A load point rotates by {np.degrees(rotation):.1f} deg: displacements are not small, "
            "and the true deflection differs from the linear one.",
        )


def _mesh(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    error = case.error
    # a rigid clamp's edge is singular: no mesh is fine enough for it, and that is said elsewhere
    singular = run.study.clamp.model == "rigid" and case.peak.rule == AT_CLAMP_EDGE
    if error.deflection_percent > 1 or (error.stress_percent > COARSE_PERCENT and not singular):
        yield Remark(
            "warning",
            f"Mesh too coarse: error estimate {error.deflection_percent:.1f} % of the "
            f"deflection, {error.stress_percent:.1f} % of the peak stress; use a finer level.",
        )


def _sources(run: StudyRun, case: CaseRun) -> Iterator[Remark]:
    material = run.study.bar.spec.material
    yield from _unsure(f"Strengths of {material.id}", material.source)
    yield from _unsure("Loads of this case", case.placed.case.source)


def _unsure(what: str, source: Source) -> Iterator[Remark]:
    if source.kind in UNSURE:
        yield Remark("limitation", f"{what}: {UNSURE[source.kind]}; {source.reference}.")
