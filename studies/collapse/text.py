"""The results of a path in full sentences."""

from collections.abc import Iterator
from math import degrees

from fea.collapse.path_run import PathRun
from fea.collapse.reading import PathPoint, Reading
from fea.stability.criteria import YIELD
from fea.stability.stress_strain import curve_source
from geometry.material import Material, has_own_curve
from geometry.source import MARKS
from loadcases.path_control import PathControl
from studies.collapse.agreement import Agreement
from studies.collapse.outcome import Bifurcation, KnockDown, Offset, Outcome, Unloading
from studies.records.places import on_ruler

KINDS = {
    "plastic hinge": "plastic hinge (bending, hardly any ovalisation)",
    "ovalisation": "ovalisation (flattened section)",
    "wrinkle": "wrinkle (local fold of the wall)",
    "neck": "necking (thinned wall in tension)",
    "clamp-edge dent": "dent of the wall at the clamp edge",
}

SHAPES = {"ripple": "ripples", "mode": "the first buckling mode"}

YIELD_WORDS = "0.2 % plastic strain"

NEAR = 0.1
"""Difference in load up to which the assessment and the path agree."""


def load_in_words(path: PathRun, factor: float) -> str:
    """Return a load with its unit: N, or N·m of one end for moments."""
    load = factor * path.load
    return f"{load / 1000:.0f} N·m" if path.by_moments else f"{load:.0f} N"


def deflection_in_words(path: PathRun, deflection: float) -> str:
    """Return a deflection with its unit: mm, or degrees for moments."""
    return f"{degrees(deflection):.1f} deg" if path.by_moments else f"{deflection:.1f} mm"


def step_in_words(step: Reading, load: float, end: float, *, by_moments: bool) -> str:
    """Return a step while the path is traced to `end`: how far, load, plastic strain."""
    load *= step.factor
    far = (
        f"{degrees(step.deflection):.1f} of {degrees(end):.1f} deg, {load / 1000:.0f} N·m"
        if by_moments
        else f"{step.deflection:.1f} of {end:g} mm, {load:.0f} N"
    )
    return f"{far}, plastic strain {100 * step.strain.value:.2g} %"


def sentences(
    path: PathRun,
    found: Outcome,
    place: str | None,
    limit_mm: float | None,
    agreement: Agreement | None,
    yielded: str | None = None,
) -> Iterator[str]:
    """Yield the results of a path, one fact a sentence.

    Args:
        path: The path.
        found: Its results.
        place: Where it collapses, in words; None while it is elastic.
        limit_mm: Permanent set that the test allows at the case's own load, None where none is
            stated.
        agreement: The linear assessment beside it.
        yielded: Where the yield load is reached, in words; None where it is not.
    """
    yield from (_level(path, level, limit_mm) for level in found.unloadings)
    yield from _yield_load(path, found)
    yield from [f"First yield: {yielded}."] if yielded else []
    yield from _collapse(path, found, place)
    if not is_beyond_bifurcation(path, found):
        yield from _strain(path, found)
    if agreement:
        yield agreement_in_words(path, found, agreement)
    if path.path_control.imperfection_percent:
        yield f"Imperfection: {imperfection_in_words(path.path_control)}."
    yield from _knock_down(path, found)
    if not is_beyond_bifurcation(path, found):
        yield f"Absorbed energy up to that step: {found.absorbed_energy_nmm / 1000:.0f} J."


def accuracy_in_words(material: Material) -> str:
    """Return the accuracy of a path's loads, and their sensitivities."""
    source = material.stress_strain_source or material.source
    own = has_own_curve(material)
    mark = MARKS[(source if own else curve_source(material)).kind]
    return (
        "Accuracy: mesh, layers and steps change the load by less than 2 % (convergence study on "
        f"the riser). Flow curve ({mark}), wall, proof stress and clamp stiffness have more effect."
    )


def imperfection_in_words(path_control: PathControl) -> str:
    """Return the imperfection of a path's wall."""
    return f"{SHAPES[path_control.shape]} of {path_control.imperfection_percent:g} % of the wall"


def ended_in_words(path: PathRun) -> str:
    """Return why the path ends where it does."""
    if not path.steps:
        return f"No step converged: {path.terminated}."
    last = deflection_in_words(path, path.steps[-1].reading.deflection)
    if path.terminated is None:
        return f"Traced to {last} in {len(path.steps)} steps."
    return f"Terminated at {last} after {len(path.steps)} steps: {path.terminated}."


def agreement_in_words(path: PathRun, found: Outcome, agreement: Agreement) -> str:
    """Return the linear assessment's place and load beside those of the path."""
    name = agreement.limit.label
    place = "this place" if agreement.named else "another place"
    where = f"Linear run: {name} at {place} (utilisation here {agreement.share:.2f} of its largest)"
    if agreement.factor is None:
        return f"{where}, no load."
    put = f"{where}, load {load_in_words(path, agreement.factor)}"
    difference = _difference(found, agreement)
    return f"{put}, {difference}." if difference else f"{put}."


def _difference(found: Outcome, agreement: Agreement) -> str:
    """Return the linear load beside that of the path, empty where the path has none."""
    reached = _reached(found, agreement)
    if reached is None or agreement.factor is None:
        return ""
    percent = 100 * abs(agreement.factor / reached - 1)
    if percent <= 100 * NEAR:
        return f"within {percent:.0f} % of the path"
    sense = "conservative" if agreement.factor < reached else "unconservative"
    return f"{sense} by {percent:.0f} %"


def _reached(found: Outcome, agreement: Agreement) -> float | None:
    """Return the corresponding load of the path: yield, limit or strain limit."""
    if agreement.limit == YIELD:
        return found.yield_load.factor if found.yield_load else None
    gave = found.limit_load or found.strain_limit
    return gave.factor if gave else None


def _level(path: PathRun, level: Unloading, limit_mm: float | None) -> str:
    load = load_in_words(path, level.factor)
    if not level.reached:
        return f"{load}: not reached, so there is no permanent set."
    under = f"{load}: deflection {deflection_in_words(path, level.deflection or 0.0)}"
    return f"{under}; {_set(level)}{_allowed(level, limit_mm)}."


def _set(level: Unloading) -> str:
    """Return the permanent set after a load that was reached."""
    if level.permanent_set is None:
        return "permanent set not known"
    if level.permanent_set == 0.0:
        return "elastic, no permanent set"
    if level.permanent_set_mm is None:
        return f"permanent set {degrees(level.permanent_set):.2g} deg"
    return f"permanent set {level.permanent_set_mm:.2g} mm"


def _allowed(level: Unloading, limit_mm: float | None) -> str:
    """Return the set that the test allows at its own load, and whether this one is more."""
    if not limit_mm or level.factor != 1:
        return ""
    more = level.permanent_set_mm is not None and level.permanent_set_mm > limit_mm
    return f"; the test allows {limit_mm:g} mm" + (": exceeded" if more else "")


def _yield_load(path: PathRun, found: Outcome) -> Iterator[str]:
    if found.yield_load is None:
        before = "before bifurcation" if found.bifurcation else "on this path"
        yield f"Yield load: {YIELD_WORDS} is not reached {before}."
        return
    load = load_in_words(path, found.yield_load.factor)
    limit = found.limit_load
    late = limit is not None and found.yield_load.deflection > limit.deflection
    after = ", reached only after the limit load" if late else ""
    over = f"averaged over {found.averaging_length_mm:.1f} mm"
    yield f"Yield load {load} ({YIELD_WORDS}, {over}){after}."
    yield f"Offset loads: {'; '.join(_offset(path, offset) for offset in found.offsets)}."


def _offset(path: PathRun, offset: Offset) -> str:
    shift = deflection_in_words(path, offset.shift)
    rule = "" if offset.rule.startswith(f"{offset.shift:g} ") else f" ({offset.rule})"
    load = load_in_words(path, offset.point.factor) if offset.point else "not reached"
    return f"{load} for {shift}{rule}"


def _collapse(path: PathRun, found: Outcome, place: str | None) -> Iterator[str]:
    if found.bifurcation:
        yield from _bifurcation(path, found.bifurcation, found.max_load)
        return
    at = f": {place}" if place else ""
    mode = KINDS[found.kind] if found.kind else "no collapse mode yet"
    if found.limit_load:
        load, deflection = _load_and_deflection(path, found.limit_load)
        yield f"Collapse: limit load {load} at {deflection}, then {mode}{at}."
    elif found.strain_limit:
        load, deflection = _load_and_deflection(path, found.strain_limit)
        yield (
            f"Collapse: strain limit (elongation) at {load} and {deflection}, no limit load "
            f"before it; there {mode}{at}."
        )
    else:
        last = path.readings[-1]
        deflection = deflection_in_words(path, last.deflection)
        known = "" if found.elongation else " (elongation not known)"
        yield (
            f"Collapse: no limit load up to {deflection}, where the load is "
            f"{load_in_words(path, last.factor)}{known}; there {mode}{at}."
        )


def _bifurcation(path: PathRun, bifurcation: Bifurcation, most: PathPoint) -> Iterator[str]:
    start, deflection = _load_and_deflection(path, bifurcation.start)
    end, _ = _load_and_deflection(path, bifurcation.end)
    yield (
        f"Collapse: bifurcation between {start}, at {deflection}, and {end}: the bar can leave "
        "this path for an overall or a local mode."
    )
    yield "A real bar, never quite straight and round, collapses at a lower load."
    if bifurcation.linear_factor is not None:
        linear = load_in_words(path, bifurcation.linear_factor)
        yield f"Elastic buckling by the linear run: {linear}."
    other = "another imperfection" if path.path_control.imperfection_percent else "an imperfection"
    yield (
        f'To follow the mode, set {other} in the table collapse: "mode" (overall) or '
        '"ripple" (local).'
    )
    yield (
        f"The maximum load of this path, {load_in_words(path, most.factor)}, is not to be relied "
        "on."
    )


def is_beyond_bifurcation(path: PathRun, found: Outcome) -> bool:
    """Return whether even the reported step lies beyond: a bifurcation within the first."""
    last = path.readings[found.reported].deflection
    return found.bifurcation is not None and last > found.bifurcation.start.deflection


def _load_and_deflection(path: PathRun, point: PathPoint) -> tuple[str, str]:
    return load_in_words(path, point.factor), deflection_in_words(path, point.deflection)


def _strain(path: PathRun, found: Outcome) -> Iterator[str]:
    reported = path.readings[found.reported]
    beside = [f"uniform strain {100 * found.uniform:.1f} %"]
    beside += [f"elongation {100 * found.elongation:.1f} %"] if found.elongation else []
    yield (
        f"Plastic strain there {100 * reported.strain.value:.1f} %, averaged over "
        f"{found.averaging_length_mm:.1f} mm; {', '.join(beside)}."
    )
    yield (
        f"Local plastic strain {100 * reported.edge.value:.1f} % at "
        f"{on_ruler(reported.edge.s_mm)}, which depends on the mesh."
    )
    yield f"Section flattened by {reported.oval_percent:.1f} %; {_count(reported.negative)}."


def _knock_down(path: PathRun, found: Outcome) -> Iterator[str]:
    """Yield the limit load of each amplitude of an imperfection."""
    if not found.knock_downs:
        return
    loads = [f"{one.percent:g} %: {_left(path, one)}" for one in found.knock_downs]
    shape = SHAPES[path.path_control.shape]
    yield f"Limit load by amplitude of {shape}, % of the wall, one mesh: {'; '.join(loads)}."


def _left(path: PathRun, one: KnockDown) -> str:
    """Return the limit load with an amplitude of an imperfection."""
    if one.limit_load is not None:
        return load_in_words(path, one.limit_load)
    if one.bifurcation is not None:
        return f"bifurcation after {load_in_words(path, one.bifurcation)}"
    if one.max_load is None:
        return "no step converged"
    return f"none, maximum load {load_in_words(path, one.max_load)}"


def _count(negative_pivots: int | None) -> str:
    if negative_pivots is None:
        return "negative pivots not known"
    count = {0: "no negative pivot", 1: "one negative pivot"}
    return f"{count.get(negative_pivots, f'{negative_pivots} negative pivots')} before that step"
