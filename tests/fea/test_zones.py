"""Zones of neighbouring places, on a sheet whose utilisation is painted by hand."""

from dataclasses import replace

import numpy as np
import pytest

from fea.stability.criteria import HOOP_YIELD, LOCAL, LOCAL_BUCKLING, YIELD, LocalCriterion
from fea.stability.local_map import LocalMap
from fea.stability.zones import THRESHOLD, worst_places, zones_of
from geometry.arrays import Floats
from geometry.mesh import Sheet, flat_sheet


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    """Return a sheet of 100 mm, 10 elements along and 12 round."""
    return flat_sheet(np.array([0.0, 100.0]), (np.array([0.0, 100.0]), np.full(2, 10.0)), 12)


def painted(sheet: Sheet, criterion: LocalCriterion, used: Floats) -> LocalMap:
    """Return a map with one criterion's utilisation."""
    count = len(sheet.nodes)
    every = {one.id: np.zeros(count) for one in LOCAL} | {criterion.id: used}
    parts = np.tile([0.1, 0.2, 0.15], (count, 1))
    return LocalMap(every, {LOCAL_BUCKLING.id: parts})


def spot(sheet: Sheet, s_mm: float, theta: float, reach: float, height: float) -> Floats:
    """Return a cone of utilisation about a place; `reach` in mm, one radian counting as 10 mm."""
    turn = (sheet.nodes[:, 1] - theta + np.pi) % (2 * np.pi) - np.pi
    apart = np.hypot(sheet.nodes[:, 0] - s_mm, 10 * turn)
    return np.maximum(height * (1 - (1 - THRESHOLD / height) * apart / reach), 0.0)


def test_a_spot_over_the_seam_is_one_zone(sheet: Sheet) -> None:
    """Theta 0 and 2 pi are neighbours: a spot at the top is not cut in two."""
    zones = zones_of(sheet, painted(sheet, YIELD, spot(sheet, 40.0, 0.0, 15.0, 0.9)))
    assert len(zones) == 1
    assert zones[0].utilisation == pytest.approx(0.9)
    assert (zones[0].s_mm, zones[0].theta_rad) == (pytest.approx(40.0), pytest.approx(0.0))
    # 15 mm reach, on lines 5 mm apart whose last may fall to either side of the threshold
    assert 25.0 <= round(zones[0].s_from_mm, 6) <= 30.0
    assert 50.0 <= round(zones[0].s_to_mm, 6) <= 55.0


def test_two_spots_are_two_zones_worst_first(sheet: Sheet) -> None:
    """Apart along the bar, each with its own worst place."""
    used = spot(sheet, 80.0, 3.0, 10.0, 0.7) + spot(sheet, 20.0, 1.0, 10.0, 0.8)
    zones = zones_of(sheet, painted(sheet, HOOP_YIELD, used))
    assert [round(zone.s_mm, -1) for zone in zones] == [20, 80]
    assert zones[0].utilisation > zones[1].utilisation


def test_yield_never_hides_local_buckling(sheet: Sheet) -> None:
    """The same places may be a zone of each limit."""
    used = spot(sheet, 40.0, 2.0, 12.0, 0.9)
    both = painted(sheet, YIELD, used)
    both = replace(both, used={**both.used, LOCAL_BUCKLING.id: 0.8 * used})
    zones = zones_of(sheet, both)
    assert [zone.criterion for zone in zones] == [YIELD, LOCAL_BUCKLING]


def test_the_mode_of_local_buckling_is_its_largest_part(sheet: Sheet) -> None:
    """Here hoop compression, 0.2 of 0.1, 0.2 and 0.15; other criteria are their own modes."""
    used = spot(sheet, 40.0, 2.0, 12.0, 0.9)
    assert zones_of(sheet, painted(sheet, LOCAL_BUCKLING, used))[0].mode.label == "hoop compression"
    assert zones_of(sheet, painted(sheet, YIELD, used))[0].mode == YIELD


def test_nothing_over_the_threshold_is_no_zone(sheet: Sheet) -> None:
    """The worst place of a limit that is used is told all the same."""
    local = painted(sheet, LOCAL_BUCKLING, spot(sheet, 40.0, 2.0, 12.0, 0.9) * 0.5)
    assert zones_of(sheet, local) == ()
    (place,) = worst_places(sheet, local)
    assert place.criterion == LOCAL_BUCKLING
    assert place.utilisation == pytest.approx(0.45, abs=0.02)
