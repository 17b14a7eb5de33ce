"""The stem's clamp on the bar and its stiffness, or that the bar lies free."""

from dataclasses import dataclass, replace
from typing import Literal, get_args

from geometry.centreline import CentreLine
from geometry.errors import InputError, Problem
from geometry.limits import Range, limit_problems, unknown_name
from geometry.source import Source
from loadcases.bolts import Bolts, bolt_problems

ClampModel = Literal["elastic", "rigid", "none"]
CLAMP_MODELS: tuple[ClampModel, ...] = get_args(ClampModel)

CLAMP_STIFFNESS_SOURCE = Source(
    "derived",
    "70 GPa over 10 mm, about twice the wall of an aluminium stem's clamp; half of it tangentially",
)
"""Source of the default stiffness of the elastic clamp: an estimate, and results depend on it."""

_STIFFNESS = Range(1, 1e7, "N/mm3", 'give a stiffness per area such as 7000, or model = "rigid"')
CLAMP_LIMITS = {
    "width_mm": Range(5, 3000, "mm", "measure the stem, common widths are 35 to 50 mm"),
    "normal_n_per_mm3": _STIFFNESS,
    "tangential_n_per_mm3": _STIFFNESS,
}
"""A foundation stiffer than the upper limit is rigid in all figures and spoils the equations."""


@dataclass(frozen=True)
class Clamp:
    """The clamped length, centred on s = 0; of no length where the bar lies free.

    Attributes:
        width_mm: Length of the bar inside the clamp.
        model: "elastic", a foundation over the clamped outer surface, or "rigid", no
            displacement there, or "none": nothing holds the bar but supports and loads.
        normal_n_per_mm3: Foundation stiffness normal to the surface; unused when rigid.
        tangential_n_per_mm3: Foundation stiffness tangential to it; unused when rigid.
        bolts: Its bolts, None where they are not known.
    """

    width_mm: float
    model: ClampModel = "elastic"
    normal_n_per_mm3: float = 7000.0
    tangential_n_per_mm3: float = 3500.0
    bolts: Bolts | None = None

    @property
    def holds(self) -> bool:
        """Return whether there is a clamp."""
        return self.model != "none"

    @property
    def in_words(self) -> str:
        """Return its width and model, or that there is none."""
        return held_in_words(self.width_mm, self.model)

    @property
    def edges(self) -> tuple[tuple[float, int], ...]:
        """Return s of each edge and the direction outwards from it, none of a free bar."""
        return ((self.from_mm, -1), (self.to_mm, 1)) if self.holds else ()

    @property
    def from_mm(self) -> float:
        """Return s of the left edge."""
        return -self.width_mm / 2

    @property
    def to_mm(self) -> float:
        """Return s of the right edge."""
        return self.width_mm / 2


def held_in_words(width_mm: float, model: str) -> str:
    """Return how a clamp of a width and model holds."""
    return "none, the bar lies free" if model == "none" else f"{width_mm:g} mm, {model}"


FREE = Clamp(0.0, "none")
"""Of a bar that is not held in a clamp."""


def clamp_problems(clamp: Clamp, line: CentreLine) -> tuple[Problem, ...]:
    """Return what is wrong with a clamp on a bar; empty when it can be used."""
    if clamp == FREE:
        return ()
    shorter_mm = min(-line.left_end_mm, line.right_end_mm)
    width = replace(CLAMP_LIMITS["width_mm"], high=2 * shorter_mm, below=True)
    found = [*limit_problems(clamp, {**CLAMP_LIMITS, "width_mm": width})]
    if clamp.model not in CLAMP_MODELS:
        found.append(unknown_name("model", "clamp model", clamp.model, CLAMP_MODELS))
    faults = (
        InputError(*bolt_problems(clamp.bolts)).within("bolts") if clamp.bolts else InputError()
    )
    return (*found, *faults.problems)
