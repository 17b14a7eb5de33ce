"""What limits come to, in words."""

import numpy as np

from fea.stability.criteria import CLAMP_SLIP, FATIGUE, YIELD, Criterion, WeakInput
from studies.assessment.limits import Limit
from studies.assessment.verdict import CLOSING, study_verdict, verdict


def limit(criterion: Criterion, factor: float, *weak: WeakInput) -> Limit:
    """Return a limit at the underside."""
    return Limit(criterion, criterion.label, factor, "underside", 10.0, np.pi, weak)


def test_a_verdict_in_words() -> None:
    """First what comes first, then what follows, then what is weak in the first."""
    said = verdict([limit(FATIGUE, 0.84, WeakInput("force", "a guess")), limit(YIELD, 1.2)])
    assert said == (
        "Fatigue at 0.84 x load, below the load: underside. Further limits: first yield at 1.20 x "
        "load. Weakest inputs: force (a guess)."
    )
    assert verdict([limit(YIELD, 1.2)]) == "First yield at 1.20 x load: underside."


def test_a_studys_verdict_is_of_its_nearest_limit() -> None:
    """The case that governs is named, and a sum of stages that comes before it."""
    cases = [("Push", [limit(YIELD, 1.5)]), ("Twist", [limit(CLAMP_SLIP, 1.1)])]
    assert study_verdict(cases).startswith("Of 2 load cases 'Twist' governs. Clamp slip at 1.10 x")
    together = limit(FATIGUE, 0.9)
    assert study_verdict(cases, together).startswith("All repeated loads together govern. Fatigue")
    assert study_verdict(cases, limit(FATIGUE, 2.0)) == study_verdict(cases)
    assert study_verdict(cases[:1]) == f"{verdict(cases[0][1])} {CLOSING}"
