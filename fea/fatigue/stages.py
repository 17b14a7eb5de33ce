"""Which cases a life is of, and how often each comes."""

from collections.abc import Sequence

from loadcases.case import PlacedCase
from loadcases.fatigue_inputs import FatigueInputs, SpectrumEntry


def case_stages(placed: PlacedCase) -> tuple[SpectrumEntry, ...]:
    """Return the stage of one case alone; none where it comes once or how often is not known."""
    cycle = placed.case.cycle
    if cycle is None or cycle.preload or cycle.cycles is None:
        return ()
    return (SpectrumEntry(placed.case.id, cycle.cycles),)


def study_stages(inputs: FatigueInputs, cases: Sequence[PlacedCase]) -> tuple[SpectrumEntry, ...]:
    """Return the study's spectrum, or else all its repeated cases, none where fewer than two."""
    if inputs.spectrum:
        return inputs.spectrum
    stages = tuple(
        SpectrumEntry(placed.case.id, placed.case.cycle.cycles)
        for placed in cases
        if placed.case.cycle and placed.case.cycle.cycles and not placed.case.cycle.preload
    )
    return stages if len(stages) > 1 else ()
