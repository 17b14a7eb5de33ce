"""Published numbers, and which of them a computation misses."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

FIVE_PERCENT_MORE = 1.05
"""A modulus, wall or load changed by this factor must turn every check red."""


@dataclass(frozen=True)
class Target:
    """A published number and how far from it a result may lie.

    Attributes:
        value: The number.
        relative: Largest relative difference.
    """

    value: float
    relative: float


@dataclass(frozen=True)
class Problem:
    """A published problem, so stated that it can be shown to fail.

    Attributes:
        title: Name of the problem.
        compute: Returns the named results with one datum of the problem scaled.
        targets: What is published for each of them.
        slow: Whether it takes more than a few seconds.
    """

    title: str
    compute: Callable[[float], Mapping[str, float]]
    targets: Mapping[str, Target]
    slow: bool = False


def misses(problem: Problem, scale: float = 1.0) -> dict[str, str]:
    """Return the results that lie outside their tolerance, each in a sentence."""
    found = problem.compute(scale)
    if found.keys() != problem.targets.keys():
        return dict.fromkeys(found.keys() ^ problem.targets, "computed or published, not both")
    missed = {}
    for name, target in problem.targets.items():
        off = found[name] / target.value - 1
        if not abs(off) <= target.relative:
            missed[name] = (
                f"{found[name]:.6g} against {target.value:.6g}: {100 * off:+.3f} %, "
                f"{100 * target.relative:g} % allowed"
            )
    return missed
