"""The factor of a limit in words: a range where it rests on inputs that are not verified."""

from typing import Protocol

from studies.records.limit import LimitRecord

CLOSE = 0.05
"""Part of the plastic moment within which wrinkle and hinge are called close: practice, unsourced.
Imperfections, which a plastic wrinkle does not count, are worth as much."""

BELOW = "below the load"
"""Of a factor below 1: a bar is marked, and stays among the others."""

Range = tuple[float, float, float]


class Ranged(Protocol):
    """A limit, stored or not."""

    @property
    def load_factor(self) -> float:
        """Return the multiple of the load, the low end of a range."""

    @property
    def factor_range(self) -> Range | None:
        """Return low end, middle and high end, None where no range is stated."""


def range_text(limit: Ranged) -> str:
    """Return the factor with both ends of its range: `0.95 to 1.46 x load`."""
    low, high = (f"{end:.2f}" for end in _ends(limit))
    return f"{low} x load" if low == high else f"{low} to {high} x load"


def says_of_load(limit: Ranged) -> str:
    """Return what the range says of the load itself; nothing where all of it is above."""
    low, high = _ends(limit)
    if low >= 1:
        return ""
    return BELOW if high < 1 else "not decided by this model"


def failure_text(limit: LimitRecord) -> str:
    """Return whether a section is expected to bend as a hinge before it wrinkles, or nothing."""
    if limit.expected_failure is None:
        return ""
    ratio = limit.moment_ratio or 0.0
    order = "after" if limit.expected_failure == "plastic hinge" else "before"
    order = "close to" if abs(ratio - 1) < CLOSE else f"expected {order}"
    return f"{order} a plastic hinge, at {ratio:.2f} x plastic moment"


def range_and_decision(limit: Ranged) -> str:
    """Return both: `0.95 to 1.46 x load, not decided by this model`."""
    return ", ".join(part for part in (range_text(limit), says_of_load(limit)) if part)


def _ends(limit: Ranged) -> tuple[float, float]:
    """Return both ends, the factor itself twice where no range is stated."""
    if limit.factor_range is None:
        return limit.load_factor, limit.load_factor
    return limit.load_factor, limit.factor_range[2]
