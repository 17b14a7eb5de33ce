"""Polynomials in the logarithms of wall factors, through a few computed designs.

A figure y(f) of factors f is written y(1) exp(sum c_k prod_i (ln f_i)^(p_ki)): exact at the study's
own walls, and by dimensional analysis close to a power of the wall, for which one term is enough.
The last design lies in the middle and is foretold from the others first; how far that is off is the
stated error. A place depends on the wall there and little on others, so two groups have cubes of
their own and one product. Fields may pass through zero: the polynomial is of their values.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from geometry.arrays import Floats

Powers = tuple[tuple[int, ...], ...]

POWERS: dict[int, Powers] = {
    1: ((1,), (2,), (3,)),
    2: ((1, 0), (2, 0), (3, 0), (0, 1), (0, 2), (0, 3), (1, 1)),
}
"""Powers of each term, by the number of groups."""


@dataclass(frozen=True, eq=False)
class Fit:
    """What carries values at the designs over to the factors between them.

    Attributes:
        powers: Of each term.
        terms: (D, K) each term at each of D designs but the first, where all are 0; K is at most D.
    """

    powers: Powers
    terms: Floats


def fit_through(factors: Sequence[tuple[float, ...]]) -> Fit:
    """Return the fit through designs; the first has factors of 1."""
    powers = POWERS[len(factors[0])]
    return Fit(powers, np.array([terms_at(powers, one) for one in factors[1:]]))


def terms_at(powers: Powers, factors: Sequence[float]) -> Floats:
    """Return (K,) each term at some factors."""
    return np.asarray(np.prod(np.log(factors) ** np.array(powers), axis=1))


def coefficients(fit: Fit, values: Floats) -> Floats:
    """Return (K, ...) the coefficients of values (D + 1, ...): least squares of the changes."""
    return _solved(fit.terms, values[1:] - values[0])


def foretold(fit: Fit, values: Floats) -> Floats:
    """Return (...) the last design's values as the others foretell them."""
    count = min(len(fit.powers), len(fit.terms) - 1)
    found = _solved(fit.terms[:-1, :count], values[1:-1] - values[0])
    return np.asarray(values[0] + np.tensordot(fit.terms[-1, :count], found, 1))


def _solved(terms: Floats, others: Floats) -> Floats:
    flat = np.linalg.lstsq(terms, others.reshape(len(others), -1))[0]
    return np.asarray(flat.reshape(terms.shape[1], *others.shape[1:]))
