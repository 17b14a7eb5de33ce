"""Families of bars: from dimensions to a bar, and read off that bar again."""

from collections.abc import Callable

import numpy as np
import pytest

from geometry.bar import Bar, BarSpec, build_bar
from geometry.centreline import locate
from geometry.errors import InputError
from geometry.families import Drop, Flat, Riser, Shape, Straight, polyline_of_shape
from geometry.material import load_material
from geometry.section import Station
from studies.study_file.geometry_summary import ShapeRow, geometry_summary

END_OD_MM = 22.2
BARS, TRIED = 200, 1000
SAME_MM, SAME_DEG = 0.01, 0.001

Random = np.random.Generator


def bar_of(right: Shape, left: Shape | None = None) -> Bar:
    """Return a bar of round tube."""
    return build_bar(
        BarSpec(
            name="family",
            right=polyline_of_shape(right),
            left=polyline_of_shape(left) if left else None,
            stations=(Station(0.0, END_OD_MM, 1.8),),
            material=load_material("al-6061-t6"),
        )
    )


def read(bar: Bar) -> ShapeRow:
    """Return the course of the right half, as `check` reads it off the centre line."""
    (right, *_) = geometry_summary(bar).shapes
    assert right.side == "right"
    return right


def straight(random: Random) -> Straight:
    """Return random dimensions."""
    return Straight(float(random.uniform(350, 820)))


def flat(random: Random) -> Flat:
    """Return random dimensions."""
    width, back, up, middle, radius = map(
        float, random.uniform([500, 0.1, -10, 60, 40], [820, 30, 10, 200, 140])
    )
    over_all = random.random() < 0.5
    kind = ("over all", END_OD_MM) if over_all else ("centres", None)
    return Flat(width, back, up, middle, radius, *kind)


def riser(random: Random) -> Riser:
    """Return random dimensions."""
    width, rise, back, up, middle, knee, radius = map(
        float, random.uniform([600, 15, 0, 0, 70, 200, 30], [820, 90, 15, 8, 160, 340, 90])
    )
    over_all = random.random() < 0.5
    kind = ("over all", END_OD_MM) if over_all else ("centres", None)
    return Riser(width, rise, back, up, middle, knee, radius, *kind)


def drop(random: Random) -> Drop:
    """Return random dimensions."""
    low = [380, 65, 100, 0, -5, 60, -5, 15, 25]
    high = [620, 110, 160, 25, 15, 140, 15, 35, 55]
    return Drop(*map(float, random.uniform(low, high)))


def dimensions(shape: Shape, row: ShapeRow) -> dict[str, tuple[float, float]]:
    """Return what was asked and what is read, by name: mm, and degrees where the name says so."""
    if isinstance(shape, Drop):
        return {
            "drop": (shape.drop_mm, -row.rise_mm),
            "reach": (shape.reach_mm, row.foremost_mm),
            "end": (shape.reach_mm - shape.end_back_mm, -row.back_mm),
            "flare_deg": (shape.flare_deg, row.flare_deg or 0.0),
        }
    found = {}
    if isinstance(shape, Flat | Riser):
        found["backsweep_deg"] = (shape.backsweep_deg, row.backsweep_deg)
        found["upsweep_deg"] = (shape.upsweep_deg, row.upsweep_deg)
        if shape.width_of == "over all":
            found["over all"] = (shape.width_mm, 2 * row.outermost_mm)
    if isinstance(shape, Riser):
        found["rise"] = (shape.rise_mm, row.rise_mm)
    return found


@pytest.mark.parametrize("family", [straight, flat, riser, drop])
def test_round_trip(family: Callable[[Random], Shape]) -> None:
    """200 random bars that can be bent, each dimension within 0.01 mm or 0.001 deg."""
    random, done = np.random.default_rng(71), 0
    for shape in (family(random) for _ in range(TRIED)):
        try:
            bar = bar_of(shape)
        except InputError:
            continue
        row = read(bar)
        width = end_x_mm(bar)
        if getattr(shape, "width_of", "centres") == "centres":
            assert 2 * width == pytest.approx(shape.width_mm, abs=SAME_MM)
        for name, (asked, found) in dimensions(shape, row).items():
            off = SAME_DEG if name.endswith("deg") else SAME_MM
            assert found == pytest.approx(asked, abs=off), name
        done += 1
        if done == BARS:
            break
    assert done == BARS


def end_x_mm(bar: Bar) -> float:
    """Return how far the right end's centre lies across."""
    return float(locate(bar.line, np.array(bar.line.right_end_mm)).position_mm[0])


@pytest.mark.parametrize(
    ("shape", "field"),
    [
        (Flat(600, 5, middle_mm=700), "middle_mm"),
        (Flat(600, 5, width_of="over all"), "end_od_mm"),
        (Riser(600, 40, knee_mm=80), "knee_mm"),
        (Riser(600, 40, knee_mm=900), "knee_mm"),
        (Drop(300, 80, 250, flare_deg=40), "flare_deg"),
        (Drop(420, 80, 20, ramp_deg=20), "drop_mm"),
    ],
)
def test_dimensions_that_do_not_go_together(shape: Shape, field: str) -> None:
    """Are refused, named by field."""
    with pytest.raises(InputError) as refused:
        polyline_of_shape(shape)
    assert [problem.field for problem in refused.value.problems] == [field]


def test_halves_differ() -> None:
    """A left half of its own dimensions is read off the left."""
    bar = bar_of(Riser(760, 45), Riser(756, 43))
    right, left = geometry_summary(bar).shapes
    assert (right.rise_mm, left.rise_mm) == pytest.approx((45, 43), abs=SAME_MM)
    assert bar.line.right_end_mm > -bar.line.left_end_mm
