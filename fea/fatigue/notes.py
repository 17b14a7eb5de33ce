"""Sentences that belong with the figures of a fatigue result."""

from collections.abc import Iterator

from fea.fatigue.curve import GREATEST_LIFE, LEAST_LIFE
from fea.fatigue.result import STEADY_TRIED_MPA, FatigueResult
from fea.fatigue.strength import is_above_rows, is_between_rows, ratio_range, strength_of
from geometry.material import Endurance, Material
from geometry.source import MARKS

STEADY_SHARE = 0.2
"""Mean over the proof stress above which a clamp's factor is not known: tests have 3 to 11."""


def notes_of(result: FatigueResult, material: Material) -> tuple[str, ...]:
    """Return the sentences of a result, the gravest first."""
    if result.basis == "no data":
        title = material.title
        return (f"{title} has neither a life equation nor a listed endurance: no life is given.",)
    basis = _curve_notes(result, material)
    if result.endurance:
        basis = _endurance_notes(result, result.endurance)
    return (*basis, *_factor_notes(result), *_steady_notes(result, material))


def _curve_notes(result: FatigueResult, material: Material) -> Iterator[str]:
    if result.curve is None:
        return
    rows, worst = strength_of(material).rows, result.worst.estimate.worst
    low, high = ratio_range(rows)
    if result.decision is None and worst.ratio < low:
        yield (
            f"No life: R = {worst.ratio:.2f} at the worst place, and the rows of the material hold "
            f"for {low:g} to {high:g}; change the preload or the other end of the cycle."
        )
    if is_above_rows(rows, worst.ratio):
        yield (
            f"R = {worst.ratio:.2f} lies above the rows of the material; a cycle of the same "
            f"maximum at R = {high:g} counts, which contains it."
        )
    if is_between_rows(rows, worst.ratio):
        yield (
            f"R = {worst.ratio:.2f} lies between two rows of the material; the shorter life "
            f"counts, by {result.curve.source.locator}."
        )
    yield from _range_notes(result)


def _range_notes(result: FatigueResult) -> Iterator[str]:
    if result.life and result.life.low < LEAST_LIFE:
        yield (
            f"Below {LEAST_LIFE:g} cycles (from memory, unverified), or above the tensile "
            "strength, the curves end: the life is given as less than that."
        )
    if result.cycles > GREATEST_LIFE:
        yield (
            f"More than {GREATEST_LIFE:g} cycles required, beyond the curves: the equation is "
            "continued."
        )
    if result.cycles < LEAST_LIFE:
        yield (
            f"Fewer than {LEAST_LIFE:g} cycles required: the factor is that of {LEAST_LIFE:g}, "
            "where the curves begin."
        )


def _endurance_notes(result: FatigueResult, endurance: Endurance) -> Iterator[str]:
    yield (
        f"Listed amplitude {endurance.amplitude_from_mpa:g} to {endurance.amplitude_to_mpa:g} MPa "
        f"at {endurance.cycles:g} cycles, {MARKS[endurance.source.kind]}; no life equation, so no "
        "life is given."
    )
    if result.cycles > endurance.cycles:
        yield (
            f"No factor: {result.cycles:g} cycles required, and the amplitude is listed for "
            f"{endurance.cycles:g}."
        )


def _factor_notes(result: FatigueResult) -> Iterator[str]:
    if result.factor is None and result.worst.amplitude_mpa == 0:
        yield "No factor: no stress varies."
    if result.reliability_factor < 1:
        yield f"The strength is {result.reliability_factor:g} times that of smooth specimens."


def _steady_notes(result: FatigueResult, material: Material) -> Iterator[str]:
    edge = result.edge
    if edge is None:
        return
    if edge.estimate.worst.mean_mpa > STEADY_SHARE * material.proof_stress_mpa:
        yield (
            f"Mean stress {edge.estimate.worst.mean_mpa:.0f} MPa at the clamp edge, over a fifth "
            "of the proof stress: outside the model, the clamp factor may be 3 to 11."
        )
    if result.steady_factor is not None and edge.estimate.factor:
        yield (
            f"{STEADY_TRIED_MPA:g} MPa of steady tension at the clamp edge, of bolts or a bent "
            f"tube, would take its factor from {edge.estimate.factor.middle:.2f} to "
            f"{result.steady_factor:.2f}."
        )
