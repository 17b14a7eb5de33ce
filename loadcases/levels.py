"""A figure that is known as a range."""

from typing import NamedTuple


class Levels(NamedTuple):
    """A figure with the ends of its range.

    Attributes:
        low: The low end.
        middle: The middle.
        high: The high end.
    """

    low: float
    middle: float
    high: float
