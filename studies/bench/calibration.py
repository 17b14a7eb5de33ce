"""Which value of one input makes a prediction meet a record: a fit, and no measurement.

Each input whose ends were traced for the band is moved by itself. Stiffness, offset loads and peak
follow it along the traced paths, straight in the logarithms (of support friction straight in the
coefficient, which may be nothing). With the residuals r of these figures and their covariance C

    chi2(q) = r' C^-1 r,   95 %: chi2 <= least + 3.84.

C holds the record's terms, of which friction of the seals and the rig's give move all loads
together, and what all other inputs leave of the prediction; so a fitted wall carries what modulus
and proof stress may be. A permanent set is left out, for a slip looks like one.

The record tells one input from another where their least chi2 differ by more than 3.84. Stiffness
alone tells none: wall, modulus, clamp and the rig's own give are aliases. The rig's give that would
explain the stiffness by itself stands beside them.

Limits: one input at a time; a figure follows an input as between two traced paths, and at most four
steps or a quarter beyond, so confirm the fitted value by a path of its own.

Source: generalised least squares, textbook; 3.84, chi-squared of one freedom at 95 %.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

import numpy as np

from geometry.arrays import Floats
from loadcases.uncertainty import Input
from studies.bench.against import Compared
from studies.bench.interval import COVERAGE, Measured
from studies.records.band import BandRecord

Moved = tuple[float, int]
"""Factor on an input, and which of the band's paths has it."""

RISE = 3.84
"""Of chi2 at the ends of a 95 % interval."""

TOGETHER = ("friction", "compliance")
"""Terms of a record that move all of its figures at once."""

BEYOND, LEAST_REACH = 4, log(1.25)
"""Steps up to which an input is followed that was moved one way, and the least reach."""

POINTS = 401


@dataclass(frozen=True, eq=False)
class Fit:
    """An input that was moved by itself.

    Attributes:
        input: Which.
        factor: On its value in the prediction, at the least chi2.
        between: Interval of the factor; None on a side where it leaves what can be followed.
        chi2: The least.
        factors: (n,) of the profile.
        profile: (n,) chi2 there.
    """

    input: Input
    factor: float
    between: tuple[float | None, float | None]
    chi2: float
    factors: Floats
    profile: Floats

    @property
    def determined(self) -> bool:
        """Return whether both ends of its interval were found."""
        return None not in self.between


@dataclass(frozen=True, eq=False)
class Calibration:
    """Every input moved by itself.

    Attributes:
        figures: Names of the figures that were used.
        unchanged: chi2 of the prediction as it is.
        fits: By least chi2.
        rig_mm_per_n: Give of a rig that would explain the stiffness alone; None where the rig's was
            taken out, or where it would be negative.
    """

    figures: tuple[str, ...]
    unchanged: float
    fits: tuple[Fit, ...]
    rig_mm_per_n: Measured | None

    @property
    def alike(self) -> tuple[Input, ...]:
        """Return the inputs that explain the record about as well as the best."""
        least = self.fits[0].chi2
        return tuple(one.input for one in self.fits if one.chi2 <= least + RISE)


def calibrated(
    rows: Sequence[Compared], band: BandRecord | None, *, block: bool
) -> Calibration | None:
    """Return the fit of each input; None without a band or a figure that it holds.

    Args:
        rows: Record and prediction.
        band: Of the prediction.
        block: Whether the rig's own give was taken out.
    """
    used = [one for one in rows if one.unit != "mm" and one.between]
    if band is None or not used:
        return None
    moved = [(one.input, one.factor) for one in band.varied]
    inputs = list(dict.fromkeys(name for name, _ in moved))
    at = {name: [i for i, one in enumerate(moved) if one[0] == name] for name in inputs}
    measured = np.array([row.measured.value for row in used])
    own = np.array([row.predicted for row in used])
    scatter = _of_record(used)
    left = {name: _left(used, at[name]) for name in inputs}
    whole = scatter + sum((np.outer(one, one) for one in left.values()), np.zeros_like(scatter))
    fits = [
        _fit(
            name,
            [(moved[i][1], i) for i in at[name]],
            used,
            whole - np.outer(left[name], left[name]),
        )
        for name in inputs
    ]
    return Calibration(
        tuple(row.name for row in used),
        float(_chi2((measured - own)[None], scatter)[0]),
        tuple(sorted(fits, key=lambda one: one.chi2)),
        None if block else _rig(used),
    )


def _fit(name: Input, moved: Sequence[Moved], rows: Sequence[Compared], covariance: Floats) -> Fit:
    places, logs = _followed(name, moved, rows)
    x = np.linspace(*_reach(places), POINTS)
    measured = np.array([row.measured.value for row in rows])
    profile = _chi2(measured - np.exp(_along(x, places, logs)), covariance)
    best = int(np.argmin(profile))
    factors = x if name == "support friction" else np.exp(x)
    inside = np.flatnonzero(profile <= profile[best] + RISE)
    low = float(factors[inside[0]]) if inside[0] > 0 else None
    high = float(factors[inside[-1]]) if inside[-1] < POINTS - 1 else None
    return Fit(name, float(factors[best]), (low, high), float(profile[best]), factors, profile)


def _followed(
    name: Input, moved: Sequence[Moved], rows: Sequence[Compared]
) -> tuple[Floats, Floats]:
    """Return places (k,) of an input, rising, and logarithms (k, rows) of the figures there."""
    known = [(factor, [row.others[i] for row in rows]) for factor, i in moved]
    known.append((1.0, [row.predicted for row in rows]))
    known.sort()
    factors, figures = np.array([one for one, _ in known]), np.array([row for _, row in known])
    return factors if name == "support friction" else np.log(factors), np.log(figures)


def _reach(places: Floats) -> tuple[float, float]:
    """Return the span in which an input is followed: of one that went one way also the other."""
    step = float(np.ptp(places))
    if len(places) > 2:
        return float(places[0]), float(places[-1])
    reach = max(BEYOND * step, LEAST_REACH)
    return -reach, reach


def _along(x: Floats, places: Floats, values: Floats) -> Floats:
    """Return values (n, rows) at places (n,), straight between and beyond the known (k, rows)."""
    i = np.clip(np.searchsorted(places, x) - 1, 0, len(places) - 2)
    slopes = (values[1:] - values[:-1]) / np.diff(places)[:, None]
    found: Floats = values[i] + slopes[i] * (x - places[i])[:, None]
    return found


def _left(rows: Sequence[Compared], at: Sequence[int]) -> Floats:
    """Return what an input leaves of the figures (rows,), as a standard uncertainty."""
    own = np.array([row.predicted for row in rows])
    changes = np.array([[row.others[i] for row in rows] for i in at]) - own
    largest: Floats = changes[np.argmax(np.abs(changes).max(axis=1))] / COVERAGE
    return largest


def _of_record(rows: Sequence[Compared]) -> Floats:
    """Return the covariance (rows, rows) of the measured figures."""
    total = np.zeros((len(rows), len(rows)))
    for name in dict.fromkeys(name for row in rows for name in row.measured.terms):
        terms = np.array([row.measured.terms.get(name, 0.0) for row in rows])
        total += np.outer(terms, terms) if name in TOGETHER else np.diag(terms**2)
    return total


def _chi2(residuals: Floats, covariance: Floats) -> Floats:
    """Return chi2 (n,) of residuals (n, rows)."""
    inverse = np.linalg.pinv(covariance, hermitian=True)
    found: Floats = np.einsum("ni,ij,nj->n", residuals, inverse, residuals)
    return found


def _rig(rows: Sequence[Compared]) -> Measured | None:
    """Return 1/k measured less 1/k predicted, mm/N, with the uncertainty of both."""
    row = next((one for one in rows if one.unit == "N/mm"), None)
    if row is None:
        return None
    k, own = row.measured.value, row.predicted
    give = 1 / k - 1 / own
    if give <= 0:
        return None
    terms = {
        "record": row.measured.half_width / COVERAGE / k**2,
        "prediction": row.half_width / COVERAGE / own**2,
    }
    return Measured(give, terms)
