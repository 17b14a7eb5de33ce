"""The linear assessment beside the path: whether it names the place and load of the collapse.

The assessment has a map for each limit. It named the place if the utilisation of the collapse
mode's map is there nearly the largest; the load is compared with the factor of that limit.
"""

from dataclasses import dataclass

import numpy as np

from fea.collapse.collapse_mode import Kind
from fea.collapse.strain import StrainPeak
from fea.stability.criteria import HOOP_YIELD, LOCAL_BUCKLING, YIELD, LocalCriterion
from fea.stability.stability import linear_factor
from geometry.bar import nominal_od_mm
from geometry.mesh import ONE_TURN
from studies.assessment.run import CaseRun, StudyRun

MAP_OF: dict[Kind, LocalCriterion] = {
    "plastic hinge": YIELD,
    "ovalisation": HOOP_YIELD,
    "wrinkle": LOCAL_BUCKLING,
    "clamp-edge dent": LOCAL_BUCKLING,
    "neck": YIELD,
}
"""The map of the linear assessment for each collapse mode."""

NAMED = 0.8
"""Share of the map's largest value from which on the place counts as named."""

REACH_RAD = np.pi / 4
"""Angle round the tube within which it is the same place, as half a diameter is along it."""


@dataclass(frozen=True)
class Agreement:
    """The assessment beside the path.

    Attributes:
        limit: The criterion of the collapse mode.
        share: Its utilisation at the place of collapse over its largest.
        named: Whether that is nearly 1.
        factor: Multiple of the load at that limit by the assessment, None where it has none.
    """

    limit: LocalCriterion
    share: float
    named: bool
    factor: float | None


def agreement_of(run: StudyRun, case: CaseRun, kind: Kind, peak: StrainPeak) -> Agreement:
    """Return the assessment of a case beside its collapse mode and place."""
    limit = MAP_OF[kind]
    used, (s, theta) = case.stability.local.used[limit.id], run.model.mesh.sheet.nodes.T
    half_mm = float(nominal_od_mm(run.study.bar, np.array(peak.s_mm))) / 2
    turn = np.abs((theta - peak.theta_rad + ONE_TURN / 2) % ONE_TURN - ONE_TURN / 2)
    near = (np.abs(s - peak.s_mm) <= half_mm) & (turn <= REACH_RAD)
    largest = float(used.max())
    share = float(used[near].max(initial=0.0)) / largest if largest else 0.0
    return Agreement(limit, share, share >= NAMED, _factor(run, case, limit))


def _factor(run: StudyRun, case: CaseRun, limit: LocalCriterion) -> float | None:
    if limit == YIELD:
        return run.study.bar.spec.material.proof_stress_mpa / case.peak.stress_mpa
    if limit == LOCAL_BUCKLING:
        return case.stability.wrinkling_factor
    return linear_factor(case.stability, limit)
