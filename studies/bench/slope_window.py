"""The slope of a loading branch: the window of points that lies best on a straight line.

In the spirit of ASTM E3076-18, clause 6: the branch is cut beyond its tangency point, and of all
windows of it that is taken whose residuals are least beside its own spread. Figures of data
quality say how much noise, resolution and curvature the window has: for readings by hand they are
reported and not obeyed, for thirty of them fail the resolution by construction.

A branch of few points has no tangency point that its noise does not move, and of windows of five
points the straightest is often one past the first yield: there the window is sought between 0.06
and 0.62 of the largest force. Those shares were tried on invented records, not derived.

Source: ASTM E3076-18 clause 6 by an MIT-licensed transcription, read there; S. Graham & M. Adler,
J. Test. Eval. 39 (2011), doi 10.1520/JTE103038, secondary.
"""

from dataclasses import dataclass
from math import sqrt

import numpy as np

from geometry.arrays import Floats

SHARE, LEAST = 0.2, 10
"""A window has at least this share of the points up to the tangency point, and this many."""

FEW = 60
"""A loading of fewer points is one read by hand."""

SHARE_OF_FEW, LEAST_OF_FEW = 0.35, 5
"""Of the points between `BETWEEN` of its largest force."""

BETWEEN = (0.06, 0.62)

START, ABOVE, RAISE = 0.05, 0.15, 0.05
"""Shares of the largest force: where the line of tangency begins, how far above, and what it is
raised by while the window ends at the tangency point."""

TIMES = 17
BLOCKS = 500
"""Longer branches are searched in means of so many blocks."""


@dataclass(frozen=True)
class Quality:
    """Figures of data quality; each should be at most 1.

    Attributes:
        force_noise: Standard deviation of first differences over 0.005 of the tangency point's.
        travel_noise: Likewise.
        force_resolution: The commonest second difference, over 3 steps of 2^-12; where that is
            coarse, its share over a quarter.
        travel_resolution: Likewise.
        first_residual_slope: Of the window's first quarter, over 0.05 of the slope.
        last_residual_slope: Of its last quarter.
        fit_range: 0.4 over the window's range of force, as a share of the tangency point's.
    """

    force_noise: float
    travel_noise: float
    force_resolution: float
    travel_resolution: float
    first_residual_slope: float
    last_residual_slope: float
    fit_range: float


@dataclass(frozen=True, eq=False)
class Window:
    """The straight part of a branch.

    Attributes:
        start: Index of its first point.
        stop: Index after its last one.
        slope: Force over travel there.
        intercept: Force of the line at no travel.
        quality: Figures of data quality.
    """

    start: int
    stop: int
    slope: float
    intercept: float
    quality: Quality

    @property
    def zero(self) -> float:
        """Return the travel at which the line has no force."""
        return -self.intercept / self.slope


def line_through(x: Floats, y: Floats) -> tuple[float, float]:
    """Return slope and intercept of the least-squares line of y (n,) over x (n,)."""
    dx = x - x.mean()
    slope = float(dx @ (y - y.mean()) / (dx @ dx))
    return slope, float(y.mean() - slope * x.mean())


def window_of(x: Floats, y: Floats) -> Window | None:
    """Return the window of a loading branch, travel x (n,) and force y (n,); None without any.

    Source: module docstring.
    """
    x0, y0 = x - x[0], y - y[0]
    found, end = _of_few(x0, y0) if len(x) < FEW else _of_many(x0, y0)
    if found is None:
        return None
    start, stop = found
    slope, intercept = line_through(x[start:stop], y[start:stop])
    if slope <= 0:
        return None
    normal = x0[: end + 1] / x0[end], y0[: end + 1] / y0[end]
    return Window(start, stop, slope, intercept, _quality(*normal, start, stop))


def _of_many(x: Floats, y: Floats) -> tuple[tuple[int, int] | None, int]:
    """Return the window's bounds, and the tangency point up to which it was sought."""
    for time in range(TIMES):
        end = _tangency(x, y, (ABOVE + time * RAISE) * y.max())
        found = _best(x[: end + 1], y[: end + 1], SHARE, LEAST)
        if found is None or found[1] < end + 1:
            break
    return found, end


def _of_few(x: Floats, y: Floats) -> tuple[tuple[int, int] | None, int]:
    """Return the window's bounds between two shares of the largest force, and where that ends."""
    low, high = (share * y.max() for share in BETWEEN)
    end = max(int(np.argmax(y > high)), LEAST_OF_FEW) - 1
    start = min(int(np.argmax(y > low)), end + 1 - LEAST_OF_FEW)
    found = _best(x[start : end + 1], y[start : end + 1], SHARE_OF_FEW, LEAST_OF_FEW)
    return (start + found[0], start + found[1]) if found else None, end


def _tangency(x: Floats, y: Floats, above: float) -> int:
    """Return where a line from above the branch's beginning touches it."""
    at = int(np.argmax(y > START * y.max()))
    x_o, y_o = x[at], y[at] + above
    beyond = (y > y_o) & (x > x_o)
    if not beyond.any():
        return int(np.argmax(y))
    slopes = np.full(len(x), -np.inf)
    slopes[beyond] = (y[beyond] - y_o) / (x[beyond] - x_o)
    return int(np.argmax(slopes))


def _best(x: Floats, y: Floats, share: float, least: int) -> tuple[int, int] | None:
    """Return first index and index after the last of the window with the least residual."""
    size = -(-len(x) // BLOCKS)
    starts = np.arange(0, len(x), size)
    counts = np.diff(np.append(starts, len(x)))
    means = np.add.reduceat(x, starts) / counts, np.add.reduceat(y, starts) / counts
    residual = _residuals(*means)
    count = len(starts)
    first, last = np.indices((count, count))
    points = max(round(share * len(x)), least)
    residual[last - first + 1 < -(-points // size)] = np.inf
    if not np.isfinite(residual).any():
        return None
    a, b = np.unravel_index(int(np.argmin(residual)), residual.shape)
    return int(starts[a]), int(starts[b] + counts[b])


def _residuals(x: Floats, y: Floats) -> Floats:
    """Return the residuals' share of the spread (n, n) of each window by its first and last."""
    x, y = x - x.mean(), y - y.mean()
    sums = [np.append(0.0, np.cumsum(v)) for v in (np.ones_like(x), x, y, x * x, y * y, x * y)]
    n, sx, sy, sxx, syy, sxy = (v[None, 1:] - v[:-1, None] for v in sums)
    with np.errstate(divide="ignore", invalid="ignore"):
        cx, cy, cross = sxx - sx * sx / n, syy - sy * sy / n, sxy - sx * sy / n
        share: Floats = 1 - cross * cross / (cx * cy)
    tiny = 1e-12 * max(float(sums[3][-1]), 1e-300), 1e-12 * max(float(sums[4][-1]), 1e-300)
    share[~((cx > tiny[0]) & (cy > tiny[1]) & (cross > 0))] = np.inf
    return share


def _quality(x: Floats, y: Floats, start: int, stop: int) -> Quality:
    first, last = _residual_slopes(x[start:stop], y[start:stop])
    return Quality(
        float(np.std(np.diff(y)) / 0.005),
        float(np.std(np.diff(x)) / 0.005),
        _resolution(y),
        _resolution(x),
        first,
        last,
        0.4 / max(float(np.ptp(y[start:stop])), 1e-9),
    )


def _resolution(values: Floats) -> float:
    """Return the commonest second difference, by bins of 2^-12 round whole numbers.

    One of over 3 bins is coarse, unless less than a quarter of the differences lie there: that is
    noise, not steps.
    """
    bins = np.rint(np.abs(np.diff(values, n=2)) * 2**12).astype(int)
    counts = np.bincount(bins[bins > 0]) if (bins > 0).any() else np.zeros(1)
    fullest = int(np.argmax(counts))
    if fullest <= 3:
        return fullest / 3
    return max(float(counts[fullest] / len(bins) / 0.25), 1 / 3)


def _residual_slopes(x: Floats, y: Floats) -> tuple[float, float]:
    """Return the slopes of the residuals of the first and last quarter, over 0.05 of the slope."""
    slope, intercept = line_through(x, y)
    left = y - slope * x - intercept
    quarter = min(max(round(len(x) / 4), 5), len(x))
    parts = slice(None, quarter), slice(-quarter, None)
    one, two = (_slope_or_none(x[part], left[part]) for part in parts)
    return abs(one) / (0.05 * slope), abs(two) / (0.05 * slope)


def _slope_or_none(x: Floats, y: Floats) -> float:
    return line_through(x, y)[0] if np.ptp(x) else 0.0


def lag_factor(left: Floats) -> float:
    """Return by how much correlated residuals (n,) raise a line's standard error.

    Source: sqrt((1 + r)/(1 - r)), r the correlation of neighbours; large samples.
    """
    spread = float(left @ left)
    r = float(left[1:] @ left[:-1]) / spread if spread else 0.0
    r = min(max(r, 0.0), 0.95)
    return sqrt((1 + r) / (1 - r))
