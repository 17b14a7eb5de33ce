"""What the gauge of a press shows at a force, and whether it resolves it.

The way of `prepared.py` the other way round: going out the gauge reads the force of the bar and
that of the seals, coming back the bar's less the seals', each by the middle of the friction's band.

Source: force = pressure times area of the ram; friction, `rig.py`.
"""

from dataclasses import dataclass
from math import ceil, floor, log10

from geometry.errors import InputError, Problem
from studies.bench.prepared import LEAST_DIVISIONS
from studies.bench.rig import Rig, force_factor_n, friction_of
from studies.bench.text import FEW_DIVISIONS
from studies.bench.units import kind_of

MOST_ERROR_PERCENT = 10.0
"""Of a reading by the gauge's class: beyond, the step says little (practice, unsourced)."""

WITHOUT = {
    "area_mm2": "the ram's bore or area",
    "gauge_class_percent": "the gauge's class",
    "full_scale": "the gauge's full scale",
    "resolution": "the gauge's resolution",
    "friction_percent": "the seals' friction",
}
"""What says nothing while the gauge's unit is not known."""


@dataclass(frozen=True)
class Gauge:
    """A gauge on its ram.

    Attributes:
        unit: That it shows.
        unit_n: Force of one unit, without friction.
        friction: Least and largest friction of the seals, shares of the force.
        rig: As it was given.
    """

    unit: str
    unit_n: float
    friction: tuple[float, float]
    rig: Rig


@dataclass(frozen=True)
class Shown:
    """A reading, and how well the gauge resolves it.

    Attributes:
        value: In the gauge's unit.
        divisions: How many of its smallest steps that is, None where they are not known.
        error_percent: Of the reading by the gauge's class, None where it is not known.
        remark: Empty where it is resolved, or nothing is known of the gauge.
    """

    value: float
    divisions: float | None
    error_percent: float | None
    remark: str


def gauge_of(rig: Rig) -> Gauge | None:
    """Return the gauge of a rig, None where none is described.

    Raises:
        InputError: What is given of the ram does not go with its gauge, or the unit is missing.
    """
    if rig.force_unit is None:
        if given := [name for name in WITHOUT if getattr(rig, name) is not None]:
            sentence = f"is not given, but {WITHOUT[given[0]]} is; say what it shows, such as bar"
            raise InputError(Problem("force_unit", sentence))
        return None
    if kind_of(rig.force_unit) == "force" and rig.area_mm2 is not None:
        sentence = f"is given, but the gauge shows {rig.force_unit}, which needs none; drop it"
        raise InputError(Problem("area_mm2", sentence + ", or give the unit of a pressure gauge"))
    unit = rig.force_unit
    return Gauge(unit, force_factor_n(rig, unit), friction_of(rig, unit), rig)


def reading(gauge: Gauge, force_n: float, *, loading: bool = True) -> float:
    """Return what the gauge shows while the bar carries a force."""
    middle = sum(gauge.friction) / 2
    return force_n * (1 + middle if loading else 1 - middle) / gauge.unit_n


def force_n_at(gauge: Gauge, value: float) -> float:
    """Return the force on the bar at a reading, going out."""
    return value * gauge.unit_n / (1 + sum(gauge.friction) / 2)


def shown(gauge: Gauge, force_n: float, *, loading: bool = True) -> Shown:
    """Return the reading at a force, and how well the gauge resolves it."""
    rig, value = gauge.rig, reading(gauge, force_n, loading=loading)
    divisions = value / rig.resolution if rig.resolution else None
    error = None
    if rig.gauge_class_percent is not None and rig.full_scale and value > 0:
        error = rig.gauge_class_percent * rig.full_scale / value
    return Shown(value, divisions, error, _remark(gauge, value, divisions, error))


def resolves_peak(gauge: Gauge, peak_n: float) -> bool | None:
    """Return whether the gauge has enough divisions at the peak, None where they are not known."""
    divisions = shown(gauge, peak_n).divisions
    return None if divisions is None else divisions >= FEW_DIVISIONS


def round_step(spacing: float, division: float | None) -> float:
    """Return a round step a fifth as large as a spacing: 1, 2 or 5, of whole divisions."""
    decade = 10.0 ** floor(log10(spacing / 5))
    step = next(k * decade for k in (5, 2, 1) if k * decade <= spacing / 5 * (1 + 1e-9))
    return max(1, ceil(step / division - 1e-9)) * division if division else step


def _remark(
    gauge: Gauge, value: float, divisions: float | None, error_percent: float | None
) -> str:
    if gauge.rig.full_scale is not None and value > gauge.rig.full_scale:
        return "beyond full scale"
    coarse = divisions is not None and divisions < LEAST_DIVISIONS
    unsure = error_percent is not None and error_percent > MOST_ERROR_PERCENT
    return "not resolved" if coarse or unsure else ""
