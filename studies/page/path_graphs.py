"""The graphs of a path: load and plastic strain against deflection, all from its record."""

from collections.abc import Iterator, Sequence
from math import nan

import numpy as np

from fea.collapse.phase import Phase
from geometry.arrays import Floats
from studies.page.graph import Curve, Drawing, Graph, Mark, graph
from studies.page.path_steps import (
    by_moments,
    deflection_name,
    deflection_words,
    deflections,
    either,
    last_of_phase,
    load_words,
    loads,
    read_off,
    shown_steps,
    unit_load,
    units,
)
from studies.records.band import BandRecord
from studies.records.collapse import CollapseRecord, PathGaugeRecord, UnloadingRecord
from studies.records.gauges import GAUGE_UNITS
from studies.records.places import capitalised, on_ruler

TALL, LOW = 330.0, 170.0
REACH = 1.03
"""Share of the largest deflection that graphs reach to."""

ALIKE = 0.01
"""Share of the whole deflection up to which the load points move alike."""

CLOSE = 0.02
"""Lines of two strains closer than this share of the larger are one."""


MOST_GAUGES = 6
"""Gauges with a graph of their own; the table of the steps has them all."""


def path_graphs(collapse: CollapseRecord) -> tuple[Graph, ...]:
    """Return load, and plastic strain below it, against one deflection."""
    marks, places = tuple(_marks(collapse)), places_apart(collapse)
    every = [
        deflections(collapse),
        *(place.x for place in places),
        np.array([mark.x for mark in marks]),
    ]
    x = np.concatenate(every)
    span = min(0.0, float(x.min()) * REACH), float(x.max()) * REACH
    return graph(_load(collapse, places, marks), *span), graph(_strain(collapse), *span)


def gauge_graphs(collapse: CollapseRecord) -> tuple[Graph, ...]:
    """Return the load against what each gauge reads, as a press plots it."""
    return tuple(_gauge(collapse, *pair) for pair in enumerate(collapse.gauges[:MOST_GAUGES]))


def _gauge(collapse: CollapseRecord, number: int, gauge: PathGaugeRecord) -> Graph:
    unit, _ = units(collapse)
    read, of = np.array(gauge.readings), GAUGE_UNITS[gauge.unit]
    last = f"{read[-1]:.2f} {of} at {loads(collapse)[-1]:.0f} {unit}".replace("-", "\u2212")
    drawing = Drawing(
        f"gauge-{number}",
        f"{gauge.name}: load, {unit}",
        f"{gauge.name}, {of}, at {gauge.at.text}",
        f"Zero without load, {last} at the end.",
        LOW,
        _path(collapse, loads(collapse), read),
        np.stack([read, loads(collapse)], axis=-1),
        _numbers(collapse),
    )
    return graph(drawing, *_reach(read))


def _reach(values: Floats) -> tuple[float, float]:
    """Return the span of values and zero, with room; a width also where nothing moves."""
    low, high = min(0.0, float(values.min())), max(0.0, float(values.max()))
    return low * REACH, high * REACH if high > low else low + 1.0


def _load(collapse: CollapseRecord, places: Sequence[Curve], marks: Sequence[Mark]) -> Drawing:
    unit, _ = units(collapse)
    words = "; ".join(f"{mark.words}, at {deflection_words(collapse, mark.x)}" for mark in marks)
    return Drawing(
        "load",
        f"Load, {unit}: {'moment of one end' if by_moments(collapse) else 'sum of the forces'}",
        _across(collapse),
        f"Maximum load {load_words(collapse, collapse.max_load_factor)}. {capitalised(words)}.",
        TALL,
        [
            *band_curves(collapse.band),
            _linear(collapse),
            *places,
            *_own(collapse),
            *_path(collapse, loads(collapse)),
        ],
        np.stack([deflections(collapse), loads(collapse)], axis=-1),
        _numbers(collapse),
        marks,
    )


def band_curves(band: BandRecord | None) -> list[Curve]:
    """Return the outline of a path's band, none where none was traced."""
    if band is None:
        return []
    x = np.array([*band.deflection_mm, *reversed(band.deflection_mm)])
    return [Curve("its band, 95 %", "band", x, np.array([*band.high_n, *reversed(band.low_n)]))]


def _strain(collapse: CollapseRecord) -> Drawing:
    percent = 100 * np.array(collapse.curve.plastic_strain)
    return Drawing(
        "strain",
        "Largest plastic strain, averaged along the bar, %",
        _across(collapse),
        f"Up to {percent.max():.2f} %.",
        LOW,
        _path(collapse, percent),
        np.stack([deflections(collapse), percent], axis=-1),
        _numbers(collapse),
        levels=_strain_levels(collapse),
    )


def _across(collapse: CollapseRecord) -> str:
    along = "" if collapse.by_ram else " along the loads"
    return f"{deflection_name(collapse)}{along}, {units(collapse)[1]}"


def _numbers(collapse: CollapseRecord) -> list[int | None]:
    """Return the number in the view of each step, None where it is not shown there."""
    numbers = {step: number for number, step in enumerate(shown_steps(collapse))}
    return [numbers.get(step) for step in range(len(collapse.curve.phase))]


def _path(collapse: CollapseRecord, values: Floats, over: Floats | None = None) -> list[Curve]:
    """Return the path from zero as two curves: loading, and unloading with reloading.

    Values are drawn over the deflection unless others are given.
    """
    across = deflections(collapse) if over is None else over
    x, y = (np.concatenate([[0.0], column]) for column in (across, values))
    rising = np.array([phase is Phase.LOADING for phase in collapse.curve.phase])
    found = []
    for name, style, here in (
        ("path past yield", "path", rising),
        ("unloading and reloading", "path back", ~rising),
    ):
        if here.any():
            ends = [np.stack([x[:-1], x[1:]]), np.where(here, np.stack([y[:-1], y[1:]]), np.nan)]
            # pieces from step to step, each broken off from the next
            gap = np.full(len(here), np.nan)
            found.append(Curve(name, style, *(np.stack([*e, gap], axis=-1).ravel() for e in ends)))
    return found


def _linear(collapse: CollapseRecord) -> Curve:
    """Return the linear run up to the path's maximum load, or its largest deflection."""
    deflection, load = (
        either(collapse.linear_deflection_mm, collapse.linear_rotation_deg) or nan,
        unit_load(collapse),
    )
    far = min(collapse.max_load_factor, float(deflections(collapse).max()) / deflection)
    ends = np.array([0.0, far])
    return Curve("linear run", "beam", deflection * ends, load * ends)


def _own(collapse: CollapseRecord) -> list[Curve]:
    """Return the bar's own deflection under a ram, travel less indentation; none without one."""
    own = collapse.curve.bar_deflection_mm
    if own is None:
        return []
    x, y = (np.concatenate([[0.0], column]) for column in (own, loads(collapse)))
    return [Curve("bar's own deflection, travel less indentation", "own", x, y)]


def places_apart(collapse: CollapseRecord) -> list[Curve]:
    """Return how several load points move along their forces, where they differ.

    Under a ram they are reactions, at places that a press does not read.
    """
    if collapse.by_ram:
        return []
    every = [place for place in collapse.places if place.displacement_along_force_mm]
    span = ALIKE * float(np.abs(deflections(collapse)).max())
    apart = [
        np.abs(np.array(place.displacement_along_force_mm) - deflections(collapse)).max()
        for place in every
    ]
    if len(every) < 2 or max(apart) <= span:
        return []
    return [
        Curve(
            f"load point {on_ruler(place.at_mm)}, along its force",
            f"place-{place.side}",
            np.array([0.0, *(place.displacement_along_force_mm or ())]),
            np.concatenate([[0.0], loads(collapse)]),
        )
        for place in every
    ]


def _marks(collapse: CollapseRecord) -> Iterator[Mark]:
    load = unit_load(collapse)
    for one in read_off(collapse):
        if one.factor is not None and one.deflection is not None:
            words = f"{one.name}, {load_words(collapse, one.factor)}"
            yield Mark(one.deflection, load * one.factor, words, one.style)
    for level, deflection in _sets(collapse):
        yield Mark(
            deflection, 0.0, f"permanent set after {load_words(collapse, level.load_factor)}", "set"
        )
    if not collapse.complete:
        last = float(deflections(collapse)[-1]), float(loads(collapse)[-1])
        yield Mark(*last, "path terminated", "terminated")


def _sets(collapse: CollapseRecord) -> Iterator[tuple[UnloadingRecord, float]]:
    """Yield the unloadings, and the deflection at zero load."""
    for cycle, level in enumerate(collapse.unloadings, start=1):
        step = last_of_phase(collapse, cycle, Phase.UNLOADING)
        if level.reached and step is not None:
            yield level, float(deflections(collapse)[step])


def _strain_levels(collapse: CollapseRecord) -> list[tuple[float, str]]:
    uniform, elongation = collapse.strain.uniform, collapse.strain.elongation
    if elongation is None:
        return [(100 * uniform, "uniform strain")]
    if abs(elongation - uniform) < CLOSE * max(uniform, elongation):
        return [(100 * uniform, "uniform strain and elongation")]
    return [(100 * uniform, "uniform strain"), (100 * elongation, "elongation")]
