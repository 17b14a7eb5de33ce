"""A record beside a prediction in words, for the command line and the page."""

from collections.abc import Iterator

from studies.bench.against_record import (
    AgainstRecord,
    CalibrationRecord,
    ComparedRecord,
    FitRecord,
)
from studies.bench.text import digits_within

SAME = 1.0
"""Deviations up to which two figures agree as well as can be asked."""

APART = 2.0
"""Deviations above which they do not, at 95 %."""


def between_in_words(one: ComparedRecord) -> tuple[str, str, str, str]:
    """Return measured with its half width, predicted with its interval."""
    value, width = digits_within(one.measured, one.half_width)
    if one.predicted_low is None or one.predicted_high is None:
        return value, f"± {width}", f"{one.predicted:.4g}", "none"
    between = f"{one.predicted_low:.4g} to {one.predicted_high:.4g}"
    return value, f"± {width}", f"{one.predicted:.4g}", between


def apart_in_words(one: ComparedRecord) -> tuple[str, str]:
    """Return the distance in percent, and in standard deviations."""
    percent = "" if one.percent is None else f"{one.percent:+.1f} %".replace("-", "\u2212")
    return percent, f"{abs(one.deviations):.1f} sd"


def made_in_words(found: AgainstRecord) -> str:
    """Return when the prediction was made, before or after the record."""
    if found.before_record is None:
        return "at a time that is not known"
    side = "before" if found.before_record else "after"
    when = found.computed_at.replace("T", " ").removesuffix("Z")
    return f"{when} UTC, {side} the record's file was last changed (clocks of the machines)"


def limits_in_words(found: AgainstRecord) -> Iterator[str]:
    """Yield for each limit of the test on which side record and prediction lie."""
    for one in found.figures:
        if one.limit is not None:
            record = _side(one.measured - one.half_width, one.measured + one.half_width, one.limit)
            low, high = one.predicted_low, one.predicted_high
            ends = (one.predicted, one.predicted) if low is None or high is None else (low, high)
            held = f", after {one.hold_min:g} min under load" if one.hold_min else ""
            yield (
                f"{one.name} at most {one.limit:g} {one.unit}{held}: record {record}, prediction "
                f"{_side(*ends, one.limit)}"
            )


def sentence_of(found: AgainstRecord) -> str:
    """Return how far the worst figure is apart."""
    if not found.figures:
        return "Record and prediction have no figure in common."
    worst = max(found.figures, key=lambda one: abs(one.deviations))
    far = abs(worst.deviations)
    name = worst.name[0].lower() + worst.name[1:]
    how = f"{name} differs most, by {far:.1f} standard deviations"
    if far <= SAME:
        return f"The prediction meets the record: {how}."
    if far <= APART:
        return f"The prediction meets the record within their intervals: {how}."
    return f"The prediction does not meet the record: {how}."


def fit_in_words(one: FitRecord) -> tuple[str, str]:
    """Return the fitted factor, and its interval."""
    if one.low is None and one.high is None:
        return f"{one.factor:.3f}", "not determined"
    low = "below" if one.low is None else f"{one.low:.3f}"
    high = "above" if one.high is None else f"{one.high:.3f}"
    return f"{one.factor:.3f}", f"{low} to {high}"


def chi2_in_words(chi2: float) -> str:
    """Return it with two digits, without a power of ten where it is large."""
    return f"{chi2:.2g}" if chi2 < 99.5 else f"{chi2:.0f}"


def alike_in_words(found: CalibrationRecord) -> str:
    """Return which inputs the record does not tell apart, or that none explains it.

    Source: chi-squared at 95 %, of the figures less the one that was fitted; textbook.
    """
    from scipy.special import chdtri

    least, most = found.fits[0].chi2, float(chdtri(max(len(found.figures) - 1, 1), 0.05))
    if least > most:
        return (
            f"no input by itself explains this record, least chi2 {chi2_in_words(least)}, at most "
            f"{chi2_in_words(most)} at 95 %; look at set-up, rig and record first"
        )
    if len(found.alike) > 1:
        return (
            f"this record does not tell {', '.join(found.alike[:-1])} and {found.alike[-1]} apart"
        )
    return f"this record is explained by {found.alike[0]} alone"


def rig_in_words(found: CalibrationRecord) -> str:
    """Return the rig's give that would explain the stiffness, empty where none would."""
    if found.rig_mm_per_n is None:
        return ""
    give, width = digits_within(found.rig_mm_per_n / 1e-3, (found.rig_half_width or 0) / 1e-3)
    return f"its own give of {give} ± {width} mm/kN would explain the stiffness too; press a block"


def _side(low: float, high: float, limit: float) -> str:
    if high <= limit:
        return "within"
    return "beyond" if low > limit else "undecided"
