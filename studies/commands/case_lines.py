"""A load case in lines: load, deflection, peak, nearest limits, accuracy."""

from collections.abc import Iterator, Sequence
from itertools import zip_longest

from fea.solid.hot_spot import AT_CLAMP_EDGE
from geometry.source import UNSURE
from studies.commands.lines import WIDTH, cell, first_that_fits, labelled
from studies.commands.units import second_line, shown_bare
from studies.records.case import CaseRecord
from studies.records.fatigue import FatigueRecord
from studies.records.fatigue_text import brief_decision, factor_text, life_text
from studies.records.gauges import reading_text
from studies.records.limit import LimitRecord
from studies.records.limit_text import failure_text
from studies.records.load_text import loads_in_words
from studies.records.measures import first_yield_factor
from studies.records.parts import gauge_mm, has_ram, own_points
from studies.records.places import capitalised, percent, rounded_cycles
from studies.records.supports import SupportsRecord, friction_text, ram_text, support_text

NEAREST = 5
"""Limits of a case, the nearest first; `--verbose` prints all."""

SHOWN_GAUGES = 3
"""Of a study; `--verbose` prints all."""

NAME, PLACE, WEAKEST = 16, 24, 12
"""Columns of a table of limits: names at least, places, weakest inputs at least."""


def case_lines(number: int, case: CaseRecord, nearest: int | None = NEAREST) -> list[str]:
    """Return a case with its nearest limits, all of them where `nearest` is None."""
    lines = labelled(f"{number}", _title(case), 0, 3)
    lines += labelled("Ram" if has_ram(case) else "Load", _load(case))
    lines += _supports(case.supports)
    lines += labelled("Ram travel" if has_ram(case) else "Deflection", _deflection(case))
    for gauge in case.gauges[:SHOWN_GAUGES]:
        lines += labelled("Gauge", reading_text(gauge))
    lines += labelled("Peak stress", _peak(case))
    lines += _yields(case)
    if case.fatigue:
        lines += labelled("Fatigue", fatigue_text(case.fatigue))
    kept = case.limits[:nearest]
    return [*lines, *limit_lines(kept), *_failures(kept), *labelled("Accuracy", _accuracy(case))]


def limit_lines(limits: Sequence[LimitRecord]) -> Iterator[str]:
    """Yield a table of limits: factor, place, weakest input."""
    names = max(NAME, *(len(limit.name) for limit in limits))
    yield f"   {'Limit':<{names - 1}}{'x load':>6}  {'place':<{PLACE}}  weakest input"
    for limit in limits:
        head = f"   {limit.name:<{names}}{_factor(limit.load_factor):>5}  "
        room = max(WEAKEST, WIDTH - len(head) - PLACE - 2)
        for place, weakest in zip_longest(_place(limit), _weakest(limit, room), fillvalue=""):
            yield f"{head}{place:<{PLACE}}  {weakest}".rstrip()
            head = " " * len(head)


def fatigue_text(fatigue: FatigueRecord) -> str:
    """Return factor, what its range says, and life."""
    if fatigue.decided is None:
        return "not judged"
    life = life_text(fatigue).partition(" cycles")[0]
    return f"{factor_text(fatigue)}, {brief_decision(fatigue)}; life {life}"


def evidence(kind: str) -> str:
    """Return the evidence of a value in a word or two, from the kind of its source."""
    words = {**{str(one): word for one, word in UNSURE.items()}, "measured": "measured"}
    return words.get(kind, "source")


def _title(case: CaseRecord) -> str:
    known = case.source.kind not in UNSURE
    return f"{case.title} ({case.id}{'' if known else f'; loads {evidence(case.source.kind)}'})"


def _load(case: CaseRecord) -> str:
    if case.supports and has_ram(case):
        return ram_text(case.supports)
    parts = [loads_in_words(own_points(case))]
    if case.fatigue:
        parts.append(f"{rounded_cycles(case.fatigue.cycles)} cycles")
    return "; ".join(parts)


def _supports(supports: SupportsRecord | None) -> Iterator[str]:
    """Yield each support, and of a ram's the range that friction leaves."""
    for one in supports.supports if supports else ():
        yield from labelled("Support", support_text(one))
    if supports and (text := friction_text(supports)):
        yield from labelled("Friction", text)


def _deflection(case: CaseRecord) -> str:
    along = None if has_ram(case) else gauge_mm(case)
    bounds = (case.beam.rigid_bends.deflection_mm, case.beam.flexible_bends.deflection_mm)
    parts = [f"{case.deflection_mm:.2f} mm"]
    parts += [] if along is None else [f"along the load {shown_bare(f'{along:.2f}', 'mm')}"]
    # a tube between platens is not bent
    between = shown_bare(f"{bounds[0]:.2f} to {bounds[1]:.2f}", "mm")
    parts += [f"beam bounds {between}"] if any(bounds) else []
    return "; ".join(parts)


def _peak(case: CaseRecord) -> str:
    at = case.peak_stress_at
    parts = [f"{case.peak_stress_mpa:.0f} MPa at {at.text}"]
    parts.append(f"beam {case.beam.peak_stress_mpa:.0f} MPa")
    return "; ".join([*parts, *(["hot-spot stress"] if at.rule == AT_CLAMP_EDGE else [])])


def _yields(case: CaseRecord) -> list[str]:
    """Return both yield factors where the clamps' preload makes the nearer of them."""
    bare, less = f"{case.yield_factor:.2f}", f"{first_yield_factor(case):.2f}"
    if bare == less:
        return []
    return labelled("Yield factor", f"{bare} without bolt preload; {less} with it")


def _accuracy(case: CaseRecord) -> str:
    error = case.error_estimate
    failed = [check.name for check in case.checks if not check.passed]
    passed = f"checks {len(case.checks) - len(failed)}/{len(case.checks)}"
    errors = f"{percent(error.deflection_percent)} deflection, {percent(error.stress_percent)} peak"
    text = f"error estimate {errors}; {passed}"
    return f"{text}, failed: {', '.join(failed)}" if failed else text


def _failures(limits: Sequence[LimitRecord]) -> Iterator[str]:
    """Yield whether a hinge is expected before the wall wrinkles: at most one limit says it."""
    for limit in limits:
        if text := failure_text(limit):
            yield from labelled(capitalised(limit.name), text)


def _factor(factor: float) -> str:
    return f"{factor:.{2 if factor < 10 else 1 if factor < 100 else 0}f}"


def _place(limit: LimitRecord) -> list[str]:
    """Return the lines of a place, those in inch units below."""
    if limit.theta_deg is None:
        return ["whole bar" if limit.place else "clamp"]
    place = first_that_fits((limit.place, limit.place.replace(" towards ", "/")), PLACE)
    below = second_line(place)
    return [*cell(place, PLACE), *(cell(below, PLACE) if below else [])]


def _weakest(limit: LimitRecord, room: int) -> list[str]:
    """Return the weakest input with its evidence, its details too where one line has room."""
    if not limit.weak_inputs:
        return ["none"]
    one = limit.weak_inputs[0]
    short = one.input.partition(" (")[0].partition(" of ")[0].partition(" at ")[0]
    word = one.evidence.partition(",")[0].partition(":")[0]
    return cell(first_that_fits((f"{one.input}, {one.evidence}", f"{short}, {word}"), room), room)
