"""What one computed design says of its load cases: figures, and utilisation stretch by stretch."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from fea.clamp.preloaded_yield import yield_multiples
from fea.fatigue.life import judged_places
from fea.fatigue.low_end_field import LowEndField, field_at
from fea.fatigue.stages import case_stages, study_stages
from fea.solid.hot_spot import SURFACES, SurfaceName
from fea.solid.recovery import von_mises_mpa
from fea.stability import criteria
from fea.stability.criteria import FATIGUE, LOCAL_BUCKLING, YIELD
from geometry.arrays import Floats, Ints
from geometry.properties import mass_g
from loadcases.case import is_reversed
from loadcases.fatigue_inputs import SpectrumEntry
from studies.assessment.bounds import deflection_mm, stiffness_n_per_mm
from studies.preview.rough_run import RoughCase, RoughRun

PartKey = int | str
"""A stretch by its number, or a clamp's edge by its name."""


@dataclass(frozen=True)
class Used:
    """The largest utilisation of a part of the bar.

    Attributes:
        value: One over the multiple of the load that uses it up.
        s_mm: Where.
        theta_rad: Likewise.
        surface: Likewise.
    """

    value: float
    s_mm: float
    theta_rad: float
    surface: SurfaceName = "outer"


Parts = Mapping[PartKey, Used]


@dataclass(frozen=True, eq=False)
class CaseReading:
    """What a design says of a load case.

    Attributes:
        figures: Values by name; only those that it has.
        peak: Stress of the load alone over the proof stress.
        used: By the id of the criterion, part by part; without local buckling.
        fatigue: Utilisation by fatigue at the low end, None where none is known.
    """

    figures: Mapping[str, float]
    peak: Parts
    used: Mapping[str, Parts]
    fatigue: LowEndField | None


@dataclass(frozen=True, eq=False)
class DesignReading:
    """What a design says.

    Attributes:
        mass_g: Its mass.
        cases: Of each case, in the study's order.
        together: Utilisation of all repeated loads combined, part by part; empty without it.
    """

    mass_g: float
    cases: tuple[CaseReading, ...]
    together: Parts


def read_design(run: RoughRun, stretch: Ints) -> DesignReading:
    """Return what a design says, by the stretch (P,) of each node of its sheet."""
    cases = tuple(_case(run, case, stretch) for case in run.cases)
    together = _fatigue(run, study_stages(run.repeated.inputs, run.repeated.cases))
    return DesignReading(mass_g(run.study.bar), cases, _fatigue_parts(run, together, stretch))


def _case(run: RoughRun, case: RoughCase, stretch: Ints) -> CaseReading:
    used = {
        one.id: _largest(run, np.stack([case.local.used[one.id]]), stretch)
        for one in criteria.LOCAL
        if one != LOCAL_BUCKLING
    }
    fatigue = _fatigue(run, case_stages(case.placed))
    used[YIELD.id] = _largest(run, _yield_with_preload(run, case), stretch)
    used[FATIGUE.id] = _fatigue_parts(run, fatigue, stretch)
    return CaseReading(_figures(case), _largest(run, _yield(run, case), stretch), used, fatigue)


def _figures(case: RoughCase) -> dict[str, float]:
    stiffness = stiffness_n_per_mm(case.answer, case.supports)
    found = {"deflection_mm": deflection_mm(case.answer, case.supports)}
    return found if stiffness is None else {**found, "stiffness_n_per_mm": stiffness}


def _largest(run: RoughRun, used: Floats, stretch: Ints) -> Parts:
    """Return the largest of a map (f, P) of one or both surfaces in each stretch that has any."""
    found: dict[PartKey, Used] = {}
    for number in np.unique(stretch):
        nodes = np.flatnonzero(stretch == number)
        face, at = divmod(int(np.argmax(used[:, nodes])), len(nodes))
        value = float(used[face, nodes[at]])
        if 0 < value < np.inf:
            s, theta = run.model.mesh.sheet.nodes[nodes[at]]
            found[int(number)] = Used(value, float(s), float(theta), SURFACES[face])
    return found


def _yield(run: RoughRun, case: RoughCase) -> Floats:
    """Return (2, P) the von Mises stress over the proof stress, 0 where it is not read."""
    proof = run.study.bar.spec.material.proof_stress_mpa
    faces = np.stack([von_mises_mpa(case.read.outer), von_mises_mpa(case.read.inner)])
    return np.where(case.read.counted, faces / proof, 0.0)


def _yield_with_preload(run: RoughRun, case: RoughCase) -> Floats:
    """Return (2, P) one over the multiple at first yield, by the load or with the preload."""
    used, loads = _yield(run, case), case.placed.loads
    if run.clamping is None or run.clamping.has_cosine_pressure:
        return used
    both, largest = is_reversed(case.placed.case), run.clamping.largest
    factors = yield_multiples(run.model, largest, loads, case.stress, both_ways=both)
    return np.maximum(used, np.divide(1.0, factors, out=np.zeros_like(used), where=factors > 0))


def _fatigue(run: RoughRun, stages: Sequence[SpectrumEntry]) -> LowEndField | None:
    metal = run.study.bar.spec.material
    if not stages or not (metal.fatigue or metal.endurance):
        return None
    reliability = run.study.fatigue.reliability_factor
    return field_at(run.model, judged_places(run.repeated, stages), reliability)


def _fatigue_parts(run: RoughRun, field: LowEndField | None, stretch: Ints) -> Parts:
    """Return fatigue utilisation: each clamp edge, and stretches elsewhere."""
    if field is None:
        return {}
    faces = np.nan_to_num(np.stack([field.outer, field.inner]), nan=0.0)
    edges: dict[PartKey, Used] = {
        edge_name(edge.s_mm): Used(edge.value, edge.s_mm, edge.theta_rad) for edge in field.edges
    }
    return {**_largest(run, faces, stretch), **edges}


def edge_name(s_mm: float) -> str:
    """Return the name of the part that is a clamp's edge."""
    return f"edge {s_mm:.2f}"
