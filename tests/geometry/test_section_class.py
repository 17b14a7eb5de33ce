"""Section classes by diameter over wall."""

import pytest

from geometry.section_class import SectionClass, section_class


def classed(slimness: float, youngs_modulus_mpa: float, proof_stress_mpa: float) -> SectionClass:
    """Return the classes of a tube of steel with a wall of 1 mm."""
    found = section_class(slimness, 1.0, youngs_modulus_mpa, proof_stress_mpa)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("material", "compact_limit"),
    [((200e3, 517.0), 27.1), ((205e3, 435.0), 33.0), ((210e3, 235.0), 62.6)],
)
def test_compact_limits(material: tuple[float, float], compact_limit: float) -> None:
    """Limits worked out by hand, 0.07 E/Fy: to the digit given here."""
    assert classed(compact_limit - 0.1, *material).aisc == "compact"
    assert classed(compact_limit + 0.1, *material).aisc == "noncompact"


@pytest.mark.parametrize(
    "metal",
    [(71e3, 455.0), (68.3e3, 241.0), (103e3, 724.0), (179.9e3, 500.0), (220.1e3, 500.0)],
)
def test_no_class_without_a_rule_for_the_metal(metal: tuple[float, float]) -> None:
    """Aluminium, titanium and what lies just beside the moduli of steel."""
    assert section_class(14.5, 1.0, *metal) is None


@pytest.mark.parametrize("youngs_modulus_mpa", [180e3, 220e3])
def test_the_ends_of_steel_are_classed(youngs_modulus_mpa: float) -> None:
    """Both moduli belong to steels."""
    assert classed(14.5, youngs_modulus_mpa, 500.0).aisc == "compact"


def test_slender() -> None:
    """Above 0.31 E/Fy: 0.31 x 200000/400 = 155."""
    assert classed(154.9, 2e5, 400.0).aisc == "noncompact"
    assert classed(155.1, 2e5, 400.0).aisc == "slender"


@pytest.mark.parametrize(
    ("slimness", "number"), [(49, 1), (51, 2), (69, 2), (71, 3), (89, 3), (91, 4)]
)
def test_mild_steel_has_the_table_itself(slimness: float, number: int) -> None:
    """At 235 MPa and 210 GPa epsilon is one."""
    assert classed(slimness, 210e3, 235.0).en_class == number
