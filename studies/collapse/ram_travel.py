"""A ram's travel in its two parts, and the stiffness by each."""

from collections.abc import Iterator
from itertools import takewhile

from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from studies.collapse.text import load_in_words
from studies.records.collapse import StiffnessRecord


def stiffness_of(path: PathRun) -> StiffnessRecord | None:
    """Return the secant stiffness at the ram and of the bar, None without a ram.

    Up to the last step before any metal yields, or to the first one where it yields within it.
    """
    if not path.by_ram:
        return None
    first, *rest = path.readings
    elastic = takewhile(lambda one: one.phase is Phase.LOADING and not one.edge.value, rest)
    last = [first, *elastic][-1]
    own = last.deflection - (last.indentation_mm or 0.0)
    force = last.factor * path.load
    return StiffnessRecord(
        up_to_n=force, ram_n_per_mm=force / last.deflection, bar_n_per_mm=force / own
    )


def travel_sentences(path: PathRun, reported: int) -> Iterator[str]:
    """Yield the stiffness by travel and by own deflection, and both at the reported step."""
    stiffness = stiffness_of(path)
    if stiffness is None:
        return
    yield (
        f"Stiffness up to {stiffness.up_to_n:.0f} N: {stiffness.ram_n_per_mm:.4g} N/mm at the ram, "
        f"{stiffness.bar_n_per_mm:.4g} N/mm of the bar."
    )
    step = path.readings[reported]
    dents = step.indentation_mm or 0.0
    yield (
        f"Ram travel {step.deflection:.2f} mm at {load_in_words(path, step.factor)}: bar's own "
        f"deflection {step.deflection - dents:.2f} mm, indentation {dents:.2f} mm."
    )
