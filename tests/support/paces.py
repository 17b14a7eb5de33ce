"""Steps of a given length, for tests that are not about how long steps are."""

from fea.collapse.step_length import KNEE, Pace


def steps_of(most: float) -> Pace:
    """Return a pace whose steps are at most so long, before the knee, across it and past it."""
    return Pace(most / KNEE, most)
