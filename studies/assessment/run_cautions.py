"""The plain cautions that stand beside every result."""

from collections.abc import Iterator

import numpy as np

from fea.clamp.contact import foundation_pressure_mpa
from fea.verification.checks import LEAST_SHARE_OF_PLAIN, MOST_SHARE_OF_FLEXIBLE
from geometry.centreline import locate
from geometry.source import MARKS, Source
from studies.assessment.bounds import deflection_mm
from studies.assessment.limits import UNSURE
from studies.assessment.run import CaseRun, StudyRun

LINEAR = "Computed linear elastic and static: a limit beyond first yield is an estimate"
NO_PATH = (
    f"{LINEAR}, and the load at which the bar takes a permanent set or collapses is not computed "
    "here; `barwright collapse` does that."
)
PATH = f"{LINEAR}; the path past yield stands apart and is elastic-plastic."

ALWAYS = (
    "The bare bar as described: no flaws, scratches, dents, knurling or corrosion.",
    "A bar that breaks hurts someone. These figures prepare a physical test and do not replace "
    "it; local rules, accredited tests and licensed practice decide.",
)

NO_TURN = 1e-6
"""Turn of the centre line within the clamp, between 33 places, that is none."""

WORTH_SAYING = 0.005
"""Share of the deflection below which the stem's stiffness is not worth a caution."""

NO_DEFLECTION = 1e-6
"""A mean displacement below this share of the largest one is zero by symmetry, but for noise."""

LARGE_TURN_RAD = 0.1
"""Above it small-displacement theory is off by more than about half a percent (1 - cos)."""


def case_cautions(run: StudyRun, case: CaseRun) -> tuple[str, ...]:
    """Return the cautions of a case, one sentence each, the general ones last."""
    found = [*_fatigue(case), *_strength(run, case), *_grip(run, case), *_bracket(case)]
    found += [*_bolts(run, case), *_steady(run, case)]
    found += [*_size(case)]
    found += [*_mesh(run, case), *_sources(run, case)]
    return (*found, PATH if case.path else NO_PATH, *ALWAYS)


def _fatigue(case: CaseRun) -> Iterator[str]:
    cycle = case.placed.case.cycle
    if cycle and cycle.preload:
        yield "A steady load under the repeated ones: it shifts their mean and is not repeated."
    elif cycle and not cycle.cycles:
        yield (
            "The static extreme of a repeated load: how often it comes is not given, so no life "
            "was computed."
        )
    elif case.life and case.life.result.stress_factor is None:
        notes = " ".join(case.life.result.notes)
        yield f"Fatigue is not judged, and --fail-under fails for it. {notes}"
    elif case.life:
        yield (
            "A fatigue life scatters by a factor of ten or more; scratches, corrosion and a sharp "
            "clamp edge shorten it."
        )


def _steady(run: StudyRun, case: CaseRun) -> Iterator[str]:
    cycle = case.placed.case.cycle
    steady = [one.placed.case.id for one in run.cases if _is_preload(one)]
    if steady and not (cycle and cycle.preload):
        yield (
            f"The steady load of {', '.join(steady)} counts in fatigue only: the other limits are "
            "of this load alone."
        )


def _is_preload(case: CaseRun) -> bool:
    cycle = case.placed.case.cycle
    return cycle is not None and cycle.preload


def _strength(run: StudyRun, case: CaseRun) -> Iterator[str]:
    material = run.study.bar.spec.material
    if case.peak.stress_mpa > material.proof_stress_mpa:
        yield (
            f"The peak of {case.peak.stress_mpa:.0f} MPa is above the proof stress of "
            f"{material.proof_stress_mpa:g} MPa: the bar yields there, and beyond that point a "
            "linear answer no longer holds."
        )
    if case.band.stress_mpa > case.peak.stress_mpa:
        yield (
            f"Inside a loaded length the stress reaches {case.band.stress_mpa:.0f} MPa, more than "
            "at the peak outside: partly the bending of the whole bar, partly how the load is "
            "brought in; --fail-under counts it."
        )


def _grip(run: StudyRun, case: CaseRun) -> Iterator[str]:
    if run.study.clamp.model == "rigid":
        yield (
            "The clamp is rigid: the deflection is a lower figure, and a peak at the clamp edge an "
            "upper one that grows with a finer mesh."
        )
        return
    nominal = deflection_mm(case.answer)
    if nominal < NO_DEFLECTION * float(np.abs(case.answer.displacement_mm).max()):
        return
    share = max(abs(one.deflection_mm / nominal - 1) for one in case.clamp_stiffness_study)
    if share > WORTH_SAYING:
        yield (
            "How firmly the stem holds is an estimate and the largest unknown of the deflection: "
            "between three times and a third of its stiffness it moves by up to "
            f"{100 * share:.1f} %."
        )


def _bolts(run: StudyRun, case: CaseRun) -> Iterator[str]:
    """Say where a clamp is taken on trust: no bolts given, a thin tube, a squeezing pressure."""
    clamp, line = run.study.clamp, run.study.bar.line
    inside = np.linspace(clamp.from_mm, clamp.to_mm, 33)
    if np.linalg.norm(np.diff(locate(line, inside).tangent, axis=0), axis=1).max() > NO_TURN:
        yield (
            "The clamp stands on a bend: slip, pressure and the foundation are those of a straight "
            "round tube."
        )
    if clamp.bolts is None and clamp.model == "elastic":
        pressure_mpa = foundation_pressure_mpa(run.model, case.answer.displacement_mm)
        pull = max(-float(pressure_mpa.min()), 0.0)
        yield (
            "Bolts were not given: the clamp is taken to hold everywhere, which needs a pressure "
            f"of at least {pull:.0f} MPa from its bolts; slip and preload stress were not computed."
        )
    for one in run.clamping.clamps if run.clamping else ():
        pressed = one.force.high_n / one.force.nominal_n * one.pressure_mpa
        if pressed > one.ring_buckling_mpa:
            yield (
                f"The {one.name}'s clamp presses with up to {pressed:.1f} MPa, more than "
                f"the {one.ring_buckling_mpa:.1f} MPa that press a free tube of this wall flat: "
                "it relies on a clamp that keeps it round."
            )
        if one.bolts.pressure == "cosine":
            yield (
                f"The {one.name}'s pressure is taken as a cosine on a tube that nothing keeps "
                "round: the stress that it gives is an upper figure and left out of the limits."
            )


def _bracket(case: CaseRun) -> Iterator[str]:
    plain = case.answer.work_nmm / case.beam.rigid_bends.work_nmm
    flexible = case.answer.work_nmm / case.beam.flexible_bends.work_nmm
    if plain < LEAST_SHARE_OF_PLAIN:
        yield (
            f"The solid does {plain:.3f} of the plain frame's work, less than a beam can: look for "
            "a load or clamp on a bend, or a bar too short to be a beam."
        )
    if flexible > MOST_SHARE_OF_FLEXIBLE:
        yield (
            f"The solid does {flexible:.3f} of the flexible frame's work, more than a beam can: "
            "look for a thin wall that dents or flattens at a load or at the clamp."
        )


def _size(case: CaseRun) -> Iterator[str]:
    turn = max(float(np.linalg.norm(point.rotation_rad)) for point in case.answer.load_points)
    if turn > LARGE_TURN_RAD:
        yield (
            f"A load point turns by {np.degrees(turn):.1f} deg: displacements are no longer small, "
            "and the true deflection differs from the linear one."
        )


def _mesh(run: StudyRun, case: CaseRun) -> Iterator[str]:
    error = case.error
    # a rigid clamp's edge is singular: no mesh is fine enough for it, and that is said elsewhere
    singular = run.study.clamp.model == "rigid" and case.peak.rule == "clamp edge"
    if error.deflection_percent > 1 or (error.stress_percent > 5 and not singular):
        yield (
            f"The mesh is too coarse here: estimated error {error.deflection_percent:.1f} % of the "
            f"deflection and {error.stress_percent:.1f} % of the stress at the peak; run a finer "
            "level."
        )


def _sources(run: StudyRun, case: CaseRun) -> Iterator[str]:
    material = run.study.bar.spec.material
    yield from _unsure(f"The strengths of {material.id} are", material.source)
    yield from _unsure("The loads of this case are", case.placed.case.source)


def _unsure(what: str, source: Source) -> Iterator[str]:
    if source.kind in UNSURE:
        yield f"{what} marked '{MARKS[source.kind]}': {source.reference}."
