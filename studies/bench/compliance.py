"""What the rig errs by, and its own give by the record of a rigid block."""

from math import sqrt

import numpy as np

from studies.bench.cleaning import Divisions
from studies.bench.interval import Errors, Measured, curvature, fit_errors
from studies.bench.prepared import check_count, cleaned, divisions_of
from studies.bench.readings import Readings
from studies.bench.rig import Rig
from studies.bench.slope_window import line_through

ABOVE_TOE = 0.2
"""Share of the block's largest force above which its line is read; it lies flat by then."""


def compliance_of(block: Readings, rig: Rig) -> Measured:
    """Return the travel of the rig for each newton, mm/N, by the loading of a rigid block.

    Travel over force: of a block the travel is the coarse one of the two.

    Raises:
        InputError: The record cannot be reduced.
    """
    steps = divisions_of(block, rig)
    points = cleaned(block, steps)[0]
    check_count(points)
    errors = errors_of(block, rig, steps, None)
    # by the force alone: of a stiff rig the dial may not move enough to show reversals
    up = points.at(slice(0, int(np.argmax(points.force_n)) + 1))
    part = up.at(up.force_n > ABOVE_TOE * points.force_n.max())
    check_count(part)
    force, travel = part.force_n / (1 + sum(block.friction) / 2), part.travel_mm
    c, intercept = line_through(force, travel)
    span = float(force.max() - force.min())
    terms = {
        "fit": fit_errors(force, travel, c, intercept)[1],
        "curvature": curvature(force, travel),
        "gauge": abs(c) * errors.gauge_n * sqrt(2 / 3) / span,
        "friction": abs(c) * errors.friction,
        "divisions": errors.divisions.travel_mm / sqrt(6) / span,
    }
    return Measured(c, terms)


def errors_of(
    readings: Readings, rig: Rig, steps: Divisions, compliance: Measured | None
) -> Errors:
    """Return what the rig may err by; a gauge without a class errs by nothing that is known."""
    low, high = readings.friction
    share = (rig.gauge_class_percent or 0.0) / 100
    return Errors(
        share * (rig.full_scale or 0.0) * readings.unit_n,
        (high - low) / sqrt(12),
        steps,
        compliance.half_width / 2 if compliance else 0.0,
    )
