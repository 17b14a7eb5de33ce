"""Random bars for the error of the peak stress: six kinds, each on its three mesh levels in turn.

Bars are half bars: the other half ends just outside the clamp, which no peak notices.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count, islice
from random import Random
from typing import get_args

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Bend, BendTable, Polyline, polyline_from_table
from geometry.errors import InputError
from geometry.grading import LevelName
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad
from support.systems import metal

KINDS = ("straight", "bend", "bends", "kink", "edge", "rigid")
"""Butted walls, one bend, two bends in two planes, a rounded taper, an elastic and a rigid edge."""

STUB_MM, BAND_MM = 14.0, 16.0


@dataclass(frozen=True)
class Setup:
    """A bar, its clamp, its load and the mesh level that is judged."""

    kind: str
    level: LevelName
    bar: Bar
    clamp: Clamp
    load: PlacedLoad


def setups(seed: int, number: int) -> list[Setup]:
    """Return the bars of a seed; a longer list begins with the shorter one."""
    return list(islice(_endless(seed), number))


def _endless(seed: int) -> Iterator[Setup]:
    for number in count():
        kind, level = KINDS[number % 6], get_args(LevelName)[number // 6 % 3]
        # a generator a bar, so that a bar is the same in lists of any length
        yield _setup(Random(1000 * seed + number), kind, level)  # noqa: S311 no secret


def _setup(random: Random, kind: str, level: LevelName) -> Setup:
    while True:
        try:
            return _drawn(random, kind, level)
        except InputError:
            continue  # its bends do not fit, draw again


def _drawn(random: Random, kind: str, level: LevelName) -> Setup:
    width = random.uniform(28, 40)
    right, stations, blend = _half(random, kind, width / 2)
    clamp = Clamp(width, "rigid" if kind == "rigid" else "elastic")
    left = Polyline(((0, 0, 0), (width / 2 + STUB_MM, 0, 0)), ())
    effects = BendEffects(random.random() < 0.7, random.choice((0.0, random.uniform(1, 6))))
    material = metal(random.choice((70e3, 107e3, 205e3)), random.uniform(0.28, 0.34))
    first = (stations[0],)
    bar = build_bar(
        BarSpec("random", right, stations, material, left, first, blend, effects=effects)
    )
    at = bar.line.right_end_mm - BAND_MM
    push = [random.uniform(-1, 1) * 300 for _ in range(3)]
    # bends and kinks are to have the peak: moments do not fade towards the load
    share = 1.0 if kind in ("bend", "bends", "kink") else 0.2
    twist = [random.uniform(-1, 1) * 60e3 * share for _ in range(3)]
    load = PlacedLoad("right", at, tuple(push), tuple(twist), BAND_MM)  # type: ignore[arg-type]
    return Setup(kind, level, bar, clamp, load)


def _half(random: Random, kind: str, edge_mm: float) -> tuple[Polyline, tuple[Station, ...], float]:
    od, blend = random.uniform(22.2, 31.8), random.uniform(2, 6)
    wall = od / random.uniform(9, 36)
    if kind in ("bend", "bends"):
        thick = min(1.8 * wall, 0.2 * od)
        start = edge_mm + random.uniform(10, 20)
        along = Station(start, od, thick), Station(start + random.uniform(8, 14), od, wall)
        line = _bent(random, 1 if kind == "bend" else 2, along[1].at_mm + 6, od)
        return line, (Station(0, od, thick), *along), blend
    length = edge_mm + random.uniform(70, 110)
    line = Polyline(((0, 0, 0), (length, 0, 0)), ())
    if kind in ("edge", "rigid"):
        return line, (Station(0, od, wall),), blend
    start = edge_mm + random.uniform(10, 20)
    end = start + random.uniform(6, 30)
    if kind == "straight":
        return line, (Station(0, od, 1.6 * wall), Station(start, od, 1.6 * wall),
                      Station(end, od, wall)), blend  # fmt: skip
    small = od * random.uniform(0.7, 0.85)
    return line, (Station(0, od, wall), Station(start, od, wall), Station(end, small, wall)), blend


def _bent(random: Random, count: int, start_mm: float, od_mm: float) -> Polyline:
    bends = tuple(
        Bend(
            start_mm if i == 0 else random.uniform(0, 25),
            random.uniform(-180, 180)
            if i == 0
            else random.choice((-1, 1)) * random.uniform(30, 150),
            random.uniform(20, 65),
            od_mm * random.uniform(1.6, 4.0),
        )
        for i in range(count)
    )
    return polyline_from_table(BendTable(bends, random.uniform(40, 60)))
