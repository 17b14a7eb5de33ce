"""Which steps of a path are drawn, and what their pictures have in common: scale, places, words."""

from dataclasses import dataclass

import numpy as np

from fea.collapse.path_run import PathRun, Step
from fea.collapse.reading import YIELD_STRAIN, PathPoint
from fea.collapse.strain import StrainPeak
from geometry.arrays import Floats
from geometry.bar import Bar, axes, position_mm
from geometry.mesh import TubeMesh
from studies.assessment.run import CaseRun, StudyRun
from studies.collapse.local_place import local_in_words
from studies.collapse.outcome import Outcome, outcome_of
from studies.collapse.text import deflection_in_words, is_beyond_bifurcation, load_in_words
from studies.pictures.colour_scale import Legend
from studies.records.places import place_in_words

BEYOND_CAUTION = (
    "Elastic-plastic model without fracture; not a proof of strength. Physical tests and local "
    "rules decide: see the cautions in results.json."
)
"""Stands below every picture of a path."""


WITHIN = "last step before the strain limit"


@dataclass(frozen=True, eq=False)
class ShownStep:
    """A step that is drawn.

    Attributes:
        name: What it is, such as `limit load`.
        step: The step.
        reported: Whether it is the one whose place and collapse mode are reported.
    """

    name: str
    step: Step
    reported: bool


@dataclass(frozen=True, eq=False)
class ShownPath:
    """A path that is drawn.

    Attributes:
        run: The run that it belongs to.
        case: The case that it is of.
        path: The path.
        outcome: Its results.
        steps: Those that are drawn, in order.
        legend: The scale of plastic strain, alike for all of them.
    """

    run: StudyRun
    case: CaseRun
    path: PathRun
    outcome: Outcome
    steps: tuple[ShownStep, ...]
    legend: Legend

    @property
    def bar(self) -> Bar:
        """Return the bar."""
        return self.run.study.bar

    @property
    def reported(self) -> ShownStep:
        """Return the step whose place and collapse mode are reported."""
        return next(one for one in self.steps if one.reported)

    def point_of(self, one: ShownStep) -> PathPoint:
        """Return load and deflection of a drawn step; at a limit load those of the curve's top.

        The highest step stands for it, whose load is a little lower.
        """
        reading = one.step.reading
        top = self.outcome.limit_load if one.reported else None
        return top or PathPoint(reading.factor, reading.deflection)


def shown_path(run: StudyRun, case: CaseRun) -> ShownPath | None:
    """Return what is drawn of a case's path; None where it has none, or no step."""
    path = case.path
    outcome = outcome_of(run.study.bar, case, path) if path else None
    if path is None or outcome is None:
        return None
    steps = shown_steps(path, outcome)
    return ShownPath(run, case, path, outcome, steps, _legend(steps, outcome))


def shown_steps(path: PathRun, outcome: Outcome) -> tuple[ShownStep, ...]:
    """Return the step at first yield, the reported one and that at the end, each once, in order."""
    strains = [one.strain.value for one in path.readings]
    yielded = next((i for i, value in enumerate(strains) if value >= YIELD_STRAIN), None)
    named = [
        (yielded if outcome.yield_load else None, "first step past yield"),
        (outcome.reported, _reported_name(path, outcome)),
        (len(strains) - 1, "end of the path"),
    ]
    kept = {number: [name for at, name in named if at == number and name] for number, _ in named}
    return tuple(
        ShownStep(", ".join(names), path.steps[number], number == outcome.reported)
        for number, names in sorted((number, n) for number, n in kept.items() if number is not None)
    )


def _reported_name(path: PathRun, outcome: Outcome) -> str:
    """Return what the reported step is, empty where it is only the last."""
    if outcome.bifurcation:
        beyond = is_beyond_bifurcation(path, outcome)
        return "first step, beyond bifurcation" if beyond else "last step before bifurcation"
    return "limit load" if outcome.limit_load else WITHIN * bool(outcome.strain_limit)


def _legend(steps: tuple[ShownStep, ...], outcome: Outcome) -> Legend:
    """Return the scale of plastic strain in percent.

    It ends at the metal's elongation, the strain limit; and never below the strain of first yield,
    so that rounding is not coloured.
    """
    shown = [one.step.snapshot for one in steps]
    largest = max(float(max(one.outer.max(), one.inner.max())) for one in shown)
    end = min(largest, outcome.elongation or np.inf)
    top = 100 * max(end, YIELD_STRAIN)
    return Legend("plastic strain on the surfaces, %", top, by_root=True, open=end < largest)


def legend_note(shown: ShownPath) -> str:
    """Return the note on the scale of plastic strain."""
    if not shown.legend.open:
        edge = "At a clamp edge" if shown.run.study.clamp.holds else "Beside supports"
        return f"{edge} this strain depends on the mesh."
    return "The scale ends at the elongation (strain limit)."


def step_words(shown: ShownPath, one: ShownStep) -> str:
    """Return a step in words: its name, load and deflection."""
    factor, deflection = shown.point_of(one)
    load = load_in_words(shown.path, factor)
    return f"{one.name}: {load} at {deflection_in_words(shown.path, deflection)}"


def place_words(shown: ShownPath, peak: StrainPeak) -> str:
    """Return a place in words, on the surface that is nearer to it, and beside which support."""
    place = place_in_words(shown.bar, peak.s_mm, peak.theta_rad, peak.surface)
    return place + local_in_words(shown.bar, shown.case.placed.supports, peak)


def shares_of(step: Step, legend: Legend) -> tuple[Floats, Floats]:
    """Return plastic strain along the ramp on inner and outer surface, (P,) each."""
    shown = step.snapshot
    return legend.share(100 * shown.inner), legend.share(100 * shown.outer)


def moved_points_mm(mesh: TubeMesh, step: Step) -> Floats:
    """Return where all nodes (N, 3) are at a step, true to scale."""
    points: Floats = mesh.points_mm + step.snapshot.displacement_mm
    return points


def moved_place_mm(bar: Bar, mesh: TubeMesh, step: Step, peak: StrainPeak) -> Floats:
    """Return (3,): where a place of the outer surface is at a step, moved as the nearest node."""
    place = position_mm(bar, np.array(peak.s_mm), np.array(peak.theta_rad), np.array(1.0))
    nearest = int(np.argmin(np.linalg.norm(mesh.points_mm - place, axis=1)))
    moved: Floats = place + step.snapshot.displacement_mm[nearest]
    return moved


def outward_at(bar: Bar, peak: StrainPeak) -> Floats:
    """Return the outward normal (3,) at a place."""
    normal: Floats = axes(bar, np.array(peak.s_mm), np.array(peak.theta_rad))[2]
    return normal
