"""The steps of a test: loads at which gauge and travel are read.

So many points lie on the straight part that `barwright press` finds a slope in it, then they are
closer about the offset load, then comes the peak, which is met by travel.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from studies.bench.foreseen import Foreseen, Level, travel_at, travel_band

Kind = Literal["seat", "straight", "load", "unload", "approach", "offset", "top", "release"]

STRAIGHT = 6
"""Points on the straight part."""

FROM, UP_TO, AT_LEAST = 0.1, 0.6, 0.35
"""Shares of the largest load where the straight part begins, where it ends unless metal yields
before, and where it ends at least: metal that yields at a point does not bend the curve."""

SEAT = 0.05
ABOUT_OFFSET = (0.95, 1.0, 1.05)
TOO_NEAR, NEAR_TOP = 0.02, 0.97
GAP = 0.12
"""Shares of the largest load: of the seat, below the top, and between two steps that have another
one between them; of an offset load: about it, and what is too near to it."""

MOST = 14


@dataclass(frozen=True)
class Goal:
    """How far a test goes.

    Attributes:
        beyond: Past the load of the case, to the top of the curve.
        hold_s: For how long the load of the case is held, None where that is not stated.
    """

    beyond: bool
    hold_s: float | None


@dataclass(frozen=True)
class Step:
    """A step.

    Attributes:
        kind: What it is for.
        load: 0 of an unloading.
        travel: Expected, None where it is not known.
        travel_band: Between which at 95 %, None without a band; its end None where it has none.
        permanent_set: Expected after an unloading, None where it is not known.
        hold_s: For how long, None where that is the user's.
    """

    kind: Kind
    load: float
    travel: float | None = None
    travel_band: tuple[float, float | None] | None = None
    permanent_set: float | None = None
    hold_s: float | None = None


def steps_of(foreseen: Foreseen, goal: Goal, rounded: Callable[[float], float]) -> tuple[Step, ...]:
    """Return the steps of a test.

    Args:
        foreseen: The expected curve.
        goal: How far it goes.
        rounded: Makes a load one that is easily set, above zero.
    """
    top, levels = top_load(foreseen, goal), _levels(foreseen, goal)
    straight = _straight(foreseen, top, levels, rounded)
    fixed = 2 * len(levels) + 2 + (top not in [one.load for one in levels])
    room = MOST - fixed - len([one for one in straight if one not in [a.load for a in levels]])
    loads = {one: _kind(one, levels, "straight") for one in straight}
    loads |= {one.load: "load" for one in levels}
    beyond = [max(straight), *(one.load for one in levels if one.load > max(straight)), top]
    loads |= _finer(foreseen, beyond, room, rounded)
    loads.setdefault(top, "top")
    return tuple(_rows(foreseen, goal, levels, dict(sorted(loads.items())), rounded(SEAT * top)))


def top_load(foreseen: Foreseen, goal: Goal) -> float:
    """Return the largest load of a test."""
    if not goal.beyond:
        return foreseen.case_load
    return foreseen.top.load if foreseen.top else foreseen.straight_to


def straight_end(foreseen: Foreseen, top: float) -> float:
    """Return the load up to which points count as those of the straight part."""
    return max(min(UP_TO * top, foreseen.straight_to), AT_LEAST * top)


def _levels(foreseen: Foreseen, goal: Goal) -> list[Level]:
    """Return the loads from which the bar is unloaded within the test, the case's own too."""
    top, found = top_load(foreseen, goal), {one.load: one for one in foreseen.levels}
    if not any(abs(one / foreseen.case_load - 1) < 1e-9 for one in found):
        elastic = not foreseen.traced and foreseen.case_load <= foreseen.straight_to
        found[foreseen.case_load] = Level(foreseen.case_load, 0.0 if elastic else None)
    kept = [one for load, one in sorted(found.items()) if SEAT * top < load <= top * (1 + 1e-9)]
    return kept[:3]


def _straight(
    foreseen: Foreseen, top: float, levels: Sequence[Level], rounded: Callable[[float], float]
) -> list[float]:
    """Return loads of the straight part; one near a level is the level."""
    end = straight_end(foreseen, top)
    loads = [rounded(float(one)) for one in np.linspace(FROM * top, end, STRAIGHT)]
    for level in levels:
        near = int(np.argmin([abs(one - level.load) for one in loads]))
        if abs(loads[near] - level.load) < (end - FROM * top) / (STRAIGHT - 1) * 0.75:
            loads[near] = level.load
    return sorted(set(loads))


def _kind(load: float, levels: Sequence[Level], other: Kind) -> Kind:
    return "load" if load in [one.load for one in levels] else other


def _finer(
    foreseen: Foreseen, beyond: Sequence[float], room: int, rounded: Callable[[float], float]
) -> dict[float, Kind]:
    """Return steps from the end of the straight part on, the needed ones first.

    Args:
        foreseen: The expected curve.
        beyond: The loads that are there: where the straight part ends, levels, the top.
        room: How many there may be.
        rounded: Makes a load one that is easily set.
    """
    wanted: list[tuple[float, Kind]] = []
    first, top = beyond[0], beyond[-1]
    offset = foreseen.offset.load if foreseen.offset and foreseen.traced else None
    if offset and first < offset < NEAR_TOP * top:
        beside = [rounded(share * offset) for share in ABOUT_OFFSET if share != 1]
        about = [offset, *(one for one in beside if abs(one / offset - 1) > TOO_NEAR)]
        wanted += [(one, "offset") for one in about if first < one < NEAR_TOP * top]
    ends = sorted([*beyond, *(load for load, _ in wanted)])
    gaps = sorted(pairwise(ends), key=lambda pair: pair[0] - pair[1])
    wanted += [
        (rounded((low + high) / 2), "approach") for low, high in gaps if high - low > GAP * top
    ]
    return dict([one for one in wanted if one[0] not in beyond][: max(room, 0)])


def _rows(
    foreseen: Foreseen,
    goal: Goal,
    levels: Sequence[Level],
    loads: dict[float, Kind],
    seat: float,
) -> Iterator[Step]:
    yield _step(foreseen, "seat", seat)
    sets = {one.load: one.permanent_set for one in levels}
    for load, kind in loads.items():
        # of a gauge with few divisions the seat may be the first of the straight part
        if kind == "straight" and load <= seat:
            continue
        held = abs(load / foreseen.case_load - 1) < 1e-9
        yield _step(foreseen, kind, load, goal.hold_s if held else None)
        if load in sets:
            yield Step("unload", 0.0, permanent_set=sets[load])
    if list(loads)[-1] not in sets:
        yield Step("release", 0.0)


def _step(foreseen: Foreseen, kind: Kind, load: float, hold_s: float | None = None) -> Step:
    travel, band = travel_at(foreseen, load), travel_band(foreseen, load)
    named = foreseen.top if kind == "top" else foreseen.offset
    if kind in ("top", "offset") and named and abs(named.load / load - 1) < 1e-9:
        travel = named.travel
    return Step(kind, load, travel, band, hold_s=hold_s)
