"""The linear assessment beside the path: whether it names the place and load of the collapse.

The assessment has a map for each limit. It named the place if the map of what happened is used
there nearly as much as anywhere; the load is set beside the multiple that it gave for that limit.
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
"""Share of the map's largest value from which on it named the place."""

REACH_RAD = np.pi / 4
"""Round the tube, as half a diameter is along it: what still is the same place."""


@dataclass(frozen=True)
class Agreement:
    """The assessment beside the path.

    Attributes:
        limit: The map that speaks of what happened.
        share: Of its largest value, what it has at the place where the bar gave.
        named: Whether that is nearly all.
        factor: Multiple of the load that the assessment gave for it, None where it gave none.
    """

    limit: LocalCriterion
    share: float
    named: bool
    factor: float | None


def agreement_of(run: StudyRun, case: CaseRun, kind: Kind, peak: StrainPeak) -> Agreement:
    """Return the assessment of a case beside the way and the place in which it gave."""
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
