"""What a path says, in the words of a workshop."""

from collections.abc import Iterator, Sequence
from math import degrees

from fea.collapse.path_run import PathRun
from fea.collapse.reading import PathPoint
from fea.stability.stress_strain import curve_source
from geometry.material import Material, has_own_curve
from geometry.source import MARKS
from loadcases.path_control import PathControl
from studies.collapse.agreement import Agreement
from studies.collapse.outcome import Buckling, KnockDown, Level, Offset, Outcome
from studies.records.places import capitalised

KINDS = {
    "plastic hinge": "the tube bends plastically, hardly flattened (plastic hinge)",
    "ovalisation": "the tube flattens (ovalisation)",
    "wrinkle": "the wall folds (wrinkle)",
    "neck": "the stretched side thins out (neck)",
    "clamp-edge dent": "the wall dents at the clamp's edge",
}

MAPS = {"stability": "wrinkling", "ovalisation": "ovalisation", "yield": "first yield"}

SHAPES = {"ripple": "ripples", "mode": "the first buckling mode"}

YIELD_WORDS = "0.2 % plastic strain"

NEAR = 0.1
"""Difference in load up to which the assessment and the path say the same."""


def load_in_words(path: PathRun, factor: float) -> str:
    """Return a load with its unit: N, or N m for moments."""
    load = factor * path.unit
    return f"{load / 1000:.0f} N m" if path.by_moments else f"{load:.0f} N"


def move_in_words(path: PathRun, deflection: float) -> str:
    """Return a deflection with its unit: mm, or degrees for moments."""
    return f"{degrees(deflection):.1f} deg" if path.by_moments else f"{deflection:.1f} mm"


def sentences(
    path: PathRun,
    found: Outcome,
    place: str | None,
    limit_mm: float | None,
    agreement: Agreement | None,
) -> Iterator[str]:
    """Yield what a path says, the reviewer's questions first.

    Args:
        path: The path.
        found: What it says.
        place: Where it gives, in words; None while it is elastic.
        limit_mm: Permanent set that the test allows at the case's own load, None where none is
            stated.
        agreement: The linear assessment beside it.
    """
    yield from (_level(path, level, limit_mm) for level in found.levels)
    yield _springs_back(path, found)
    yield _collapse(path, found, place)
    if not beyond_buckling(path, found):
        yield from _strain(path, found)
    if agreement:
        yield agreement_in_words(path, found, agreement)
    if path.path_control.imperfection_percent:
        yield f"The wall is not as drawn: {imperfection_in_words(path.path_control)}."
    yield from _knock_down(path, found)
    if not beyond_buckling(path, found):
        yield f"Work taken up to there: {found.absorbed_energy_nmm / 1000:.0f} J."


def sure_in_words(material: Material) -> str:
    """Return how sure a path's loads are, and what moves them."""
    source = material.stress_strain_source or material.source
    own = has_own_curve(material)
    mark = MARKS[(source if own else curve_source(material)).kind]
    return (
        "How sure: mesh, layers and steps move the load by less than 2 % (tried on the riser "
        f"example); the metal's curve (marked '{mark}'), the bar's own wall and proof stress, and "
        "how firmly the stem holds move it more, and strains more than loads."
    )


def imperfection_in_words(path_control: PathControl) -> str:
    """Return the imperfection of a path's wall."""
    return f"{SHAPES[path_control.shape]} of {path_control.imperfection_percent:g} % of the wall"


def ended_in_words(path: PathRun) -> str:
    """Return why the path ends where it does."""
    if not path.steps:
        return f"Not a single step succeeded: {path.broke_off}."
    last = move_in_words(path, path.steps[-1].reading.deflection)
    if path.broke_off is None:
        return f"Walked to {last} in {len(path.steps)} steps."
    return f"Broke off at {last} after {len(path.steps)} steps: {path.broke_off}."


def agreement_in_words(path: PathRun, found: Outcome, agreement: Agreement) -> str:
    """Return whether the linear assessment named the place and the load."""
    name = MAPS[agreement.limit]
    where = (
        f"The assessment's map of {name} names this place"
        if agreement.named
        else f"The assessment's map of {name} does not name this place"
    )
    where += f" (used there to {agreement.share:.2f} of its largest)"
    if agreement.factor is None:
        return f"{where}; it gives no load for it."
    put = f"{where}; it put the load at {load_in_words(path, agreement.factor)}"
    reached = _reached(found, agreement)
    if reached is None:
        return f"{put}."
    ratio = agreement.factor / reached
    if abs(ratio - 1) <= NEAR:
        return f"{put}, which agrees within {100 * abs(ratio - 1):.0f} %."
    way = "early, on the careful side" if ratio < 1 else "late: believe the path"
    return f"{put}, {100 * abs(ratio - 1):.0f} % too {way}."


def _reached(found: Outcome, agreement: Agreement) -> float | None:
    """Return the load of the path that speaks of the same: first yield, or where it gave."""
    if agreement.limit == "yield":
        return found.first_yield.factor if found.first_yield else None
    gave = found.limit or found.torn
    return gave.factor if gave else None


def _level(path: PathRun, level: Level, limit_mm: float | None) -> str:
    load = load_in_words(path, level.factor)
    if not level.reached:
        return f"{load}: not carried, so no set is told."
    under = f"{load}: deflection {move_in_words(path, level.deflection or 0.0)}"
    if level.set_ is None:
        return f"{under}; the set after it is not known."
    if level.set_ == 0.0:
        stays = "springs back whole, no set"
    elif level.permanent_set_mm is None:
        stays = f"a set of {degrees(level.set_):.2g} deg stays"
    else:
        stays = f"a set of {level.permanent_set_mm:.2g} mm stays"
    return f"{under}; {stays}{_allowed(level, limit_mm)}."


def _allowed(level: Level, limit_mm: float | None) -> str:
    """Return the set that the test allows at its own load, and whether this one is more."""
    if not limit_mm or level.factor != 1:
        return ""
    more = level.permanent_set_mm is not None and level.permanent_set_mm > limit_mm
    return f"; the test allows {limit_mm:g} mm" + (": that is exceeded" if more else "")


def _springs_back(path: PathRun, found: Outcome) -> str:
    if found.first_yield is None and found.buckling:
        return f"It springs back until it buckles: {YIELD_WORDS} is not reached before."
    if found.first_yield is None:
        return f"It springs back all along the path: {YIELD_WORDS} is reached nowhere."
    load = load_in_words(path, found.first_yield.factor)
    told = "; ".join(_offset(path, offset) for offset in found.offsets)
    way = f"up to about {load}, where {YIELD_WORDS} is reached"
    if found.limit and found.first_yield.deflection > found.limit.deflection:
        way = f"until it collapses: {YIELD_WORDS} is reached only beyond, at {load}"
    over = f"averaged over {found.averaging_length_mm:.1f} mm"
    return f"It springs back {way} ({over}). Offset loads: {told}."


def _offset(path: PathRun, offset: Offset) -> str:
    shift = move_in_words(path, offset.shift)
    rule = "" if offset.rule.startswith(f"{offset.shift:g} ") else f" ({offset.rule})"
    load = load_in_words(path, offset.met.factor) if offset.met else "not reached"
    return f"{load} for {shift}{rule}"


def _collapse(path: PathRun, found: Outcome, place: str | None) -> str:
    if found.buckling:
        return _buckles(path, found.buckling, found.most)
    at = f": {place}" if place else ""
    way = KINDS[found.kind] if found.kind else "nothing gives yet"
    if found.limit:
        load, moved = _met(path, found.limit)
        return f"Collapse: it carries {load} at most, at {moved}; then {way}{at}."
    if found.torn:
        load, moved = _met(path, found.torn)
        return (
            "Collapse: none before the material's elongation is used up, at "
            f"{load} and {moved}; there {way}{at}."
        )
    last = path.readings[-1]
    moved = move_in_words(path, last.deflection)
    known = "" if found.elongation else " (the material's elongation is not known)"
    return (
        f"Collapse: none up to {moved}, where it carries {load_in_words(path, last.factor)}"
        f"{known}; there {way}{at}."
    )


def _buckles(path: PathRun, buckling: Buckling, most: PathPoint) -> str:
    (after, moved), (before, _) = _met(path, buckling.after), _met(path, buckling.before)
    linear = ""
    if buckling.linear is not None:
        put = load_in_words(path, buckling.linear)
        linear = f" The linear answer put elastic buckling at {put}."
    other = "another imperfection" if path.path_control.imperfection_percent else "an imperfection"
    return (
        f"Collapse: it buckles between {after}, at {moved}, and {before}: a direction loses its "
        "stiffness there, and the bar leaves this path for a bow or for ripples. A real one, never "
        f"quite straight and round, gives sooner.{linear} To follow it, give it {other} in the "
        'table collapse: "mode" for a bow, "ripple" for the wall. The largest load of this path, '
        f"{load_in_words(path, most.factor)}, is not to be relied on."
    )


def beyond_buckling(path: PathRun, found: Outcome) -> bool:
    """Return whether even the step told lies beyond, since the bar buckles within the first."""
    last = path.readings[found.told].deflection
    return found.buckling is not None and last > found.buckling.after.deflection


def _met(path: PathRun, met: PathPoint) -> tuple[str, str]:
    return load_in_words(path, met.factor), move_in_words(path, met.deflection)


def _strain(path: PathRun, found: Outcome) -> Sequence[str]:
    told = path.readings[found.told]
    beside = [f"uniform strain {100 * found.uniform:.1f} %"]
    beside += [f"elongation {100 * found.elongation:.1f} %"] if found.elongation else []
    negative_pivots = told.negative
    return (
        f"Plastic strain there {100 * told.strain.value:.1f} %, averaged over "
        f"{found.averaging_length_mm:.1f} mm; {', '.join(beside)}. At a single point "
        f"{100 * told.edge.value:.1f} % at s = {told.edge.s_mm:.0f} mm, which depends on the mesh.",
        f"{capitalised(_count(negative_pivots))}; "
        f"the section is flattened by {told.oval_percent:.1f} %.",
    )


def _knock_down(path: PathRun, found: Outcome) -> Iterator[str]:
    """Yield what each amplitude of an imperfection leaves of the limit."""
    if not found.knocked:
        return
    told = [f"{one.percent:g} %: {_left(path, one)}" for one in found.knocked]
    shape = SHAPES[path.path_control.shape]
    yield f"Limit by amplitude of {shape}, in percent of the wall, one mesh: {'; '.join(told)}."


def _left(path: PathRun, one: KnockDown) -> str:
    """Return what an amplitude leaves of the limit."""
    if one.limit is not None:
        return load_in_words(path, one.limit)
    if one.buckles is not None:
        return f"buckles after {load_in_words(path, one.buckles)}"
    if one.most is None:
        return "not a single step succeeded"
    return f"none, the path's largest load is {load_in_words(path, one.most)}"


def _count(negative_pivots: int | None) -> str:
    if negative_pivots is None:
        return "unstable directions are not known"
    words = {0: "no unstable direction", 1: "one unstable direction"}
    return (
        f"{words.get(negative_pivots, f'{negative_pivots} unstable directions')} as that step began"
    )
