"""The factor of a limit in words: a range where it rests on inputs that are not verified."""

from typing import Protocol

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
    return "below the load" if high < 1 else "not decided by this model"


def range_and_decision(limit: Ranged) -> str:
    """Return both: `0.95 to 1.46 x load, not decided by this model`."""
    return ", ".join(part for part in (range_text(limit), says_of_load(limit)) if part)


def _ends(limit: Ranged) -> tuple[float, float]:
    """Return both ends, the factor itself twice where no range is stated."""
    if limit.factor_range is None:
        return limit.load_factor, limit.load_factor
    return limit.load_factor, limit.factor_range[2]
