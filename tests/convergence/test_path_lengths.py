"""What is read off a path past yield does not depend on where it ends, on four bars.

A straight one; one that flattens in its bend; a thin tube, which gives way by its clamp; a metal
that hardly hardens. Their meshes are coarser than those of a study, since steps are tried and not
elements.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import combinations

import numpy as np
import pytest

from fea.collapse.curve import curve_of, limit_at, offset_at, strained_at
from fea.collapse.initial_state import prepared
from fea.collapse.path import end_slope, plan_path, start_position, traced
from fea.collapse.path_model import path_model_of
from fea.collapse.phase import Phase
from fea.collapse.reading import Reading, reader_of, reading_of
from fea.collapse.step_length import pace_of
from fea.solid.linear_solver import pivoting
from geometry.arrays import Floats
from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_table import Bend, BendTable, polyline_from_table
from geometry.material import load_material
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.crude import crude_mesh

Record = Callable[[str, object], None]

WITHIN = 0.005
"""Of a reading, between any two lengths."""

OFFSETS_MM, PLACES_MM = (0.1, 1.0), (0.8, 1.5, 2.5)


@dataclass(frozen=True)
class Tried:
    """A bar, its metal, level of the load to unload from, and lengths of its path in mm."""

    od_mm: float
    wall_mm: float
    metal: str
    bends: tuple[Bend, ...]
    tail_mm: float
    level: float
    lengths_mm: tuple[float, ...]


BARS = {
    "straight": Tried(22.2, 1.6, "al-6061-t6", (), 120, 4.3, (2.7, 4.1, 11.0)),
    "bend": Tried(22.2, 1.0, "al-6061-t6", (Bend(20, 0, 45, 40),), 30, 4.4, (2.7, 6.0, 9.0)),
    "thin": Tried(25.4, 0.6, "al-6061-t6", (), 110, 2.8, (2.7, 3.3, 9.0)),
    "titanium": Tried(22.2, 0.9, "ti-6al-4v-a", (), 120, 8.4, (4.6, 6.3, 13.0)),
}


@cache
def walked(name: str, to_mm: float, level: float) -> tuple[tuple[Reading, ...], float | None]:
    """Return the readings of a path, and its slope at the end."""
    one = BARS[name]
    line = polyline_from_table(BendTable(one.bends, one.tail_mm))
    metal = load_material(one.metal)
    bar: Bar = build_bar(BarSpec(name, line, (Station(0, one.od_mm, one.wall_mm),), metal))
    load = PlacedLoad("right", bar.line.right_end_mm - 15, (0, 0, -400), (0, 0, 0), 20)
    with crude_mesh():
        way, start = prepared(path_model_of(bar, Clamp(30.0), (load,)))
    plan, readings = plan_path((level,) if level else (), to_mm, pace_of(way)), list[Reading]()
    segment, reader, factorise = plan.segments[0], reader_of(way), pivoting()
    for position in traced(way.equations, plan, start_position(plan, start), factorise):
        readings.append(reading_of(way, reader, position.point, segment))
        segment = plan.segments[min(position.segment, len(plan.segments) - 1)]
    return tuple(readings), end_slope(way.equations, position.point, factorise)


def told(name: str, to_mm: float, level: float) -> dict[str, float]:
    """Return what is read off a path, by name; what it does not reach is left out."""
    readings, slope = walked(name, to_mm, level)
    curve = curve_of(readings, slope)
    loads = {f"offset {shift:g} mm": offset_at(curve, shift) for shift in OFFSETS_MM}
    loads |= {"yield": strained_at(curve), "limit": limit_at(curve)}
    found = {key: point.factor for key, point in loads.items() if point}
    at: Floats = np.interp(PLACES_MM, curve.deflections, curve.factors, right=np.nan)
    found |= {f"load at {x:g} mm": float(y) for x, y in zip(PLACES_MM, at, strict=True) if y > 0}
    fallen = [one.deflection for one in readings if one.phase is Phase.UNLOADING]
    return found | ({"set": fallen[-1]} if fallen else {})


def check(name: str, lengths_mm: tuple[float, ...], level: float) -> dict[str, float]:
    """Hold what paths have in common against each other; return the differences of their readings.

    Steps up to the last one of the shorter path are the longer one's, to rounding.
    """
    worst: dict[str, float] = {}
    for short_mm, long_mm in combinations(lengths_mm, 2):
        short, long = walked(name, short_mm, level)[0], walked(name, long_mm, level)[0]
        assert len(short) > 4
        for one, other in zip(short[:-1], long, strict=False):
            assert one.factor == pytest.approx(other.factor, rel=1e-9, abs=1e-12)
            assert one.deflection == pytest.approx(other.deflection, rel=1e-9, abs=1e-12)
        shorter, longer = told(name, short_mm, level), told(name, long_mm, level)
        for key in shorter.keys() & longer.keys():
            off = abs(shorter[key] / longer[key] - 1)
            worst[key] = max(worst.get(key, 0.0), off)
    return worst


def test_lengths_of_one_path_agree() -> None:
    """Of the bar with a bend, which yields early; the shorter one ends across its knee."""
    worst = check("bend", (1.6, 2.0), 0.0)
    assert worst.keys() == {"yield", "offset 0.1 mm", "load at 0.8 mm", "load at 1.5 mm"}
    assert max(worst.values()) < WITHIN


FULL = pytest.mark.full
"""Beside the bend, whose steps differ most; the test above sees steps that go by the length."""


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", ["bend", *(pytest.param(name, marks=FULL) for name in BARS if name != "bend")]
)
def test_readings_agree_at_any_length(name: str, record_property: Record) -> None:
    """First yield, offsets, limit, loads at given deflections, permanent set."""
    one = BARS[name]
    worst = check(name, one.lengths_mm, one.level)
    assert worst.keys() >= {"yield", "offset 0.1 mm", "load at 1.5 mm", "set"}
    assert ("limit" in worst) == (name in {"bend", "thin"})
    record_property("largest difference", f"{100 * max(worst.values()):.3f} %")
    assert max(worst.values()) < WITHIN, worst
