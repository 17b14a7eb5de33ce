"""The sentences of a test's plan: what each step is, when to stop, what to mind.

Stop criteria and cautions are common practice, no source.
"""

from collections.abc import Iterator, Sequence
from math import isfinite

from fea.stability.criteria import YIELD
from studies.bench.foreseen import Foreseen, travel_at, travel_band
from studies.bench.gauge import Gauge, force_n_at, resolves_peak
from studies.bench.plan_record import StepRecord
from studies.bench.plan_steps import Goal, Kind, top_load
from studies.bench.slope_window import LEAST_OF_FEW
from studies.bench.text import FEW_DIVISIONS
from studies.bench.unloading import UNLOADED
from studies.records.case import CaseRecord
from studies.records.parts import has_ram, own_points

FALL_PERCENT = 10
"""Of the largest reading, by which the load has fallen when a test ends."""

BEYOND = 1.2
"""Travel over that expected that ends a test where no band says how far it may go."""

CAUTIONS = (
    "A bar that breaks hurts someone: bent metal stores energy, fragments fly.",
    "Guard the press. Wear eye protection. Stand clear of the line of the bar and of the ram.",
    "Never a hand near the bar under load. Unload before touching, marking or measuring.",
    "A bar that was tested must never be ridden again: mark it.",
    "This plan prepares a test and does not replace it: local rules, the standard itself, "
    "accredited tests and licensed practice decide.",
)

WHAT: dict[Kind, str] = {
    "seat": "seat, zero the dials",
    "straight": "straight part",
    "load": "then unload",
    "unload": "unload, read set",
    "approach": "onwards",
    "offset": "about the offset load",
    "top": "by travel",
    "release": "unload, read set",
}


def step_words(kind: Kind, foreseen: Foreseen, load: float, *, standard: bool) -> str:
    """Return what a step is for."""
    if kind == "load" and abs(load / foreseen.case_load - 1) < 1e-9:
        return "load of the test" if standard else "load of the case"
    if kind == "top":
        return f"{foreseen.top.name}, by travel" if foreseen.top else "end of the straight line"
    if kind == "offset" and foreseen.offset and abs(load / foreseen.offset.load - 1) < 1e-9:
        return foreseen.offset.name
    return WHAT[kind]


def notes(
    case: CaseRecord, foreseen: Foreseen, goal: Goal, gauge: Gauge | None, command: str
) -> Iterator[str]:
    """Yield what the table and the curve rest on.

    Args:
        case: The case.
        foreseen: The expected curve.
        goal: How far the test goes.
        gauge: None where none is described.
        command: That traces a band.
    """
    if foreseen.traced and foreseen.band is None:
        yield f"No band was traced; {command} --band traces one."
    elif not foreseen.traced:
        yield f"No band, and nothing beyond the straight line: {command} --band traces both."
    if foreseen.case_load > top_load(foreseen, goal) * (1 + 1e-9):
        yield f"The case's load, {foreseen.case_load:.0f} {foreseen.load_unit}, lies beyond."
    yield from _places(case)
    if goal.hold_s is None:
        yield "Hold: by your test."
    low, high = (round(100 * share) for share in UNLOADED)
    yield f"On each way down read five points or more between {high} and {low} % of the load."
    if gauge:
        yield from _gauge_notes(gauge, top_load(foreseen, goal))


def cycle_notes(case: CaseRecord, foreseen: Foreseen, gauge: Gauge | None) -> Iterator[str]:
    """Yield what the cycles of a repeated case rest on."""
    if foreseen.case_load > foreseen.straight_to:
        yield f"The load lies beyond {YIELD.label}: travels are those of an elastic bar."
    yield "How fast: by your test; never so fast that the load at either end drifts."
    yield from _places(case)
    if gauge:
        yield from _gauge_notes(gauge, foreseen.case_load)


def _places(case: CaseRecord) -> Iterator[str]:
    count = len(own_points(case))
    if count > 1 and not has_ram(case):
        yield f"Loads and readings are of one place, the largest of {count}; all rise in step."


def coarse_notes(steps: Sequence[StepRecord]) -> Iterator[str]:
    """Yield a sentence where too few steps of the straight part are resolved."""
    straight = [one for one in steps if one.kind in ("straight", "load") and one.gauge]
    resolved = [one for one in straight if one.gauge and not one.gauge.remark]
    if any(one.gauge for one in steps) and len(resolved) < LEAST_OF_FEW:
        yield (
            f"Only {len(resolved)} steps of the straight part are resolved, and a slope needs "
            f"{LEAST_OF_FEW}: take a smaller ram or a finer gauge."
        )


def _gauge_notes(gauge: Gauge, peak_n: float) -> Iterator[str]:
    low, high = gauge.friction
    if high:
        middle, ends = f"{50 * (low + high):.2g} %", f"{100 * low:g} to {100 * high:g} %"
        yield f"Readings hold {middle} of seal friction, the middle of {ends}."
    if resolves_peak(gauge, peak_n) is False:
        yield f"Below {FEW_DIVISIONS} divisions at the peak: the gauge cannot resolve the peak."
    if gauge.rig.resolution is None:
        yield "Divisions are not known: give --resolution."


def stops(foreseen: Foreseen, goal: Goal, gauge: Gauge | None, room_mm: float) -> Iterator[str]:
    """Yield when to stop; after `room_mm` of travel a ram would meet its bed."""
    yield f"Load fallen by {FALL_PERCENT} % from its largest reading."
    yield from _travel_stop(foreseen, goal)
    yield "A crack, a creak or a bang; a visible crack, dent or wrinkle."
    yield "A step in a witness mark: the bar slips, what is read is no set."
    if gauge and gauge.rig.full_scale:
        most = force_n_at(gauge, gauge.rig.full_scale)
        yield f"Gauge at full scale: {gauge.rig.full_scale:g} {gauge.unit}, {most:.0f} N."
    if isfinite(room_mm):
        yield f"Ram travel of {room_mm:.0f} mm: the ram would meet its bed."
    yield "Ram at the end of its stroke, or anything touches that should not."


def _travel_stop(foreseen: Foreseen, goal: Goal) -> Iterator[str]:
    """Yield the travel at the case's load, or at the end of the straight part, that is too much."""
    load = min(foreseen.case_load, foreseen.straight_to, top_load(foreseen, goal))
    travel, band = travel_at(foreseen, load), travel_band(foreseen, load)
    if travel is None:
        return
    most = band[1] if band and band[1] else BEYOND * travel
    why = "the band's end" if band and band[1] else f"{BEYOND:g} x expected"
    much = f"{most:.1f} {foreseen.travel_unit} at {load:.0f} {foreseen.load_unit}"
    yield f"Travel above {much} ({why})."


def cycle_stops() -> Iterator[str]:
    """Yield when to stop repeated loads."""
    yield (
        f"Travel of either end changed by {FALL_PERCENT} % at the same load: look for a crack, "
        "then decide."
    )
    yield "A visible crack, a step in a witness mark, a loose bolt, noise."
    yield "Load that drifts by more than 5 %; anything touches that should not."
