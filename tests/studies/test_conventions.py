"""What a run states of bends and tapers, and a utilisation far beyond its range."""

from dataclasses import replace

import pytest

from geometry.bar import Bar, build_bar
from geometry.bend_effects import BendEffects
from geometry.material import load_material
from geometry.section import Station
from studies.records.places import utilisation_in_words
from studies.results.conventions import conventions_of
from support.tubes import elbow_bar, straight_bar

METAL = load_material("al-6061-t6")


def bent(effects: BendEffects) -> Bar:
    """Return a bar with one bend a side."""
    bar = elbow_bar((22.2, 2.0), 60.0, 0.5, 80.0, METAL)
    return build_bar(replace(bar.spec, effects=effects))


def test_a_straight_even_tube_needs_no_convention() -> None:
    """Nothing is assumed of what it does not have."""
    assert conventions_of(straight_bar(200.0, 22.2, 2.0, METAL)) == []


def test_bends_state_wall_and_ovality() -> None:
    """With the wall change, without it, with an ovality and without."""
    wall, ovality = conventions_of(bent(BendEffects()))
    assert "thinner at the extrados" in wall
    assert "not given" in ovality
    wall, ovality = conventions_of(bent(BendEffects(wall_change=False, ovality_percent=3)))
    assert wall == "Wall in bends: kept"
    assert ovality == "Ovality of bends: 3 %"


def test_a_taper_states_its_blend() -> None:
    """The half length, or that the kink is sharp."""
    bar = straight_bar(200.0, 22.2, 2.0, METAL)
    stations = (Station(0, 22.2, 2.4), Station(60, 22.2, 2.4), Station(120, 22.2, 1.6))
    for blend_mm, words in ((5.0, "±5 mm"), (0.0, "sharp")):
        tapered = build_bar(replace(bar.spec, stations=stations, blend_mm=blend_mm))
        (line,) = conventions_of(tapered)
        assert words in line


@pytest.mark.parametrize(
    ("utilisation", "words"), [(0.5, "0.50"), (10.0, "10.00"), (218135.96, "over 10")]
)
def test_a_utilisation_beyond_its_range_is_no_figure(utilisation: float, words: str) -> None:
    """Two decimals within ten, no digits beyond."""
    assert utilisation_in_words(utilisation) == words
