"""Samples of what varies, from a seed: Latin hypercubes and Sobol sequences through scipy.

For Sobol indices the samples are laid out after Saltelli: two independent samples A and B of n
designs, and for each axis A with that axis's column of B, n (d + 2) designs in all.

Source: Saltelli et al., Comput. Phys. Commun. 181 (2010) 259-270, as scipy.stats.sobol_indices
documents it; from memory otherwise.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from geometry.arrays import Floats
from geometry.errors import refuse
from studies.study_file.format.sweep_tables import PlanTable, SweepTable

FARTHEST = 8.0
"""Standard deviations from the mean beyond which no part of a normal distribution is left."""

CLEAR = 1e-12
"""Samples keep this far from 0 and 1, where a normal distribution has no value."""


@dataclass(frozen=True)
class Distribution:
    """How likely values are.

    Attributes:
        kind: uniform, normal, or the part of a normal one between two values.
        mean: Of the normal distribution, the middle of a uniform one.
        deviation: Standard deviation of the normal distribution, 0 for a uniform one.
        low: Least value, minus infinity where there is none.
        high: Greatest value, likewise.
    """

    kind: Literal["uniform", "normal", "truncated"]
    mean: float
    deviation: float
    low: float
    high: float


def distribution_of(sweep: SweepTable) -> Distribution | None:
    """Return the distribution that a sweep draws from, None for a list of values.

    Raises:
        InputError: A truncated distribution of which nothing is left.
    """
    if sweep.uniform:
        low, high = sweep.uniform.from_, sweep.uniform.to
        return Distribution("uniform", (low + high) / 2, 0.0, low, high)
    if sweep.normal:
        return Distribution("normal", sweep.normal.mean, sweep.normal.deviation, -np.inf, np.inf)
    cut = sweep.truncated
    if cut is None:
        return None
    found = Distribution("truncated", cut.mean, cut.deviation, cut.from_, cut.to)
    if max(cut.from_ - cut.mean, cut.mean - cut.to) > FARTHEST * cut.deviation:
        sentence = "lies so far from the mean that nothing is left of the distribution"
        raise refuse(sweep.path, f"the interval {cut.from_:g} to {cut.to:g} {sentence}; move it")
    return found


def samples(distributions: Sequence[Distribution], plan: PlanTable) -> Floats:
    """Return samples (designs, axes) of independent distributions.

    Raises:
        InputError: A Sobol sequence of a number that is no power of two, which is unbalanced.
    """
    count = plan.designs
    if (plan.sampler == "sobol" or plan.sobol_indices) and count & (count - 1):
        near = 2 ** round(np.log2(count))
        sentence = f"is {count}; a Sobol sequence is balanced for powers of two, such as {near}"
        raise refuse("plan.designs", sentence)
    width = len(distributions) * (2 if plan.sobol_indices else 1)
    unit = np.clip(_unit(width, plan), CLEAR, 1 - CLEAR)
    if plan.sobol_indices:
        unit = _saltelli(unit)
    columns = [_quantiles(d, unit[:, i]) for i, d in enumerate(distributions)]
    return np.column_stack(columns)


def _unit(width: int, plan: PlanTable) -> Floats:
    """Return samples (designs, width) in the unit cube."""
    # a second to load, which a check of a study must not take
    from scipy.stats import qmc

    if plan.sampler == "sobol" or plan.sobol_indices:
        engine: qmc.QMCEngine = qmc.Sobol(width, rng=plan.seed)
    else:
        engine = qmc.LatinHypercube(width, rng=plan.seed)
    found: Floats = engine.random(plan.designs)
    return found


def _saltelli(unit: Floats) -> Floats:
    """Return A, B and, for each axis, A with its column of B, one under the other."""
    first, second = np.hsplit(unit, 2)
    mixed = []
    for column in range(first.shape[1]):
        one = first.copy()
        one[:, column] = second[:, column]
        mixed.append(one)
    return np.vstack([first, second, *mixed])


def _quantiles(d: Distribution, share: Floats) -> Floats:
    """Return the values below which these shares of a distribution lie."""
    from scipy import stats

    if d.kind == "uniform":
        found: Floats = d.low + (d.high - d.low) * share
    elif d.kind == "normal":
        found = stats.norm.ppf(share, d.mean, d.deviation)
    else:
        ends = (d.low - d.mean) / d.deviation, (d.high - d.mean) / d.deviation
        found = stats.truncnorm.ppf(share, *ends, d.mean, d.deviation)
    return found
