"""Von Mises stress of components by hand."""

import numpy as np
import pytest

from fea.solid.recovery import von_mises_mpa


@pytest.mark.parametrize("place", range(6))
def test_a_single_component(place: int) -> None:
    """A pull counts as it is, a shear times the root of three."""
    components = np.zeros(6)
    components[place] = -70.0
    expected = 70.0 if place < 3 else 70.0 * np.sqrt(3)
    assert von_mises_mpa(components) == pytest.approx(expected, rel=1e-14)


def test_equal_pulls_count_nothing() -> None:
    """On all three sides, and what is added to them counts alone."""
    components = np.array([50.0, 50.0, 50.0 + 30.0, 0.0, 0.0, 0.0])
    assert von_mises_mpa(components) == pytest.approx(30.0, rel=1e-14)
