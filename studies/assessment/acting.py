"""What acts on the bar of a case on supports, apart: its own loads, the reactions, the ram."""

from loadcases.case import PlacedCase
from loadcases.load import PlacedLoad
from studies.assessment.supports import SupportAnswer


def own_count(placed: PlacedCase, answer: SupportAnswer | None) -> int:
    """Return how many loads are a case's own: the reactions of its supports are its last."""
    return len(placed.loads) - (len(answer.pushes) if answer else 0)


def ram_load(placed: PlacedCase) -> PlacedLoad | None:
    """Return the force of a case's ram on the clamp, to be drawn; None where it has none.

    That of a ram with supports of its own is drawn as their reactions.
    """
    if not placed.case.ram_force_n or any(one.of_ram for one in placed.supports):
        return None
    x, y, z = (float(-placed.case.ram_force_n * one) for one in placed.supports[0].direction)
    return PlacedLoad("right", 0.0, (x, y, z), (0.0, 0.0, 0.0), 0.0)
