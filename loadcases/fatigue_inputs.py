"""What a study says on fatigue: clamp, surface, reliability, how often each case comes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from geometry.errors import InputError, refuse
from geometry.limits import Range, unknown_name
from geometry.source import Source
from loadcases.case import CYCLES_LIMITS, Case, is_sustained
from loadcases.levels import Levels

CLAMP_FACTOR_SOURCE = Source(
    "memory",
    "fretting factors over nominal stress: published at long life, fitted at 1e5 cycles",
)
"""Where the default factor of a clamp's edge comes from."""

SURFACE_FACTOR_SOURCE = Source(
    "memory", "finishes of bent and shot or anodised tubes beside smooth specimens"
)
"""Where the default surface factor comes from."""

RELIABILITY_SOURCE = Source("practice", "1 is the median: half of all specimens fall short of it")
"""What the default reliability factor means."""

OWN_FATIGUE_SOURCE = Source("practice", "given by the study, no source named")
"""Of a factor that the study gives."""


FATIGUE_LIMITS = {
    "clamp_factor": Range(1, 5, "", "give low, middle and high factor over nominal stress at 1e5"),
    "surface_factor": Range(0.2, 1, "", "give low, middle, high share of the strength"),
    "reliability_factor": Range(0.5, 1, "", "give allowable over median stress, 1 for the median"),
}
SURFACE_FACTOR = Levels(0.70, 0.85, 1.00)
"""The default surface factor."""

STAGE_LIMITS = {
    "cycles": CYCLES_LIMITS,
    "scale": Range(0, 100, "", "give a multiple of the case's loads, 1 commonly", above=True),
}


@dataclass(frozen=True)
class SpectrumEntry:
    """A case as one stage of a spectrum.

    Attributes:
        case: Id of the case. Its cycle names the other end; without a cycle the load comes
            and goes, from nothing to the whole.
        cycles: How often it comes in one repetition of the spectrum.
        scale: Multiple of the case's loads at both ends of the cycle.
    """

    case: str
    cycles: float
    scale: float = 1.0


@dataclass(frozen=True)
class FatigueInputs:
    """The inputs of a fatigue assessment.

    Attributes:
        clamp_factor: Fatigue factor over nominal stress at clamp edges, at 1e5 cycles; None for
            the default of the metal.
        clamp_source: Where it comes from.
        surface_factor: Share of a smooth specimen's strength elsewhere.
        surface_source: Where it comes from.
        reliability_factor: Allowable over median stress, above 0 and at most 1.
        reliability_source: Where it comes from.
        spectrum: Stages that add up; where none is named, each repeated case stands alone.
    """

    clamp_factor: Levels | None = None
    clamp_source: Source = CLAMP_FACTOR_SOURCE
    surface_factor: Levels = SURFACE_FACTOR
    surface_source: Source = SURFACE_FACTOR_SOURCE
    reliability_factor: float = 1.0
    reliability_source: Source = RELIABILITY_SOURCE
    spectrum: tuple[SpectrumEntry, ...] = ()


def check_entry(entry: SpectrumEntry, cases: Sequence[Case]) -> None:
    """Refuse a stage that the cases of a study cannot make up.

    Raises:
        InputError: An id that no case has, the nearest named, or one that is steady or on supports.
    """
    known = {case.id: case for case in cases}
    case = known.get(entry.case)
    if not known:
        raise refuse("case", f"is {entry.case!r} but the study has no case; add [[cases]]")
    if case is None:
        raise InputError(unknown_name("case", "case", entry.case, known))
    if case.supports:
        raise refuse("case", f"{entry.case!r} stands on supports and comes once; name another case")
    if is_sustained(case):
        raise refuse("case", f"{entry.case!r} is a preload, which is steady; name a repeated case")


def for_cases(inputs: FatigueInputs, case_ids: Sequence[str]) -> FatigueInputs:
    """Return the inputs for some cases only: a spectrum that misses one of its cases is none.

    A part of a spectrum would do a part of the damage, and look like the whole.
    """
    whole = all(entry.case in case_ids for entry in inputs.spectrum)
    return inputs if whole else replace(inputs, spectrum=())
