"""What a good study file is warned of: mass, ovality and tight bends."""

from pathlib import Path

import pytest

from geometry.properties import mass_g
from support.study_texts import SMALL, read


def test_a_mass_off_by_more_than_3_percent_names_the_wall_that_would_explain_it(
    tmp_path: Path,
) -> None:
    """The wall named, put into the study, gives the measured mass within the 3 %."""
    computed = mass_g(read(SMALL, tmp_path).bar)
    heavy = SMALL.replace("[bar]", f"[bar]\nmass_g = {1.2 * computed:.1f}")
    (warning,) = [w for w in read(heavy, tmp_path).warnings if "mass_g" in w]
    assert "+20.0 %" in warning
    wall = float(warning.split("a mean wall of ")[1].split(" mm")[0])
    again = read(heavy.replace("wall_mm = 1.0", f"wall_mm = {wall}"), tmp_path)
    assert not [w for w in again.warnings if "mass_g" in w]


def test_a_mass_beyond_a_solid_rod_names_no_wall(tmp_path: Path) -> None:
    """A mass in the wrong unit is not explained by a wall thicker than the tube."""
    (warning,) = [
        w
        for w in read(SMALL.replace("[bar]", "[bar]\nmass_g = 9000"), tmp_path).warnings
        if "mass" in w
    ]
    assert "no wall of this bar would explain it" in warning


@pytest.mark.parametrize("share", [0.98, 1.02])
def test_a_mass_off_by_less_is_no_warning(share: float, tmp_path: Path) -> None:
    """Two percent either way is what scales and drawn tubes differ by."""
    computed = mass_g(read(SMALL, tmp_path).bar)
    text = SMALL.replace("[bar]", f"[bar]\nmass_g = {share * computed}")
    assert not [w for w in read(text, tmp_path).warnings if "mass_g" in w]


@pytest.mark.parametrize(
    ("effects", "word"),
    [
        ("", "not given"),
        ("[bar.bend_effects]\novality_percent = 9\n", "8 %"),
        ("[bar.bend_effects]\novality_percent = 0\n", None),
    ],
)
def test_ovality_warnings(effects: str, word: str | None, tmp_path: Path) -> None:
    """Ovality left out is noted, more than 8 % is doubted, a stated zero is believed."""
    found = [w for w in read(SMALL + effects, tmp_path).warnings if "ovality" in w]
    assert len(found) == (word is not None)
    assert word is None or word in found[0]


def test_a_straight_bar_needs_no_ovality(tmp_path: Path) -> None:
    """Nothing is said about bends where there are none."""
    text = SMALL.split("points_mm")[0] + "points_mm = [[0, 0, 0], [300, 0, 0]]\n"
    assert read(text, tmp_path).warnings == ()


def test_tight_titanium_and_strain_warnings(tmp_path: Path) -> None:
    """R 40 on 24 mm titanium is under 2 x OD and strains the outer fibre by 30 %."""
    text = SMALL.replace("bend_radii_mm = [60]", "bend_radii_mm = [40]")
    warnings = "\n".join(read(text, tmp_path).warnings)
    assert "1.67 x outer diameter" in warnings
    assert "bending strain, outer fibre, 30 % in 2 bends" in warnings
