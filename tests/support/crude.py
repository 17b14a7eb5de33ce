"""A mesh of a path that is coarser than any of a study, where steps are tried and not elements."""

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from geometry.grading import LEVELS, Level

CRUDE, LESS_CRUDE = Level(8, 4.0, 1.2), Level(12, 2.6, 1.1)
"""With eight elements round a bar bends and yields; with twelve it wrinkles too."""


@contextmanager
def crude_mesh(level: Level = CRUDE) -> Iterator[None]:
    """Make the coarse level of paths a cruder one, in one layer, while it lasts."""
    with patch.dict(LEVELS, coarse=level), patch("fea.collapse.path_model.LAYERS", 1):
        yield
