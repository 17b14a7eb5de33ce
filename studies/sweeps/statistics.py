"""What a table of designs says: which input moves which figure, bands, and the Pareto front."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy import stats

from geometry.arrays import Flags, Floats
from studies.sweeps.sweep_results import (
    GOVERNING,
    MASS,
    Column,
    SweepRun,
    column_named,
    figure_columns,
    input_columns,
    numbers,
)

FEWEST = 8
"""Designs below which ranks and quantiles say nothing."""

CONFIDENCE, ROUNDS = 0.95, 200
"""Of the intervals, and the resamplings behind those of the Sobol indices."""

QUANTILES = (0.05, 0.5, 0.95)

Kind = Literal["normalised derivative", "rank correlation", "first-order index", "total index"]


@dataclass(frozen=True)
class Sensitivity:
    """How much an input moves a figure.

    Attributes:
        input: Name of the input's column.
        figure: Name of the figure's column.
        kind: What the value is.
        value: The value.
        low: Lower end of its 95 % interval, None where there is none.
        high: Upper end, likewise.
    """

    input: str
    figure: str
    kind: Kind
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True)
class Band:
    """Where a figure lies under the tolerances.

    Attributes:
        figure: Name of the figure's column.
        count: Designs that it is read from.
        mean: Their mean.
        deviation: Their standard deviation.
        quantiles: 5, 50 and 95 %.
        between: 95 % interval of each quantile from the sampling alone, by order statistics.
    """

    figure: str
    count: int
    mean: float
    deviation: float
    quantiles: tuple[float, float, float]
    between: tuple[tuple[float, float], tuple[float, float], tuple[float, float]]


def sensitivities(run: SweepRun) -> tuple[Sensitivity, ...]:
    """Return how much each input moves each figure: derivatives of a grid, ranks of the rest."""
    inputs = [column for column in input_columns(run) if np.isfinite(numbers(column)).all()]
    found: list[Sensitivity] = []
    for figure in figure_columns(run):
        for column in inputs:
            grid = run.sweep.plan.mode == "grid"
            found += _derivative(column, figure, inputs) if grid else _rank(column, figure)
    if run.sweep.plan.base:
        found += _indices(run.sweep.plan.base, inputs, figure_columns(run))
    return tuple(found)


def bands(run: SweepRun) -> tuple[Band, ...]:
    """Return where the figures of a sampled sweep lie; nothing for another one."""
    if run.sweep.plan.mode != "sampled":
        return ()
    independent = 2 * run.sweep.plan.base or None
    found = (_band(figure, numbers(figure)[:independent]) for figure in figure_columns(run))
    return tuple(band for band in found if band)


def pareto_front(run: SweepRun) -> tuple[int, ...]:
    """Return the designs (from 0) of which none is lighter, stiffer and stronger at once.

    Samples have none: they are one bar within its tolerances, and nothing to choose from.
    Stiffness is that of the first case that has one; the governing factor counts as strength.
    """
    if run.sweep.plan.mode == "sampled":
        return ()
    figures = figure_columns(run)
    stiff = next((c for c in figures if c.key.endswith("/stiffness_n_per_mm")), None)
    mass, factor = column_named(figures, MASS), column_named(figures, GOVERNING)
    if mass is None or factor is None:
        return ()
    costs = [numbers(mass), -numbers(factor)] + ([-numbers(stiff)] if stiff else [])
    return front(np.column_stack(costs))


def front(costs: Floats) -> tuple[int, ...]:
    """Return the rows (designs, figures), less being better, that no other row beats.

    A row beats another that it nowhere exceeds and somewhere undercuts.
    """
    sound = np.flatnonzero(np.isfinite(costs).all(axis=1))
    kept = costs[sound]
    return tuple(int(n) for n, row in zip(sound, kept, strict=True) if not _beaten(row, kept).any())


def quantile_places(count: int, share: float) -> tuple[int, int]:
    """Return the order statistics (from 0) between which a quantile lies with 95 % confidence.

    The number of values below the quantile is binomial whatever the distribution.

    Source: David & Nagaraja, Order Statistics (2003), section 7.1; from memory.
    """
    low, high = stats.binom.interval(CONFIDENCE, count, share)
    return max(int(low) - 1, 0), min(int(high), count - 1)


def _beaten(row: Floats, others: Floats) -> Flags:
    nowhere_more: Flags = np.asarray((others <= row).all(axis=1))
    somewhere_less: Flags = np.asarray((others < row).any(axis=1))
    return nowhere_more & somewhere_less


def _rank(column: Column, figure: Column) -> Iterator[Sensitivity]:
    """Yield Spearman's rank correlation with its 95 % interval by Fisher's transformation.

    Source: Fieller, Hartley & Pearson, Biometrika 44 (1957) 470-481 (variance 1.06/(n - 3)); from
    memory.
    """
    x, y = numbers(column), numbers(figure)
    sound = np.isfinite(x) & np.isfinite(y)
    count = int(sound.sum())
    if count < FEWEST or np.ptp(x[sound]) == 0 or np.ptp(y[sound]) == 0:
        return
    value = float(stats.spearmanr(x[sound], y[sound]).statistic)
    reach = stats.norm.ppf((1 + CONFIDENCE) / 2) * np.sqrt(1.06 / (count - 3))
    middle = np.arctanh(np.clip(value, -1 + 1e-9, 1 - 1e-9))
    low, high = (float(np.tanh(middle + sign * reach)) for sign in (-1, 1))
    yield Sensitivity(column.key, figure.key, "rank correlation", value, low, high)


def _derivative(column: Column, figure: Column, inputs: Sequence[Column]) -> Iterator[Sensitivity]:
    """Yield d ln(figure) / d ln(input), the mean over the lines of the grid along the input."""
    x, y = numbers(column), numbers(figure)
    others = [numbers(other) for other in inputs if other is not column]
    if (x <= 0).any():
        return
    slopes = [
        np.polyfit(np.log(x[line]), np.log(y[line]), 1)[0]
        for line in _lines(others, len(x))
        if (y[line] > 0).all() and len(line) > 1 and np.ptp(x[line]) > 0
    ]
    if slopes:
        value = float(np.mean(slopes))
        yield Sensitivity(column.key, figure.key, "normalised derivative", value)


def _lines(others: Sequence[Floats], count: int) -> list[list[int]]:
    """Return the numbers of designs that differ in one input alone."""
    lines: dict[tuple[float, ...], list[int]] = {}
    for number in range(count):
        lines.setdefault(tuple(other[number] for other in others), []).append(number)
    return list(lines.values())


def _indices(
    base: int, inputs: Sequence[Column], figures: Sequence[Column]
) -> Iterator[Sensitivity]:
    """Yield the Sobol indices of samples laid out for them, with intervals by resampling.

    A figure of which one design is missing has none.
    """
    sound = [c for c in figures if np.isfinite(numbers(c)).all() and np.ptp(numbers(c)) > 0]
    if not sound:
        return
    parts = np.split(np.array([numbers(column) for column in sound]), len(inputs) + 2, axis=1)
    found = _sobol(parts)
    draw = np.random.default_rng(0)
    tries = [
        _sobol([part[:, picked] for part in parts])
        for picked in draw.integers(0, base, (ROUNDS, base))
    ]
    ends = np.quantile(tries, [(1 - CONFIDENCE) / 2, (1 + CONFIDENCE) / 2], axis=0)
    kinds: tuple[Kind, Kind] = ("first-order index", "total index")
    for row, figure in enumerate(sound):
        for number, kind in enumerate(kinds):
            for at, column in enumerate(inputs):
                value, low, high = (float(v[number, row, at]) for v in (found, *ends))
                yield Sensitivity(column.key, figure.key, kind, value, low, high)


def _sobol(parts: Sequence[Floats]) -> Floats:
    """Return first-order and total indices (2, figures, inputs) of A, B and each mixed sample."""
    first, second, *mixed = parts
    samples: dict[Literal["f_A", "f_B", "f_AB"], Floats] = {
        "f_A": first,
        "f_B": second,
        "f_AB": np.array(mixed),
    }
    found = stats.sobol_indices(func=samples, n=first.shape[1])
    shape = (len(first), len(mixed))
    result: Floats = np.array([found.first_order.reshape(shape), found.total_order.reshape(shape)])
    return result


def _band(figure: Column, values: Floats) -> Band | None:
    sound = np.sort(values[np.isfinite(values)])
    count = len(sound)
    if count < FEWEST:
        return None
    at = [float(value) for value in np.quantile(sound, QUANTILES)]
    places = [quantile_places(count, share) for share in QUANTILES]
    between = [(float(sound[low]), float(sound[high])) for low, high in places]
    return Band(
        figure.key,
        count,
        float(sound.mean()),
        float(sound.std(ddof=1)),
        (at[0], at[1], at[2]),
        (between[0], between[1], between[2]),
    )
