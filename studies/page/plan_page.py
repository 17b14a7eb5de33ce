"""plan.html: the plan of a test on one sheet of paper, A4 or US Letter."""

from studies.assessment.run import CaseRun, StudyRun
from studies.bench.plan_record import PlanRecord, ShownRecord, StepRecord
from studies.page.assets import sheet
from studies.page.filling import environment
from studies.page.plan_chart import plan_chart
from studies.page.set_up import SetUp, drawn_set_up
from studies.pictures.bench_drawing import Tag, bench_drawing
from studies.pictures.set_up import set_up_words
from studies.records.places import capitalised, grouped

LINES = ("Date", "Operator", "Specimen, mass g", "Press, gauge, calibrated", "Dials, calibrated")
"""To be written on, before the test."""


def plan_html(run: StudyRun, case: CaseRun, plan: PlanRecord, tags: tuple[Tag, ...]) -> str:
    """Return the page of a plan.

    Args:
        run: Of the case.
        case: That is tested.
        plan: What the page says.
        tags: Of its instruments, for the drawing.
    """
    return (
        environment()
        .get_template("plan.html")
        .render(
            style=sheet("plan.css"),
            plan=plan,
            set_up=_set_up(run, case, tags),
            chart=plan_chart(plan.expected, plan.steps),
            rows=[_row(one, plan) for one in plan.steps],
            reading=gauge_words,
            cycles=grouped,
            first=capitalised,
            lines=LINES,
        )
    )


def _set_up(run: StudyRun, case: CaseRun, tags: tuple[Tag, ...]) -> SetUp:
    return drawn_set_up(bench_drawing(run, case, tags), set_up_words(run, case))


def _row(step: StepRecord, plan: PlanRecord) -> dict[str, str]:
    """Return the cells of a step, as they are printed."""
    return {
        "number": str(step.number),
        "what": step.what,
        "load": f"{step.load:.{_decimals(step.load)}f}",
        "gauge": gauge_words(step.gauge, plan),
        "remark": step.gauge.remark if step.gauge else "",
        "divisions": divisions_words(step.gauge),
        "travel": travel_words(step),
        "band": band_words(step),
        "hold": f"{step.hold_s:g} s" if step.hold_s else "",
        "kind": step.kind,
    }


def _decimals(value: float) -> int:
    return 0 if abs(value) >= 100 or value == 0 else 1


def gauge_words(shown: ShownRecord | None, plan: PlanRecord) -> str:
    """Return a reading with as many decimals as the gauge's smallest step has."""
    if shown is None or plan.gauge is None:
        return ""
    division = plan.gauge.rig.get("resolution")
    decimals = max(0, 2 - len(f"{abs(shown.value):.0f}")) + (abs(shown.value) < 100)
    if division:
        text = f"{division:.6f}".rstrip("0")
        decimals = len(text.partition(".")[2])
    return f"{shown.value:.{decimals}f}"


def divisions_words(shown: ShownRecord | None) -> str:
    """Return how many divisions a reading has, and its error by the gauge's class."""
    if shown is None:
        return ""
    divisions = "" if shown.divisions is None else f"{shown.divisions:.0f}"
    error = "" if shown.error_percent is None else f"{shown.error_percent:.1f} %"
    return " / ".join(one for one in (divisions, error) if one)


def travel_words(step: StepRecord) -> str:
    """Return the travel, or the permanent set after an unloading."""
    if step.kind in ("unload", "release"):
        known = step.permanent_set is not None
        return f"set {step.permanent_set:.2f}" if known else "set"
    return "" if step.travel is None else f"{step.travel:.2f}"


def band_words(step: StepRecord) -> str:
    """Return the band of a travel."""
    if step.travel_low is None:
        return ""
    if step.travel_high is None:
        return f"above {step.travel_low:.2f}"
    return f"{step.travel_low:.2f} to {step.travel_high:.2f}"
