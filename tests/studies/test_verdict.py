"""What limits come to, in words."""

from dataclasses import replace

import numpy as np

from fea.stability.criteria import (
    CLAMP_SLIP,
    FATIGUE,
    LOCAL_BUCKLING,
    YIELD,
    Criterion,
    WeakInput,
)
from studies.assessment.limits import Limit
from studies.assessment.verdict import CLOSING, study_verdict, verdict
from studies.records.limit_text import failure_text
from studies.results.limit_record import limit_record


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


def test_a_range_that_is_not_verified_never_leads_as_a_fact() -> None:
    """Both ends, what they say of the load, and the nearest verified limit of any case beside."""
    memory = WeakInput("surface factor", "from memory")
    open_ = replace(limit(FATIGUE, 0.95, memory), factor_range=(0.95, 1.19, 1.46))
    cases = [("Push", [limit(YIELD, 1.2)]), ("Shake", [open_, limit(YIELD, 2.66)])]
    own = verdict(cases[1][1])
    assert own.startswith("Fatigue at 0.95 to 1.46 x load, not decided by this model: underside. ")
    assert "Among verified limits: first yield at 2.66 x load. " in own
    both = study_verdict(cases)
    assert "Among verified limits: first yield at 1.20 x load under 'Push'. " in both
    low = replace(open_, factor_range=(0.95, 0.97, 0.99))
    assert verdict([low]).startswith("Fatigue at 0.95 to 0.99 x load, below the load: underside.")
    assert "No limit rests on verified inputs alone." in verdict([low])
    high = replace(open_, load_factor=1.1)
    assert verdict([high]).startswith("Fatigue at 1.10 to 1.46 x load: underside.")


def test_a_studys_verdict_is_of_its_nearest_limit() -> None:
    """The case that governs is named, and a sum of stages that comes before it."""
    cases = [("Push", [limit(YIELD, 1.5)]), ("Twist", [limit(CLAMP_SLIP, 1.1)])]
    assert study_verdict(cases).startswith("Of 2 load cases 'Twist' governs. Clamp slip at 1.10 x")
    together = limit(FATIGUE, 0.9)
    assert study_verdict(cases, together).startswith("All repeated loads together govern. Fatigue")
    assert study_verdict(cases, limit(FATIGUE, 2.0)) == study_verdict(cases)
    assert study_verdict(cases[:1]) == f"{verdict(cases[0][1])} {CLOSING}"


def test_what_a_wrinkling_section_does_first() -> None:
    """Of a stocky tube, of a thin one and of two between; nothing of other limits."""
    wrinkle = limit(LOCAL_BUCKLING, 2.0)
    ratios = 1.18, 0.93, 1.02, 0.98
    said = [failure_text(limit_record(replace(wrinkle, moment_ratio=one))) for one in ratios]
    assert said == [
        "expected after a plastic hinge, at 1.18 x plastic moment",
        "expected before a plastic hinge, at 0.93 x plastic moment",
        "close to a plastic hinge, at 1.02 x plastic moment",
        "close to a plastic hinge, at 0.98 x plastic moment",
    ]
    assert not failure_text(limit_record(limit(YIELD, 1.0)))
