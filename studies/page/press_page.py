"""press.html: a reduced press record, and the prediction that it is set beside."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from studies.bench.against_record import AgainstRecord, ComparedRecord, FitRecord
from studies.bench.against_text import (
    APART,
    alike_in_words,
    apart_in_words,
    between_in_words,
    chi2_in_words,
    fit_in_words,
    limits_in_words,
    made_in_words,
    rig_in_words,
    sentence_of,
)
from studies.bench.calibration import RISE
from studies.bench.record import PressRecord
from studies.bench.record_text import figure_rows, record_sentence
from studies.page.assets import sheet
from studies.page.bench_chart import Area, Content, Curve, Spot, charts
from studies.page.chart import broken_line
from studies.page.filling import environment

ROUNDED_N = 0.01
"""By what forces of the stored curve may be rounded."""

HIGHEST = 3 * RISE
"""Of a profile as it is drawn: three times what ends its interval."""

LEAST_REACH, MARGIN = 4.0, 2.2
"""Standard deviations to either side of a plot in a table, and beyond the farthest figure."""


@dataclass(frozen=True)
class Plot:
    """Whiskers in a table's cell, places in percent of its width.

    Attributes:
        band: From and to of the prediction's interval; None without one.
        whisker: Likewise of what was measured or fitted.
        at: Its middle.
        zero: Where both agree.
    """

    band: tuple[float, float] | None
    whisker: tuple[float, float]
    at: float
    zero: float


@dataclass(frozen=True)
class ComparedRow:
    """A figure of record and prediction as the page shows it."""

    name: str
    unit: str
    measured: str
    predicted: str
    between: str
    apart: str
    deviations: str
    plot: Plot | None
    far: bool


@dataclass(frozen=True)
class FitRow:
    """A fitted input as the page shows it; its profile is a line in a box of 100 by 30."""

    input: str
    factor: str
    between: str
    chi2: str
    plot: Plot
    profile: str


def press_html(record: PressRecord) -> str:
    """Return the page of a record."""
    found = record.against
    return (
        environment()
        .get_template("press.html")
        .render(
            style=sheet("bench.css"),
            record=record,
            sentence=sentence_of(found) if found else record_sentence(record),
            charts=charts(_content(record)),
            rows=figure_rows(record),
            compared=list(_compared(found)) if found else [],
            made=made_in_words(found) if found else "",
            limits=list(limits_in_words(found)) if found else [],
            fits=list(_fits(found)) if found else [],
            alike=alike_in_words(found.calibration) if found and found.calibration else "",
            give=rig_in_words(found.calibration) if found and found.calibration else "",
        )
    )


def _content(record: PressRecord) -> Content:
    travel, force = (np.array(one) for one in (record.curve.travel_mm, record.curve.force_n))
    curves, areas = [Curve("record", "record", travel, force)], []
    if found := record.against:
        x, y = np.array([0.0, *found.travel_mm]), np.array([0.0, *found.load_n])
        near = x <= travel.max()
        curves.insert(0, Curve("prediction", "foreseen", x[near], y[near]))
        if found.band_travel_mm:
            along = np.array(found.band_travel_mm)
            kept = along <= travel.max()
            low, high = (np.array(one)[kept] for one in (found.band_low_n, found.band_high_n))
            areas.append(Area("prediction, 95 %", along[kept], low, high))
    window = record.window
    within = (force >= window.from_n - ROUNDED_N) & (force <= window.to_n + ROUNDED_N)
    first = np.flatnonzero(within)[: record.window.points]
    part = Curve("straight part", "straight", travel[first], force[first])
    return Content(
        "Force, N", "travel from the zero, mm", (*curves, part), tuple(areas), _spots(record)
    )


def _spots(record: PressRecord) -> tuple[Spot, ...]:
    """Return peak and offset loads, which the table names in the same order."""
    found = [
        Spot(f"offset {one.shift_mm:g} mm", one.travel_mm, one.load_n.value)
        for one in record.offset_loads
        if one.load_n and one.travel_mm is not None
    ]
    name = "peak" if record.load_fell else "largest load"
    return (*found, Spot(name, record.max_load_travel_mm, record.max_load_n.value))


def _compared(found: AgainstRecord) -> Iterator[ComparedRow]:
    reach = max([LEAST_REACH, *(abs(one.deviations) + MARGIN for one in found.figures)])
    for one in found.figures:
        measured, width, predicted, between = between_in_words(one)
        percent, deviations = apart_in_words(one)
        yield ComparedRow(
            one.name,
            one.unit,
            f"{measured} {width}",
            predicted,
            between,
            percent,
            deviations,
            _plot(one, reach),
            abs(one.deviations) > APART,
        )


def _plot(one: ComparedRecord, reach: float) -> Plot | None:
    """Return a figure in standard deviations from the prediction, up to `reach`."""
    apart = one.measured - one.predicted
    if not one.deviations:
        return None
    deviation = apart / one.deviations

    def place(value: float) -> float:
        share = (value - one.predicted) / deviation / reach
        return float(np.clip(50 + 50 * share, 0, 100))

    band = None
    if one.predicted_low is not None and one.predicted_high is not None:
        band = place(one.predicted_low), place(one.predicted_high)
    whisker = place(one.measured - one.half_width), place(one.measured + one.half_width)
    return Plot(band, whisker, place(one.measured), 50.0)


def _fits(found: AgainstRecord) -> Iterator[FitRow]:
    if found.calibration is None:
        return
    for one in found.calibration.fits:
        factor, between = fit_in_words(one)
        yield FitRow(
            one.input, factor, between, chi2_in_words(one.chi2), _fit_plot(one), _profile(one)
        )


def _profile(one: FitRecord) -> str:
    """Return chi2 over the factors, from its least up to `HIGHEST` above it."""
    rise = np.array(one.profile) - one.chi2
    x = np.linspace(0, 100, len(rise))
    return broken_line(x, 30 - 30 * np.minimum(rise, HIGHEST) / HIGHEST)


def _fit_plot(one: FitRecord) -> Plot:
    """Return a fit over the factors that were followed, in their own spacing."""
    factors = np.array(one.factors)
    share = np.linspace(0, 100, len(factors))

    def place(value: float) -> float:
        return float(np.interp(value, factors, share))

    low = 0.0 if one.low is None else place(one.low)
    high = 100.0 if one.high is None else place(one.high)
    return Plot(None, (low, high), place(one.factor), place(1.0))
