"""A mesh of a path that is coarser than any of a study, where steps are tried and not elements."""

from collections.abc import Iterator
from contextlib import contextmanager
from unittest.mock import patch

from geometry.grading import LEVELS, Level

CRUDE = Level(8, 4.0, 1.2)


@contextmanager
def crude_mesh() -> Iterator[None]:
    """Make the coarse level of paths eight elements round, in one layer, while it lasts."""
    with patch.dict(LEVELS, coarse=CRUDE), patch("fea.collapse.path_model.LAYERS", 1):
        yield
