"""The stated 95 % interval of a reduced press record, on invented records with known truth."""

from functools import cache

import numpy as np
import pytest

from calibration.press_study import QUANTITIES, Row, coverage_percent, of, rows_of
from support.press_records import press_record

FEW, MANY = range(5000, 5060), range(4000, 5000)
"""Seeds that nobody looked at while the reduction was written."""

LEAST, LEAST_OF_FEW = 93.0, 90.0
"""Coverage in percent, of a stated 95: of a thousand, two standard deviations below 95 is 93.6; of
sixty, one record is 1.7."""

MOST_BIAS, MOST_BIAS_OF_FEW = 0.01, 0.015
"""Of the median, relative: gauges err by 1 % of full scale in the median, either way; the set's
reference is short."""

MOST_SLOPE_WIDTH = 0.075


@cache
def rows(seeds: range) -> list[Row]:
    """Return the rows of some seeds."""
    return rows_of(seeds)


def bias(some: list[Row]) -> float:
    """Return the median relative error."""
    return float(np.median([row.value / row.truth - 1 for row in some]))


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_interval_holds_the_truth(quantity: str) -> None:
    """Of a few records: coverage, and no bias."""
    some = of(rows(FEW), quantity)
    assert len(some) >= 58
    assert coverage_percent(some) >= LEAST_OF_FEW
    assert abs(bias(some)) <= MOST_BIAS_OF_FEW


@pytest.mark.slow
@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_interval_holds_the_truth_of_a_thousand(quantity: str) -> None:
    """Coverage, and no bias."""
    some = of(rows(MANY), quantity)
    assert len(some) >= 990
    assert coverage_percent(some) >= LEAST
    assert abs(bias(some)) <= MOST_BIAS


@pytest.mark.slow
def test_the_slope_is_stated_closely() -> None:
    """The median half width is no wider than a comparison of walls can use."""
    widths = [row.half_width / row.truth for row in of(rows(MANY), "slope")]
    assert float(np.median(widths)) <= MOST_SLOPE_WIDTH


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_five_percent_are_seen(quantity: str) -> None:
    """Values five percent too large fall outside the bounds of bias."""
    some = of(rows(FEW), quantity)
    assert abs(bias(some) + 0.05) > MOST_BIAS_OF_FEW


def test_the_standard_error_of_the_fit_would_not_do() -> None:
    """By it alone less than half of the slopes are covered: gauges err, fits do not know."""
    some = of(rows(FEW), "slope")
    assert np.mean([abs(row.value - row.truth) <= row.by_fit_alone for row in some]) < 0.5


def test_records_follow_their_seed() -> None:
    """The same twice, of another seed another."""
    assert press_record(7) == press_record(7)
    assert press_record(7).text != press_record(8).text
