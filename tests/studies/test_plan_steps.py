"""The steps of a test's plan: enough of them on the straight part, and `press` reads them back."""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from geometry.arrays import Floats
from studies.bench.foreseen import (
    Band,
    Foreseen,
    Level,
    Place,
    load_band,
    travel_at,
    travel_band,
)
from studies.bench.gauge import round_step
from studies.bench.plan_steps import MOST, STRAIGHT, Goal, Step, steps_of, straight_end, top_load
from studies.bench.readings import read_readings
from studies.bench.reduction import reduce_record
from studies.bench.rig import Rig

BEYOND, TO_LOAD = Goal(beyond=True, hold_s=60.0), Goal(beyond=False, hold_s=None)


def foreseen(
    stiffness: float = 70.0, peak: float = 2250.0, case_load: float = 1000.0, *, band: bool = False
) -> Foreseen:
    """Return a curve that is straight up to half of its peak and bends over to it."""
    share = np.append(np.linspace(0, 0.5, 20), 1 - 0.5 * np.geomspace(1, 0.001, 80)[1:])
    load: Floats = peak * share
    # beyond half of the peak the curve softens, so that an offset of 1 mm is met before the top
    travel: Floats = load / stiffness * (1 + 2.0 * np.maximum(share - 0.5, 0) ** 2)
    offset = int(np.argmax(travel - load / stiffness > 1.0))
    return Foreseen(
        load_unit="N",
        travel_unit="mm",
        case_load=case_load,
        travel=travel,
        load=load,
        band=Band(travel, 0.9 * load, 1.1 * load) if band else None,
        straight_to=0.5 * peak,
        top=Place("limit load", float(load[-1]), float(travel[-1])),
        offset=Place("offset load, 1 mm", float(load[offset]), float(travel[offset]))
        if offset
        else None,
        levels=(Level(case_load, 0.0),),
    )


def rounded(load: float) -> float:
    """Return a load in steps of 10 N."""
    return max(10.0, round(load / 10) * 10)


def loaded(steps: tuple[Step, ...]) -> list[float]:
    """Return the loads of steps that load."""
    return [one.load for one in steps if one.load]


def test_the_riser_like_curve() -> None:
    """Seat, six on the straight part with the test's load held among them, offset, top, sets."""
    found = steps_of(foreseen(), BEYOND, rounded)
    kinds = [one.kind for one in found]
    assert kinds[0] == "seat"
    assert kinds[-2:] == ["top", "release"]
    assert kinds.count("offset") == 3
    (held,) = (one for one in found if one.hold_s)
    assert (held.load, held.hold_s) == (1000.0, 60.0)
    after = found[found.index(held) + 1]
    assert (after.kind, after.permanent_set) == ("unload", 0.0)
    assert loaded(found) == sorted(loaded(found))


def test_to_the_load_alone() -> None:
    """Nothing lies beyond it, and the steps still span its straight part."""
    found = steps_of(foreseen(), TO_LOAD, rounded)
    assert max(loaded(found)) == 1000.0
    assert {one.kind for one in found} == {"seat", "straight", "approach", "load", "unload"}
    assert found[-1].kind == "unload"


@given(
    stiffness=st.floats(1.0, 5000.0),
    peak=st.floats(300.0, 20000.0),
    share=st.floats(0.02, 1.5),
    beyond=st.booleans(),
)
def test_any_curve_gets_steps_that_can_be_reduced(
    stiffness: float, peak: float, share: float, beyond: bool
) -> None:
    """At most so many, rising, six within the straight part, the top last, unloaded at the end."""
    curve = foreseen(stiffness, peak, share * peak)
    goal = Goal(beyond=beyond, hold_s=None)
    top = top_load(curve, goal)
    step = round_step(top / 10, None)
    found = steps_of(curve, goal, lambda load: max(1, round(load / step)) * step)
    loads = loaded(found)
    assert len(found) <= MOST
    assert all(low <= high for low, high in pairwise(loads))
    assert max(loads) == pytest.approx(top)
    assert found[-1].load == 0
    # rounding moves an end by half of a step, a level by three quarters of a spacing
    within = [load for load in loads[1:] if load <= straight_end(curve, top) * 1.16]
    assert len(set(within)) >= STRAIGHT


def test_press_reads_the_stiffness_back(tmp_path: Path) -> None:
    """A record at the planned steps has a slope: 0.5 % for the file's two decimals."""
    curve = foreseen()
    found = [one for one in steps_of(curve, BEYOND, rounded) if one.load]
    # the planned unloading is left out: it is read at points of its own
    rows = [f"{one.load:.1f};{one.travel:.3f}" for one in found]
    file = tmp_path / "read.csv"
    file.write_text("\n".join(["force [N];travel [mm]", *rows]), encoding="utf-8")
    reduced = reduce_record(read_readings(file, Rig()), Rig())
    assert reduced.line.slope.value == pytest.approx(70.0, rel=0.005)


def test_the_band_of_a_travel_is_the_band_of_the_load_read_across() -> None:
    """A tenth more load is met a tenth sooner; where the lower bound never carries it, no end."""
    curve = foreseen(band=True)
    least, most = travel_band(curve, 500.0) or (0.0, 0.0)
    assert least == pytest.approx(500 / 1.1 / 70, rel=1e-3)
    assert most == pytest.approx(500 / 0.9 / 70, rel=1e-3)
    assert (travel_band(curve, 2200.0) or (0.0, 0.0))[1] is None
    assert travel_band(curve, 3000.0) is None
    assert load_band(curve, 500 / 70) == pytest.approx((450.0, 550.0), rel=1e-3)
    assert travel_at(curve, 3000.0) is None


@pytest.mark.parametrize(
    ("spacing", "division", "step"),
    [
        (100, None, 20),
        (24.9, None, 2),
        (25, None, 5),
        (1.8, 1.0, 1.0),
        (100, 30, 30),
        (3, 0.25, 0.5),
    ],
)
def test_steps_are_round(spacing: float, division: float | None, step: float) -> None:
    """1, 2 or 5 at most a fifth of the spacing, of whole divisions of the gauge."""
    assert round_step(spacing, division) == pytest.approx(step)
