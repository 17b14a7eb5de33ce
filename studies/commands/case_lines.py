"""A load case in at most twelve lines: load, deflection, peak, nearest limits, accuracy."""

from collections.abc import Iterator, Sequence

from fea.solid.hot_spot import AT_CLAMP_EDGE
from geometry.source import UNSURE
from studies.commands.lines import WIDTH, first_that_fits, fitted, labelled
from studies.commands.units import in_inches, second_line, shown_bare
from studies.records.case import CaseRecord
from studies.records.fatigue import FatigueRecord
from studies.records.fatigue_text import brief_decision, brief_life, factor_text
from studies.records.gauges import reading_text
from studies.records.limit import LimitRecord
from studies.records.limit_text import failure_text
from studies.records.load_text import loads_in_words
from studies.records.measures import first_yield_factor
from studies.records.parts import gauge_mm, has_ram, own_points
from studies.records.places import capitalised, percent, rounded_cycles
from studies.records.supports import SupportsRecord, friction_text, ram_text, support_text

MOST_LINES, MOST_INCH_LINES = 12, 24
"""Of a case, in SI units and with inch units beside, which take second lines."""

NEAREST = 5
"""Limits of a case, the nearest first; `--verbose` prints all."""

SHOWN_GAUGES = 3
"""Of a study; `--verbose` prints all."""

NAME, PLACE = 16, 23
"""Columns of a table of limits at least; longer words widen them."""


def case_lines(number: int, case: CaseRecord, most: int | None = MOST_LINES) -> list[str]:
    """Return a case in at most `most` lines; with all its limits where that is None."""
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
    accuracy = labelled("Accuracy", _accuracy(case))
    most = MOST_INCH_LINES if most and in_inches() else most
    room = NEAREST if most is None else min(NEAREST, most - len(lines) - len(accuracy) - 1)
    kept = case.limits if most is None else case.limits[: max(1, room)]
    lines += limit_lines(kept)
    if most is None or len(lines) + len(accuracy) < most:
        lines += _failures(kept)
    return [*lines, *accuracy]


def limit_lines(limits: Sequence[LimitRecord]) -> Iterator[str]:
    """Yield a table of limits: factor, place, weakest input."""
    places = [_place(limit) for limit in limits]
    column = max(PLACE, *map(len, places))
    names = max(NAME, *(len(limit.name) for limit in limits))
    yield f"   {'Limit':<{names - 1}}{'x load':>6}  {'place':<{column}}  weakest input"
    for limit, place in zip(limits, places, strict=True):
        row = f"   {limit.name:<{names}}{_factor(limit.load_factor):>5}  {place:<{column}}  "
        yield f"{row}{_weakest(limit, WIDTH - len(row))}".rstrip()
        if below := second_line(place):
            yield f"{' ' * (len(row) - column - 2)}{below}"


def fatigue_text(fatigue: FatigueRecord) -> str:
    """Return factor, what its range says, and life in one line."""
    if fatigue.decided is None:
        return "not judged"
    return fitted(
        [f"{factor_text(fatigue)}, {brief_decision(fatigue)}", f"life {brief_life(fatigue)}"]
    )


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
    return fitted(parts)


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
    return fitted(parts)


def _peak(case: CaseRecord) -> str:
    at = case.peak_stress_at
    parts = [f"{case.peak_stress_mpa:.0f} MPa at {at.text}"]
    parts.append(f"beam {case.beam.peak_stress_mpa:.0f} MPa")
    return fitted([*parts, *(["hot-spot stress"] if at.rule == AT_CLAMP_EDGE else [])])


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


def _place(limit: LimitRecord) -> str:
    if limit.theta_deg is None:
        return "whole bar" if limit.place else "clamp"
    return first_that_fits((limit.place, limit.place.replace(" towards ", "/")), PLACE)


def _weakest(limit: LimitRecord, room: int) -> str:
    """Return the weakest input as fully as there is room: its evidence matters most."""
    if not limit.weak_inputs:
        return "none"
    one = limit.weak_inputs[0]
    short = one.input.partition(" (")[0].partition(" of ")[0].partition(" at ")[0]
    word = one.evidence.partition(",")[0].partition(":")[0]
    brief = (f"{short}, {word}", f"{short}, {word.removesuffix(' source')}", word, "")
    return first_that_fits((f"{one.input}, {one.evidence}", *brief), room)
