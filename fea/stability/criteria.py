"""Limit criteria of a bar: each is defined here, once.

Records, printed lines, pictures, pages and their scripts read id, label and colour from here. A
new local criterion is an entry in `LOCAL`, a function of `WallStress` and a test.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from fea.stability.local_buckling import (
    WallStress,
    hoop_yield_share,
    local_buckling_shares,
    yield_share,
)
from geometry.arrays import Floats

PROOF_STRESS, STRESS_STRAIN_CURVE = "proof stress", "stress-strain curve"
"""Inputs of a strength whose evidence is that of the material."""


@dataclass(frozen=True)
class WeakInput:
    """An input that is not verified.

    Attributes:
        input: What it is.
        evidence: Its evidence, in a word or two.
        range: Of the input, None where none is stated.
        factor_range: Of the limit's factor over that range, None where it was not computed.
    """

    input: str
    evidence: str
    range: tuple[float, float] | None = None
    factor_range: tuple[float, float] | None = None


PERFECT_TUBE = WeakInput("perfect, straight tube", "idealised")
BOLT_PRELOAD = WeakInput("bolt preload (scatter, nut factor)", "secondary source")


@dataclass(frozen=True)
class Mode:
    """The name of a criterion where it is reached, and its inspection.

    Attributes:
        label: As printed.
        inspection: Method on the real bar; `{place}` is filled in.
        strengths: Inputs of the strength whose evidence is the material's.
        weak_inputs: Inputs of it that are not verified, whatever the material.
    """

    label: str
    inspection: str
    strengths: tuple[str, ...] = ()
    weak_inputs: tuple[WeakInput, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Criterion(Mode):
    """A criterion.

    Attributes:
        id: In records, files and scripts.
        gloss: Its meaning in a few plain words.
        always: Whether it is reported however far beyond first yield it lies.
    """

    id: str
    gloss: str
    always: bool = True


@dataclass(frozen=True, kw_only=True)
class LocalCriterion(Criterion):
    """A criterion with a map over the sheet.

    Attributes:
        shares: (P, k) utilisation by part; the root of their squares' sum is the place's
            utilisation.
        parts: Label of each of several shares; empty where there is one.
        at_rigid_edge: Whether it is judged at the edge of a rigid clamp.
        linear: Whether its limit is the load over the largest utilisation; the others have a rule
            of their own.
        unit: Of the utilisation; none, for it is a share.
        colour: Of areas, #rrggbb; lightness differs, so that they part in grey print.
        line_colour: Of lines and words, darker where the area's is pale.
    """

    shares: Callable[[WallStress], Floats]
    parts: tuple[Mode, ...] = ()
    at_rigid_edge: bool = True
    linear: bool = True
    unit: str = ""
    colour: str
    line_colour: str


YIELD = LocalCriterion(
    id="yield",
    label="first yield",
    gloss="von Mises stress at the proof stress",
    inspection=(
        "{place}: the metal yields here first. Note the heights of both ends over a flat table "
        "before and after; any difference is a permanent set."
    ),
    strengths=(PROOF_STRESS,),
    shares=yield_share,
    linear=False,
    colour="#c08a2e",
    line_colour="#96660f",
)

WRINKLING = Mode(
    "wrinkling",
    "{place}: feel and look for ripples on the compressed side.",
    (STRESS_STRAIN_CURVE,),
    (WeakInput("critical strain of wrinkling", "from memory"), PERFECT_TUBE),
)

LOCAL_BUCKLING = LocalCriterion(
    id="local_buckling",
    label="local buckling",
    gloss="the wall buckles in a short length",
    inspection="{place}: look for ripples, dents or flats.",
    always=False,
    shares=local_buckling_shares,
    parts=(
        WRINKLING,
        Mode(
            "hoop compression",
            "{place}: look for a dent or a flat.",
            (STRESS_STRAIN_CURVE,),
            (WeakInput("buckling stress of a long tube", "low for a short arm"), PERFECT_TUBE),
        ),
        Mode(
            "shear",
            "{place}: look for ripples aslant to the tube.",
            (STRESS_STRAIN_CURVE,),
            (WeakInput("buckling stress of a long tube", "low for a short arm"), PERFECT_TUBE),
        ),
    ),
    linear=False,
    colour="#74377f",
    line_colour="#74377f",
)

HOOP_YIELD = LocalCriterion(
    id="hoop_yield",
    label="hoop yield",
    gloss="elastic hoop bending at the proof stress",
    inspection=(
        "{place}: measure the smallest and the largest diameter before and after; the section "
        "flattens here."
    ),
    always=False,
    strengths=(PROOF_STRESS,),
    shares=hoop_yield_share,
    # a rigid clamp keeps the section round, and bends its wall as no real clamp does
    at_rigid_edge=False,
    colour="#2b8a86",
    line_colour="#1f6f6b",
)

_SLIP_MARK = "In the clamp: draw a line across bar and stem; a step in it is a slip."

ELASTIC_BUCKLING = Criterion(
    id="elastic_buckling",
    label="elastic buckling",
    gloss="perfect elastic bar, as a whole or locally",
    inspection="{place}: watch for a sudden sideways motion.",
    weak_inputs=(WeakInput("perfect bar", "idealised"),),
)
CLAMP_SLIP = Criterion(
    id="clamp_slip",
    label="clamp slip",
    gloss="the bar rotates or slides in its clamp; least preload, two-line contact, low friction",
    inspection=_SLIP_MARK,
    weak_inputs=(BOLT_PRELOAD,),
)
CONTACT_LOSS = Criterion(
    id="contact_loss",
    label="loss of contact",
    gloss="beyond this load no equilibrium with unilateral contact in the clamp was found",
    inspection=_SLIP_MARK,
    weak_inputs=(BOLT_PRELOAD,),
)
FATIGUE = Criterion(
    id="fatigue",
    label="fatigue",
    gloss="fatigue life below the cycles required",
    inspection=(
        "{place}: look for a crack across the tube, with a magnifier or dye penetrant, also under "
        "the clamp after it is taken off."
    ),
)

LOCAL: tuple[LocalCriterion, ...] = (YIELD, LOCAL_BUCKLING, HOOP_YIELD)
WHOLE: tuple[Criterion, ...] = (ELASTIC_BUCKLING, CLAMP_SLIP, CONTACT_LOSS, FATIGUE)


def every_criterion() -> tuple[Criterion, ...]:
    """Return all criteria, the local ones first."""
    return (*LOCAL, *WHOLE)


def gloss_of(name: str) -> str:
    """Return the meaning of the criterion of an id, in a few plain words."""
    return next(one.gloss for one in every_criterion() if one.id == name)


def every_mode() -> Iterator[Mode]:
    """Yield all criteria and the parts of those that have any: what a limit may be called."""
    for one in every_criterion():
        yield one
        yield from one.parts if isinstance(one, LocalCriterion) else ()
