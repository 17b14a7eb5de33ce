"""The graphs of a path: load and plastic strain against deflection, all from its record."""

from collections.abc import Iterator, Sequence
from math import nan

import numpy as np

from fea.collapse.phase import Phase
from geometry.arrays import Floats
from studies.page.graph import Curve, Drawing, Graph, Mark, graph
from studies.page.path_steps import (
    by_moments,
    either,
    last_of_phase,
    load_words,
    loads,
    move_name,
    move_words,
    moves,
    read_off,
    shown_steps,
    unit_load,
    units,
)
from studies.records.collapse import CollapseRecord, UnloadingRecord
from studies.records.places import capitalised, on_ruler

TALL, LOW = 330.0, 170.0
REACH = 1.03
"""Share of the largest deflection that graphs reach to."""

ALIKE = 0.01
"""Share of the whole deflection up to which the places of loads move alike."""

CLOSE = 0.02
"""Lines of two strains closer than this share of the larger are one."""


def path_graphs(told: CollapseRecord) -> tuple[Graph, ...]:
    """Return load, and plastic strain below it, against one deflection."""
    marks, places = tuple(_marks(told)), places_apart(told)
    every = [moves(told), *(place.x for place in places), np.array([mark.x for mark in marks])]
    x = np.concatenate(every)
    span = min(0.0, float(x.min()) * REACH), float(x.max()) * REACH
    return graph(_load(told, places, marks), *span), graph(_strain(told), *span)


def _load(told: CollapseRecord, places: Sequence[Curve], marks: Sequence[Mark]) -> Drawing:
    unit, _ = units(told)
    words = "; ".join(f"{mark.words}, at {move_words(told, mark.x)}" for mark in marks)
    return Drawing(
        "load",
        f"Load, {unit}: sum of the {'moments' if by_moments(told) else 'forces'}",
        _across(told),
        f"Largest load {load_words(told, told.max_load_factor)}. {capitalised(words)}.",
        TALL,
        [_linear(told), *places, *_path(told, loads(told))],
        np.stack([moves(told), loads(told)], axis=-1),
        _numbers(told),
        marks,
    )


def _strain(told: CollapseRecord) -> Drawing:
    percent = 100 * np.array(told.curve.plastic_strain)
    return Drawing(
        "strain",
        "Largest plastic strain, averaged along the bar, %",
        _across(told),
        f"Up to {percent.max():.2f} %.",
        LOW,
        _path(told, percent),
        np.stack([moves(told), percent], axis=-1),
        _numbers(told),
        levels=_strain_levels(told),
    )


def _across(told: CollapseRecord) -> str:
    return f"{move_name(told)} along the loads, {units(told)[1]}"


def _numbers(told: CollapseRecord) -> list[int | None]:
    """Return the number in the view of each step, None where it is not shown there."""
    numbers = {step: number for number, step in enumerate(shown_steps(told))}
    return [numbers.get(step) for step in range(len(told.curve.phase))]


def _path(told: CollapseRecord, values: Floats) -> list[Curve]:
    """Return the path from nought as two curves: the load rising, and taken away and put on."""
    x, y = (np.concatenate([[0.0], column]) for column in (moves(told), values))
    rising = np.array([phase is Phase.LOADING for phase in told.curve.phase])
    found = []
    for name, look, here in (
        ("path past yield", "path", rising),
        ("unloading and reloading", "path back", ~rising),
    ):
        if here.any():
            ends = [np.stack([x[:-1], x[1:]]), np.where(here, np.stack([y[:-1], y[1:]]), np.nan)]
            # pieces from step to step, each broken off from the next
            gap = np.full(len(here), np.nan)
            found.append(Curve(name, look, *(np.stack([*e, gap], axis=-1).ravel() for e in ends)))
    return found


def _linear(told: CollapseRecord) -> Curve:
    """Return the linear answer up to the path's largest load, or its largest deflection."""
    move, load = either(told.linear_deflection_mm, told.linear_rotation_deg) or nan, unit_load(told)
    far = min(told.max_load_factor, float(moves(told).max()) / move)
    ends = np.array([0.0, far])
    return Curve("linear answer", "beam", move * ends, load * ends)


def places_apart(told: CollapseRecord) -> list[Curve]:
    """Return how the places of several loads move along their forces, where they differ."""
    every = [place for place in told.places if place.displacement_along_force_mm]
    span = ALIKE * float(np.abs(moves(told)).max())
    apart = [
        np.abs(np.array(place.displacement_along_force_mm) - moves(told)).max() for place in every
    ]
    if len(every) < 2 or max(apart) <= span:
        return []
    return [
        Curve(
            f"load point {on_ruler(place.at_mm)}, along its force",
            f"place-{place.side}",
            np.array([0.0, *(place.displacement_along_force_mm or ())]),
            np.concatenate([[0.0], loads(told)]),
        )
        for place in every
    ]


def _marks(told: CollapseRecord) -> Iterator[Mark]:
    load = unit_load(told)
    for one in read_off(told):
        if one.factor is not None and one.move is not None:
            words = f"{one.name}, {load_words(told, one.factor)}"
            yield Mark(one.move, load * one.factor, words, one.look)
    for level, move in _sets(told):
        yield Mark(move, 0.0, f"permanent set after {load_words(told, level.load_factor)}", "set")
    if not told.complete:
        last = float(moves(told)[-1]), float(loads(told)[-1])
        yield Mark(*last, "path terminated here", "torn")


def _sets(told: CollapseRecord) -> Iterator[tuple[UnloadingRecord, float]]:
    """Yield the levels whose load was taken away, and the deflection that stays."""
    for cycle, level in enumerate(told.unloadings, start=1):
        step = last_of_phase(told, cycle, Phase.UNLOADING)
        if level.reached and step is not None:
            yield level, float(moves(told)[step])


def _strain_levels(told: CollapseRecord) -> list[tuple[float, str]]:
    uniform, elongation = told.strain.uniform, told.strain.elongation
    if elongation is None:
        return [(100 * uniform, "uniform strain")]
    if abs(elongation - uniform) < CLOSE * max(uniform, elongation):
        return [(100 * uniform, "uniform strain and elongation")]
    return [(100 * uniform, "uniform strain"), (100 * elongation, "elongation")]
