"""A ram's travel in its two parts, and the stiffness by each."""

from collections.abc import Iterator
from itertools import takewhile

from fea.collapse.path_run import PathRun
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading
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
    own, force = own_deflection(last), last.factor * path.load
    return StiffnessRecord(
        up_to_n=force,
        ram_n_per_mm=force / last.deflection,
        bar_n_per_mm=force / own if own else None,
    )


def own_deflections(path: PathRun) -> list[float] | None:
    """Return the bar's own deflection at each step, None where travel is not parted."""
    own = [one for one in map(own_deflection, path.readings) if one is not None]
    return own if len(own) == len(path.readings) else None


def own_deflection(step: Reading) -> float | None:
    """Return the bar's own deflection, mm: travel less indentation; None without these."""
    return None if step.indentation_mm is None else step.deflection - step.indentation_mm


def travel_sentences(path: PathRun, reported: int) -> Iterator[str]:
    """Yield the stiffness by travel and by own deflection, and both at the reported step."""
    stiffness = stiffness_of(path)
    if stiffness is None:
        return
    bar = f", {stiffness.bar_n_per_mm:.4g} N/mm of the bar" if stiffness.bar_n_per_mm else ""
    ram = f"{stiffness.ram_n_per_mm:.4g} N/mm at the ram"
    yield f"Stiffness up to {stiffness.up_to_n:.0f} N: {ram}{bar}."
    step = path.readings[reported]
    own = own_deflection(step)
    if own is not None:
        yield (
            f"Ram travel {step.deflection:.2f} mm at {load_in_words(path, step.factor)}: bar's own "
            f"deflection {own:.2f} mm, indentation {step.deflection - own:.2f} mm."
        )
