"""A reduction in words: what it rests on, and what hinders it."""

from collections.abc import Iterator

from studies.bench.interval import Measured
from studies.bench.reduction import Reduction
from studies.bench.slips import UP_TO
from studies.bench.slope_window import FEW

FEW_DIVISIONS = 30
"""Of the gauge at the peak: below, it is too coarse to judge a bar by."""

MOST_LINES = 6
"""Lines of the file that a sentence names."""

QUALITY_WORDS = {
    "force_noise": "noise of force",
    "travel_noise": "noise of travel",
    "force_resolution": "resolution of force",
    "travel_resolution": "resolution of travel",
    "first_residual_slope": "residual slope of the first quarter",
    "last_residual_slope": "residual slope of the last quarter",
    "fit_range": "fit range",
}


def cautions(found: Reduction) -> Iterator[str]:
    """Yield what a reader of the figures must know, the weightiest first."""
    yield from _of_rig(found)
    yield from _of_divisions(found)
    yield from _of_quality(found)
    yield from _of_slips(found)
    yield from _of_unloadings(found)
    yield from _of_file(found)


def digits(found: Measured, scale: float = 1.0) -> tuple[str, str]:
    """Return value and half of its interval over a scale, to two digits of the interval."""
    return digits_within(found.value / scale, found.half_width / scale)


def digits_within(value: float, width: float) -> tuple[str, str]:
    """Return a value and half of its interval, to two digits of the interval."""
    order = int(f"{width or value:.1e}".partition("e")[2])
    decimals, step = max(0, 1 - order), 10.0 ** max(0, order - 1)
    shown, half = (
        f"{round(one / step, decimals) * step + 0.0:.{decimals}f}" for one in (value, width)
    )
    return shown, half


def _of_rig(found: Reduction) -> Iterator[str]:
    if found.rig.gauge_class_percent is None:
        yield "The gauge's class is not given: the intervals leave its error out (--gauge-class)."
    readings = found.ready.readings
    if found.rig.friction_percent is None and readings.friction[1]:
        low, high = (100 * share for share in readings.friction)
        yield (
            f"Friction of the seals taken as {low:g} to {high:g} %, from memory "
            "(--friction-percent)."
        )
    if found.compliance_mm_per_n is None:
        yield "Stiffness of bar and rig together: no rigid block was pressed (--block)."


def _of_divisions(found: Reduction) -> Iterator[str]:
    if found.divisions_at_peak < FEW_DIVISIONS:
        yield (
            f"The largest load is {found.divisions_at_peak:.0f} divisions of the gauge, below "
            f"{FEW_DIVISIONS}: too coarse; use a gauge of smaller full scale."
        )


def _of_quality(found: Reduction) -> Iterator[str]:
    """Yield the figures above 1; of few readings only those that they do not fail by being few."""
    first = found.ready.first
    few = first.stop - first.start < FEW
    poor = [
        f"{words} {value:.2g}"
        for name, words in QUALITY_WORDS.items()
        if (value := getattr(found.window.quality, name)) > 1
        and not (few and name.endswith(("noise", "resolution")))
    ]
    if poor:
        yield f"Data quality of the slope above 1 (ASTM E3076): {', '.join(poor)}."


def _of_slips(found: Reduction) -> Iterator[str]:
    for slip in found.slips.found:
        where = f"before line {slip.line}, at {slip.force_n:.0f} N"
        if slip.corrected:
            yield f"Slip of {slip.travel_mm:.2g} mm in the fixture {where}: taken out."
        else:
            yield (
                f"Jump of {slip.travel_mm:.2g} mm {where}, above {UP_TO:g} of the largest load: a "
                "slip or a missing row; left in, so the set may hold a slip."
            )
    sets = [one.set_mm.value for one in found.unloadings if one.set_mm]
    if sets and found.slips.least_mm > 0.2 * max(sets):
        yield (
            f"A slip below {found.slips.least_mm:.2g} mm cannot be told from a permanent set in "
            "this record."
        )


def _of_unloadings(found: Reduction) -> Iterator[str]:
    if before := sum(b.loading for b in found.ready.branches if b.start < found.ready.first.start):
        yield (
            f"Stiffness and zero are of loading {before + 1}, from line "
            f"{found.ready.points.lines[found.ready.first.start]} on: set of earlier loading is "
            "not in them."
        )
    if not found.unloadings:
        yield "No unloading in the record: no permanent set."
    for one in found.unloadings:
        if one.set_mm is None:
            yield (
                f"Unloading from line {one.line}: too few points between 0.12 and 0.85 of "
                f"{one.from_n:.0f} N, so no permanent set."
            )
    if not found.fell:
        yield "The load does not fall within the record: its largest load is no peak."


def _of_file(found: Reduction) -> Iterator[str]:
    ready = found.ready
    if ready.spikes:
        named = ", ".join(str(line) for line in ready.spikes[:MOST_LINES])
        more = len(ready.spikes) - MOST_LINES
        yield f"Left out as spikes: line {named}{f' and {more} more' if more > 0 else ''}."
    if ready.readings.missing:
        yield f"Left out: {ready.readings.missing} rows without a number for force or travel."
    if ready.readings.flipped:
        yield f"Sign changed: {' and '.join(ready.readings.flipped)}."
