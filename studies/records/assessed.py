"""The parts of an assessment that a run may leave out, where no figure that is kept needs them."""

from enum import StrEnum

from fea.stability.criteria import ELASTIC_BUCKLING, FATIGUE


class Part(StrEnum):
    """Work beyond stress, wall and checks, which are done always; the value names it in words."""

    CLAMP_STIFFNESS = "clamp stiffness study"
    CLAMP = "clamps with their preload"
    BUCKLING = ELASTIC_BUCKLING.label
    LIFE = FATIGUE.label


Parts = frozenset[Part]

EVERY: Parts = frozenset(Part)

OF_LIMITS: Parts = EVERY - {Part.CLAMP_STIFFNESS}
"""Those that limits come from: a governing limit needs all of them."""
