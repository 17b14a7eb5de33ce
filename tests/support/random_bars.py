"""Hypothesis strategies of bars that `build_bar` takes, with a clamp and loads that fit on them."""

from dataclasses import dataclass, replace

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from geometry.bar import Bar, BarSpec, build_bar
from geometry.bend_effects import BendEffects
from geometry.bend_table import Bend, BendTable, polyline_from_table
from geometry.section import Station
from loadcases.clamp import Clamp
from loadcases.load import PlacedLoad, Side
from support.systems import metal

PLANE, PLANES, OWN_LEFT = "one-plane", "several-planes", "own-left-half"
KINDS = (PLANE, PLANES, OWN_LEFT)
"""A third of the bars bend in one plane, the others in several; a third are asymmetric."""

GEOMETRY = settings(max_examples=40, derandomize=True, deadline=None, database=None)
"""Examples that cost milliseconds."""

SOME = settings(GEOMETRY, max_examples=12)
"""Examples that cost a tenth of a second."""

SOLVES = settings(GEOMETRY, max_examples=9, suppress_health_check=[HealthCheck.too_slow])
"""Examples that solve a finite-element model: nine of each kind."""

FEW = settings(SOLVES, max_examples=3)
"""The first three of them, where all are tried in `.ci/run full`."""

PAIRS = settings(SOLVES, max_examples=2)
"""Examples that solve two models each."""

MOST_TURN_DEG = 85.0
"""A half that turns by less than a right angle in all never runs back towards the other half."""

CLAMP_OD_MM = 31.8
BAND_MM = 24.0
"""Every half is longer than 105 mm: room for a clamp's 23 mm and two bands apart."""


def between(low: float, high: float, digits: int = 2) -> st.SearchStrategy[float]:
    """Return numbers as people write them: few digits, so that failures can be read."""
    scale = 10**digits
    return st.integers(round(low * scale), round(high * scale)).map(lambda n: n / scale)


@st.composite
def bend_tables(draw: st.DrawFn, planes: bool) -> BendTable:
    """Return half bars with one to three bends; with `planes` at least two, turned apart."""
    count = draw(st.integers(2, 3) if planes else st.integers(1, 3))
    turns = [
        draw(st.sampled_from((-1, 1)) if planes else st.just(0)) * draw(between(25, 155, 0))
        for _ in range(count - 1)
    ]
    rotations = [draw(between(-179, 180, 0)), *turns]
    bends = tuple(
        Bend(
            draw(between(40, 60) if i == 0 else st.one_of(st.just(0.0), between(5, 30))),
            rotation,
            draw(between(8, MOST_TURN_DEG / count)),
            draw(between(40, 90)),
        )
        for i, rotation in enumerate(rotations)
    )
    return BendTable(bends, draw(between(60, 110)))


@st.composite
def stations(draw: st.DrawFn, clamp_wall_mm: float) -> tuple[Station, ...]:
    """Return two to four stations that begin with this wall at the clamp."""
    at, found = 0.0, [Station(0.0, CLAMP_OD_MM, clamp_wall_mm)]
    for _ in range(draw(st.integers(1, 3))):
        at += draw(between(12, 50))
        found.append(Station(at, draw(between(22.2, 31.8)), draw(between(1.2, 2.6))))
    return tuple(found)


@st.composite
def bar_specs(draw: st.DrawFn, kind: str) -> BarSpec:
    """Return descriptions of bars of a kind."""
    table = bend_tables(planes=kind != PLANE).map(polyline_from_table)
    wall = draw(between(1.2, 2.6))
    own_left = kind == OWN_LEFT
    effects = BendEffects(draw(st.booleans()), draw(st.one_of(st.just(0.0), between(0, 8))))
    return BarSpec(
        name="random",
        right=draw(table),
        stations=draw(stations(wall)),
        material=metal(draw(between(69e3, 210e3, 0)), draw(between(0.27, 0.35))),
        left=draw(table) if own_left else None,
        left_stations=draw(stations(wall)) if own_left else None,
        blend_mm=draw(between(2, 6)),
        effects=effects,
    )


def bars(kind: str) -> st.SearchStrategy[Bar]:
    """Return bars of a kind."""
    return bar_specs(kind).map(build_bar)


def clamps() -> st.SearchStrategy[Clamp]:
    """Return elastic clamps narrower than every first straight."""
    return st.builds(
        Clamp,
        width_mm=between(30, 46),
        normal_n_per_mm3=between(2000, 20000, 0),
        tangential_n_per_mm3=between(1000, 10000, 0),
    )


@dataclass(frozen=True)
class Setup:
    """A bar in a clamp with loads on it.

    Attributes:
        bar: The bar.
        clamp: Its clamp.
        loads: Near one end, further in on the same half, near the other end.
    """

    bar: Bar
    clamp: Clamp
    loads: tuple[PlacedLoad, PlacedLoad, PlacedLoad]


@st.composite
def path_controls(draw: st.DrawFn, bar: Bar, sign: int, from_end_mm: float) -> PlacedLoad:
    """Return loads on the left (-1) or right (+1) half, each with a force and a moment."""
    force, moment = (between(-limit, limit, 0) for limit in (800, 50e3))
    length = bar.line.right_end_mm if sign > 0 else -bar.line.left_end_mm
    # never all zero: the first component of the force has a least size
    push = (draw(between(50, 800, 0)), draw(force), draw(force))
    twist = (draw(moment), draw(moment), draw(moment))
    side: Side = "right" if sign > 0 else "left"
    return PlacedLoad(side, sign * (length - from_end_mm), push, twist, BAND_MM)


@st.composite
def setups(draw: st.DrawFn, kind: str) -> Setup:
    """Return set-ups with bars of a kind."""
    bar, clamp, sign = draw(bars(kind)), draw(clamps()), draw(st.sampled_from((-1, 1)))
    outer = draw(path_controls(bar, sign, draw(between(12, 20))))
    inner = draw(path_controls(bar, sign, draw(between(46, 55))))
    other = draw(path_controls(bar, -sign, draw(between(12, 40))))
    return Setup(bar, clamp, (outer, inner, other))


def scaled(load: PlacedLoad, factor: float) -> PlacedLoad:
    """Return the load with force and moment times a factor."""
    force, moment = (tuple(factor * x for x in v) for v in (load.force_n, load.moment_nmm))
    return replace(load, force_n=force, moment_nmm=moment)
