"""Section classes by diameter over wall."""

import pytest

from geometry.section_class import section_class


@pytest.mark.parametrize(
    ("material", "compact_limit"),
    [((103e3, 724.0), 9.9), ((71e3, 455.0), 10.9), ((68.3e3, 241.0), 19.8), ((200e3, 517.0), 27.0)],
)
def test_compact_limits(material: tuple[float, float], compact_limit: float) -> None:
    """The table of compact limits worked out apart: to the digit that it prints."""
    assert section_class(compact_limit - 0.1, 1.0, *material).aisc == "compact"
    assert section_class(compact_limit + 0.1, 1.0, *material).aisc == "noncompact"


def test_slender() -> None:
    """Above 0.31 E/Fy: 0.31 x 200000/400 = 155."""
    assert section_class(154.9, 1.0, 2e5, 400.0).aisc == "noncompact"
    assert section_class(155.1, 1.0, 2e5, 400.0).aisc == "slender"


@pytest.mark.parametrize(
    ("slimness", "number"), [(49, 1), (51, 2), (69, 2), (71, 3), (89, 3), (91, 4)]
)
def test_mild_steel_has_the_table_itself(slimness: float, number: int) -> None:
    """At 235 MPa and 210 GPa epsilon is one."""
    assert section_class(slimness, 1.0, 210e3, 235.0).en_class == number
