"""A bar out of square in a study: read back, swept, toleranced, refused.

The three differences are read off the bar that is computed, so they check the whole way from the
file to its centre line; the solve itself is in `tests/properties/test_out_of_square.py`.
"""

from pathlib import Path

import numpy as np
import pytest

from geometry.arrays import Floats
from geometry.centreline import locate
from studies.study_file.changes import Change
from studies.study_file.errors import StudyError
from studies.study_file.geometry_summary import is_mirrored
from studies.study_file.square import square_study
from studies.study_file.study import Study, study_from_table
from studies.study_file.variants import variant_of, with_settings
from studies.sweeps.plan import plan_of
from support.off_square import (
    BENDS,
    FLAT,
    OWN_LEFT,
    POINTS,
    READ,
    READ_BACK_MM,
    RISER,
    read_back,
    study_of,
)


@pytest.mark.parametrize(
    "half", [POINTS, BENDS, RISER, FLAT], ids=["points", "bends", "riser", "flat"]
)
@pytest.mark.parametrize("side", ["left", "right"])
def test_every_way_to_give_a_half(half: dict[str, object], side: str) -> None:
    """The end is where it was read, and the other half is as it was drawn."""
    study = study_of(half, {**READ, "side": side})
    assert read_back(study, side) == pytest.approx((2, -1, 0.5), abs=READ_BACK_MM)
    other = study.bar_spec.right if side == "left" else study.bar_spec.left
    assert other == study_of(half, None).bar_spec.right


@pytest.mark.parametrize("side", ["left", "right"])
def test_halves_that_differ_count_from_the_better_one(side: str) -> None:
    """A left half of its own is turned from its own shape, and read against the right one."""
    study = study_of(POINTS, {**READ, "side": side}, left=OWN_LEFT)
    assert read_back(study, side) == pytest.approx((2, -1, 0.5), abs=READ_BACK_MM)
    assert study.bar_spec.turned
    assert study.bar_spec.turned.readings.side == side


def test_zeros_leave_the_bar_mirrored() -> None:
    """To the bit: no left half of its own is made."""
    study = study_of(POINTS, {"height_mm": 0.0})
    assert is_mirrored(study.bar)
    assert study.bar_spec.right == study_of(POINTS, None).bar_spec.right
    assert square_study(study) is None


@pytest.mark.parametrize(("half", "bend"), [(POINTS, "knee"), (BENDS, "inner"), (RISER, 2)])
def test_a_named_bend_takes_it_up(half: dict[str, object], bend: str | int) -> None:
    """By its name or by its number."""
    turned = study_of(half, {"height_mm": 2.0, "bend": bend}).bar_spec.turned
    assert turned
    still, moved = (0, 1) if bend in ("knee", 2) else (1, 0)
    assert turned.angle_deg[still] == turned.plane_deg[still] == 0
    assert abs(turned.angle_deg[moved]) > 0.1


@pytest.mark.parametrize("path", ["height_mm", "fore_aft_mm", "length_mm"])
def test_a_setting_begins_the_table(path: str) -> None:
    """`--set` on a study that says nothing of it."""
    study = with_settings(study_of(POINTS, None), [f"bar.out_of_square.{path}=1.5"])
    wanted = [1.5 if name == path else 0.0 for name in ("height_mm", "fore_aft_mm", "length_mm")]
    assert read_back(study) == pytest.approx(wanted, abs=READ_BACK_MM)


def test_it_is_swept_and_toleranced() -> None:
    """A normal distribution over the height: each design is that far out of square."""
    table = {
        **study_of(POINTS, {"height_mm": 0.5}).table,
        "sweep": [{"path": "bar.out_of_square.height_mm", "normal": {"mean": 0, "deviation": 1}}],
        "plan": {"mode": "sampled", "designs": 16, "seed": 3},
    }
    study = study_from_table(table, Path("off.toml"), "")
    plan = plan_of(study.table, study.sweeps, study.plan)
    assert plan.axes[0].label.startswith("height of its end above the mirror image")
    heights = []
    for number in range(16):
        (change,) = plan.changes(number)
        heights.append(float(change.value))
        found = read_back(variant_of(study, [change]))
        assert found == pytest.approx((heights[-1], 0, 0), abs=READ_BACK_MM)
    # a Latin hypercube of 16 of a unit normal: 0.9 to 1.1 by far
    assert np.std(heights) == pytest.approx(1.0, abs=0.15)


def _rotation(seed: int) -> Floats:
    """Return a rotation of a few degrees about the table's z, and any roll about x."""
    generator = np.random.default_rng(seed)
    roll, turn = generator.uniform(-3, 3), generator.uniform(-0.2, 0.2)
    about_x = [[1, 0, 0], [0, np.cos(roll), -np.sin(roll)], [0, np.sin(roll), np.cos(roll)]]
    about_z = [[np.cos(turn), -np.sin(turn), 0], [np.sin(turn), np.cos(turn), 0], [0, 0, 1]]
    return np.array(about_z) @ np.array(about_x)


def on_table(study: Study, seed: int) -> dict[str, object]:
    """Return coordinates of the bar laid somewhere on a table."""
    line = study.bar.line
    places = locate(line, np.array([-23, 23, line.left_end_mm, line.right_end_mm])).position_mm
    laid = places @ _rotation(seed).T + (12.0, -40.0, 55.0)
    names = ("clamp_left_mm", "clamp_right_mm", "left_end_mm", "right_end_mm")
    return dict(zip(names, laid.tolist(), strict=True))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("side", ["left", "right"])
def test_coordinates_on_a_table_come_to_the_differences(seed: int, side: str) -> None:
    """Whatever place, turn and roll the bar has on it."""
    truth = study_of(POINTS, {**READ, "side": side})
    found = study_of(POINTS, {"side": side, "table_coordinates": on_table(truth, seed)})
    assert read_back(found, side) == pytest.approx((2, -1, 0.5), abs=READ_BACK_MM)


def test_an_error_at_the_clamp_grows_with_the_arm() -> None:
    """Half width of the height: of the two ends, and twice W/c of the clamp's two points.

    The half width of the difference of the ends' heights from clamp points 46 mm apart: each is off
    by e, tilts the axis by e/46 and lifts one end and lowers the other by that times 330 mm. The
    roll adds a little, for the end is 48 mm off the axis.
    """
    read = {"table_coordinates": {**on_table(study_of(POINTS, READ), 0), "within_mm": 0.02}}
    turned = study_of(POINTS, read).bar_spec.turned
    assert turned
    within = turned.readings.height_within_mm
    tilt = 0.02 * 2**0.5 / 46 * 2 * 330
    assert within == pytest.approx(np.hypot(tilt, 0.02 * 2**0.5), rel=0.05)


def test_the_square_bar_mirrors_the_better_half() -> None:
    """Also where the left half is given by points of its own, and keeps its stations."""
    own = {**OWN_LEFT, "stations": [{"at_mm": 0, "od_mm": 22.2, "wall_mm": 1.6}]}
    for side in ("left", "right"):
        square = square_study(study_of(POINTS, {**READ, "side": side}, left=own))
        assert square
        assert read_back(square) == pytest.approx((0, 0, 0), abs=READ_BACK_MM)
        better = study_of(POINTS, None, left=own).bar_spec
        assert square.bar_spec.right == (better.right if side == "left" else better.left)
        assert square.bar_spec.left_stations == better.left_stations
    mirrored = square_study(study_of(POINTS, READ))
    assert mirrored
    assert mirrored.bar_spec == study_of(POINTS, None).bar_spec


STRAIGHT = {"points_mm": [[0, 0, 0], [320, 0, 0]]}
REFUSED = [
    (
        STRAIGHT,
        {"height_mm": 2.0},
        "out_of_square.height_mm: is 2 mm, but the left half has no",
    ),
    (POINTS, {"bend": "elbow"}, 'bend: is "elbow", which no bend of the left half is called; name'),
    (FLAT, {"bend": "elbow"}, "give its number, counted from the clamp"),
    (POINTS, {"bend": 3}, "bar.out_of_square.bend: is 3, but the left half has 2 bends"),
    (POINTS, {"bend": 0}, "bar.out_of_square.bend: is 0; give a name in quotes, or a number of 1"),
    (POINTS, {"bend": True}, "bar.out_of_square.bend: is true; give a name in quotes"),
    (POINTS, {"height_mm": 120.0}, "height_mm: is 120 mm but must be at most 100 mm"),
    (FLAT, {"height_mm": 95.0, "fore_aft_mm": 95.0}, "which turns of at most 30 deg do not reach"),
    (POINTS, {"height_within_mm": -1.0}, "height_within_mm: is -1 mm but must be at least 0 mm"),
    (POINTS, {"side": "top"}, 'side: is the text "top"; choose "left" or "right"'),
    (POINTS, {"high_mm": 1.0}, "high_mm"),
    (POINTS, {"table_coordinates": {}}, "table_coordinates.clamp_left_mm: is missing; give"),
    (
        {**POINTS, "bend_names": ["inner"]},
        {},
        "bar.right.bend_names: holds 1 names for 2 bends; give one for each bend",
    ),
    (
        {**POINTS, "bend_names": ["a", "a"]},
        {},
        "bar.right.bend_names[1]: is 'a', as that of another bend",
    ),
    ({**BENDS, "bend_names": ["a", "b"]}, {}, "bar.right.bend_names: stands beside names in bends"),
]


@pytest.mark.parametrize(("half", "read", "sentence"), REFUSED)
def test_it_is_refused_in_words(
    half: dict[str, object], read: dict[str, object], sentence: str
) -> None:
    """Field, value, limit and remedy."""
    with pytest.raises(StudyError) as refused:
        study_of(half, read)
    assert sentence in str(refused.value)


def test_coordinates_are_refused_in_words() -> None:
    """Beside differences, with one place of the clamp, and without a roll."""
    points = on_table(study_of(POINTS, READ), 0)
    on_axis = {
        "clamp_left_mm": [-23.0, 0.0, 0.0],
        "clamp_right_mm": [23.0, 0.0, 0.0],
        "left_end_mm": [-330.0, 0.0, 30.0],
        "right_end_mm": [330.0, 0.0, 0.0],
    }
    at_one = {**points, "clamp_right_mm": points["clamp_left_mm"]}
    for read, sentence in (
        ({"height_mm": 1.0, "table_coordinates": points}, "height_mm: stands beside table_coord"),
        ({"table_coordinates": at_one}, "clamp_right_mm: lies 0 mm from clamp_left_mm, but must"),
        ({"table_coordinates": on_axis}, "right_end_mm: lies 0 mm from the clamp's axis, but"),
    ):
        with pytest.raises(StudyError) as refused:
            study_of(POINTS, read)
        assert sentence in str(refused.value)


def test_a_tail_that_is_used_up_is_named() -> None:
    """The bar ends within its last bend."""
    short = {**BENDS, "tail_mm": 1.0}
    with pytest.raises(StudyError) as refused:
        study_of(short, {"length_mm": -20.0})
    assert "out_of_square" in str(refused.value)
    assert "check the readings and their signs" in str(refused.value)


def test_a_factor_acts_on_a_reading() -> None:
    """As on any other number of the file."""
    study = study_of(POINTS, READ)
    found = variant_of(study, [Change("bar.out_of_square.height_mm", "factor", 1.5)])
    assert read_back(found) == pytest.approx((3, -1, 0.5), abs=READ_BACK_MM)
