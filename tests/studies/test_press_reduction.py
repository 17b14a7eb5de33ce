"""The reduction of plain press records: what is left out, read, refused and said of it."""

from math import sqrt
from pathlib import Path

import numpy as np
import pytest

from geometry.arrays import Floats
from geometry.errors import InputError
from studies.bench.cleaning import Points as CleanPoints
from studies.bench.cleaning import (
    division,
    repeats,
    reversals,
    running_median,
    spikes,
)
from studies.bench.readings import read_readings
from studies.bench.record import PressRecord, Told, press_record
from studies.bench.reduction import Reduction, reduce_record
from studies.bench.rig import Rig
from studies.bench.text import cautions

SLOPE, PEAK = 200.0, 4000.0
"""N/mm and N: of a bar that is straight to its peak, then flat."""


def loading(count: int = 400, flat_mm: float = 6.0) -> tuple[Floats, Floats]:
    """Return travel and force of a bar that yields at once, out and back."""
    out = np.linspace(0, PEAK / SLOPE + flat_mm, count)
    back = np.linspace(PEAK, 0, count // 3)[1:]
    travel = np.append(out, out[-1] - (PEAK - back) / SLOPE)
    return travel, np.append(np.minimum(SLOPE * out, PEAK), back)


def reduced(
    folder: Path, travel: Floats, force: Floats, rig: Rig | None = None, block: str = ""
) -> Reduction:
    """Return the reduction of travel in mm and force in N."""
    rows = [f"{u:.9g};{f:.9g}" for u, f in zip(travel, force, strict=True)]
    path, aside = folder / "record.csv", folder / "block.csv"
    path.write_text("\n".join(["travel [mm];force [N]", *rows]), encoding="utf-8")
    aside.write_text(block, encoding="utf-8")
    rig = rig or Rig()
    return reduce_record(
        read_readings(path, rig), rig, read_readings(aside, rig) if block else None, (1.0, 2.0)
    )


def refused(folder: Path, travel: Floats, force: Floats) -> str:
    """Return the sentence with which a record is refused."""
    with pytest.raises(InputError) as error:
        reduced(folder, travel, force)
    return str(error.value)


def told(found: Reduction) -> str:
    """Return all cautions."""
    return "\n".join(cautions(found))


def test_a_bar_that_yields_at_once(tmp_path: Path) -> None:
    """Every figure by hand; rounding and one reading's step are all that is between."""
    travel, force = loading()
    found = reduced(tmp_path, travel, force)
    assert found.line.slope.value == pytest.approx(SLOPE, rel=1e-6)
    assert found.line.zero.value == pytest.approx(0, abs=1e-6)
    assert [one.load_n.value for one in found.offsets if one.load_n] == pytest.approx([PEAK, PEAK])
    assert [one.travel_mm for one in found.offsets] == pytest.approx([21, 22], rel=1e-6)
    assert found.peak_n.value == PEAK
    assert not found.fell
    assert found.drop_n is None
    (loop,) = found.unloadings
    assert loop.set_mm is not None
    assert loop.hysteresis_nmm is not None
    assert loop.set_mm.value == pytest.approx(6.0, abs=1e-5)
    # triangle and strip; between two readings the corner is cut
    work = PEAK**2 / (2 * SLOPE) + PEAK * 6
    assert found.energy_nmm.value == pytest.approx(work, rel=1e-4)
    assert loop.hysteresis_nmm.value == pytest.approx(PEAK * 6, rel=1e-3)


def test_a_toe_moves_the_zero_and_nothing_else(tmp_path: Path) -> None:
    """Set, offset travel and slope count from where the straight part would begin."""
    travel, force = loading()
    found = reduced(tmp_path, travel + 0.7 * (1 - np.exp(-force / 60)), force)
    assert found.line.slope.value == pytest.approx(SLOPE, rel=2e-3)
    assert found.line.zero.value == pytest.approx(0.7, abs=0.02)
    assert found.unloadings[0].set_mm is not None
    assert found.unloadings[0].set_mm.value == pytest.approx(6.0, abs=0.02)


def test_a_slip_is_taken_out_and_named(tmp_path: Path) -> None:
    """Below 0.7 of the peak: the set stays, and the record says where."""
    travel, force = loading()
    at = int(np.argmax(force > 0.4 * PEAK))
    slipped = travel + 0.5 * (np.arange(len(travel)) >= at)
    found = reduced(tmp_path, slipped, force)
    (slip,) = found.slips.found
    assert (slip.line, slip.corrected) == (at + 2, True)
    assert slip.travel_mm == pytest.approx(0.5, abs=0.01)
    assert found.unloadings[0].set_mm is not None
    assert found.unloadings[0].set_mm.value == pytest.approx(6.0, abs=0.02)
    assert f"Slip of 0.5 mm in the fixture before line {at + 2}" in told(found)


def test_a_jump_past_the_knee_is_named_and_left(tmp_path: Path) -> None:
    """There a missing row looks the same."""
    travel, force = loading()
    at = int(np.argmax(travel > 22))
    found = reduced(tmp_path, travel + 0.5 * (np.arange(len(travel)) >= at), force)
    (slip,) = found.slips.found
    assert not slip.corrected
    assert found.unloadings[0].set_mm is not None
    assert found.unloadings[0].set_mm.value == pytest.approx(6.5, abs=0.02)
    assert "the set may hold a slip" in told(found)


def test_a_rigid_block_takes_the_rig_out(tmp_path: Path) -> None:
    """A rig of 2000 N/mm under a bar of 200 reads 181.8."""
    travel, force = loading()
    rows = [f"{f / 2000:.6f};{f:.6g}" for f in np.linspace(0, 5000, 50)]
    block = "\n".join(["travel [mm];force [N]", *rows])
    given = travel + force / 2000
    alone, both = reduced(tmp_path, given, force), reduced(tmp_path, given, force, block=block)
    assert alone.line.slope.value == pytest.approx(1 / (1 / 200 + 1 / 2000), rel=1e-4)
    assert both.line.slope.value == pytest.approx(200, rel=1e-4)
    assert both.compliance_mm_per_n is not None
    assert both.compliance_mm_per_n.value == pytest.approx(1 / 2000, rel=1e-4)
    assert "no rigid block" in told(alone)
    assert "no rigid block" not in told(both)


def test_seals_read_high_going_out_and_low_coming_back(tmp_path: Path) -> None:
    """By the middle of the band both branches are the bar's again."""
    travel, force = loading()
    top = int(np.argmax(travel))
    gauge = np.where(np.arange(len(force)) <= top, 1.03 * force, 0.97 * force)
    found = reduced(tmp_path, travel, gauge, Rig(friction_percent=(2.0, 4.0)))
    assert found.line.slope.value == pytest.approx(SLOPE, rel=1e-4)
    assert found.peak_n.value == pytest.approx(PEAK, rel=1e-6)
    assert found.unloadings[0].set_mm is not None
    assert found.unloadings[0].set_mm.value == pytest.approx(6.0, abs=1e-3)
    assert found.unloadings[0].fitted is not None
    assert found.unloadings[0].fitted.slope.value == pytest.approx(SLOPE, rel=1e-4)
    # half a band of 2 % as a uniform error
    assert found.line.slope.terms["friction"] == pytest.approx(SLOPE * 0.02 / sqrt(12), rel=1e-4)


def test_the_gauge_s_class_is_in_every_interval(tmp_path: Path) -> None:
    """Of 1 % of 5000 N: 29 N on a force, and on a slope by the window's range."""
    travel, force = loading()
    found = reduced(tmp_path, travel, force, Rig(gauge_class_percent=1.0, full_scale=5000.0))
    assert found.peak_n.terms["gauge"] == pytest.approx(50 / sqrt(3))
    span = np.ptp(found.straight.force_n)
    assert found.line.slope.terms["gauge"] == pytest.approx(SLOPE * 50 * sqrt(2 / 3) / span)
    assert "class is not given" not in told(found)
    assert "class is not given" in told(reduced(tmp_path, travel, force))


def test_several_loadings(tmp_path: Path) -> None:
    """Each unloading has a set; peak and offsets are of the envelope."""
    travel, force = loading()
    again, more = loading(flat_mm=4.0)
    found = reduced(tmp_path, np.append(travel, 6.0 + again[1:]), np.append(force, more[1:]))
    sets = [one.set_mm.value for one in found.unloadings if one.set_mm]
    assert sets == pytest.approx([6.0, 10.0], abs=1e-3)
    assert found.line.zero.value == pytest.approx(0, abs=1e-3)


def test_a_fall_after_the_peak(tmp_path: Path) -> None:
    """The drop is that to the end of the loading."""
    travel, force = loading()
    out = np.arange(len(travel)) <= int(np.argmax(travel))
    fallen = np.where(out & (travel > 23), PEAK - 100 * (travel - 23), force)
    fallen = np.where(out, fallen, np.minimum(force, PEAK - 300))
    found = reduced(tmp_path, travel, fallen)
    assert found.fell
    assert found.drop_n is not None
    assert found.drop_n.value == pytest.approx(300, abs=5)


@pytest.mark.parametrize(
    ("travel", "force", "says"),
    [
        (np.arange(7.0), 100 * np.arange(7.0), "7 different points but needs at least 8"),
        (np.arange(9.0), np.arange(9.0), "8.0 divisions of the gauge but must reach at least 10"),
        (np.arange(40.0), np.random.default_rng(3).uniform(0, 2000, 40), "no straight part"),
        (
            np.linspace(0, 1, 300),
            1e4 * np.linspace(0, 1, 300) ** 3,
            "the straightest part bends: residual slope",
        ),
    ],
)
def test_what_cannot_be_reduced(tmp_path: Path, travel: Floats, force: Floats, says: str) -> None:
    """Each with its reason."""
    assert says in refused(tmp_path, travel, force)


def test_a_record_without_unloading(tmp_path: Path) -> None:
    """It has no set and says so."""
    travel, force = loading()
    top = int(np.argmax(travel)) + 1
    found = reduced(tmp_path, travel[:top], force[:top])
    assert found.unloadings == ()
    assert "no permanent set" in told(found)


def test_spikes_are_left_out_and_steps_are_not() -> None:
    """One reading off both neighbours is a spike; a steep branch and a corner are none."""
    values = np.append(np.arange(20.0), np.arange(20.0, 0, -1))
    assert not spikes(values, 0.1).any()
    values[7] += 8
    assert np.flatnonzero(spikes(values, 0.1)).tolist() == [7]
    # within six divisions it is the gauge's own step
    assert not spikes(values, 2.0).any()


def test_repeats_and_divisions() -> None:
    """The same point twice is one; the smallest step is seen through rounding of conversions."""
    points = CleanPoints(np.array([0, 1, 1, 1.0]), np.array([0, 2, 2, 3.0]), np.arange(4))
    assert repeats(points).tolist() == [False, False, True, False]
    assert division(np.array([0, 0.25, 0.5 + 1e-12, 0.5, 2])) == pytest.approx(0.25)
    assert division(np.ones(3)) == 0


def test_running_medians_end_with_the_ends() -> None:
    """Of fewer values towards either end, so that a rising branch keeps its last one."""
    values = np.array([0, 1, 9, 3, 4, 5, 6.0])
    assert running_median(values, 5).tolist() == [0, 1, 3, 4, 5, 5, 6]


def test_reversals_are_larger_than_a_share_and_the_dial_s_trembling() -> None:
    """Two percent of the travel, and four divisions."""
    travel = np.array([0, 5, 10, 9.9, 12, 20, 10, 0, 15.0])
    assert reversals(travel, 0.01) == [5, 7]
    assert reversals(np.array([0, 1, 0.9, 1, 2]), 0.01) == [1, 2]
    assert reversals(np.array([0, 1, 0.9, 1, 2]), 0.03) == []


def test_a_peak_between_two_readings(tmp_path: Path) -> None:
    """It may be higher by as much as the last step; at the end of a loading it is not."""
    out = np.arange(20.0)
    found = reduced(tmp_path, out, np.where(out <= 12, 100 * out, 1200 - 50 * (out - 12)))
    assert found.peak_n.terms["between readings"] == pytest.approx(100 / sqrt(12))
    assert reduced(tmp_path, out, 100 * out).peak_n.terms["between readings"] == 0


def test_a_slip_too_small_to_see_is_in_the_set_s_interval(tmp_path: Path) -> None:
    """By a coarse dial it may be three divisions of it, even from none to all."""
    travel, force = loading()
    rig = Rig(travel_resolution_mm=0.1, resolution=20.0)
    found = reduced(tmp_path, travel, force, rig)
    assert found.slips.least_mm == pytest.approx(3 * (0.1 + 20 / SLOPE))
    assert found.unloadings[0].set_mm is not None
    assert found.unloadings[0].set_mm.terms["slips"] == pytest.approx(0.6 / sqrt(12))


def test_the_record_goes_through_json(tmp_path: Path) -> None:
    """And names both files by their hashes."""
    travel, force = loading()
    rows = [f"{f / 2000:.6f};{f:.6g}" for f in np.linspace(0, 5000, 50)]
    block = "\n".join(["travel [mm];force [N]", *rows])
    made = press_record(reduced(tmp_path, travel, force, block=block), Told("0"))
    assert PressRecord.model_validate_json(made.model_dump_json()) == made
    assert len({made.record.sha256, made.record.block_sha256}) == 2
    assert made.stiffness_n_per_mm.value == pytest.approx(200 / 0.9, rel=1e-3)


def test_a_block_that_does_not_move_the_dial(tmp_path: Path) -> None:
    """The rig then gives nothing, to within a division of the dial."""
    travel, force = loading()
    rows = [f"0;{f:.6g}" for f in np.linspace(0, 5000, 50)]
    block = "\n".join(["travel [mm];force [N]", *rows])
    found = reduced(tmp_path, travel, force, Rig(travel_resolution_mm=0.01), block)
    assert found.compliance_mm_per_n is not None
    assert found.compliance_mm_per_n.value == 0
    assert found.compliance_mm_per_n.terms["divisions"] == pytest.approx(
        0.01 / sqrt(6) / 4000, rel=0.05
    )
    assert found.line.slope.value == pytest.approx(SLOPE, rel=1e-6)


def test_a_record_of_one_place_alone(tmp_path: Path) -> None:
    """Points that are all the same, or none with a force, are too few, and no traceback."""
    same = np.ones(20)
    assert "1 different points" in refused(tmp_path, same, same)
    path = tmp_path / "record.csv"
    rows = [f"{i};{force};{i}" for i, force in enumerate(["", "1e300", "inf", "-"] * 4)]
    path.write_text("\n".join(["n;force [N];travel [mm]", *rows]), encoding="utf-8")
    with pytest.raises(InputError, match="0 different points"):
        reduce_record(read_readings(path, Rig()), Rig())
