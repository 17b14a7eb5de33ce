"""The part of press.json on the prediction that a record was set beside."""

from datetime import datetime

from pydantic import Field

from loadcases.uncertainty import Input
from studies.bench.against import Compared, Prediction, against
from studies.bench.calibration import Calibration, Fit, calibrated
from studies.bench.reduction import Reduction
from studies.records.base import Record

PROFILE_STEP = 10
"""Of the points of a profile every so many are kept."""


class ComparedRecord(Record):
    """A figure of the record beside that of the prediction."""

    name: str
    unit: str
    measured: float
    half_width: float = Field(description="Of the record's 95 % interval.")
    predicted: float
    predicted_low: float | None = Field(description="Of the path's band; null without one.")
    predicted_high: float | None
    limit: float | None = Field(description="Most that the case's test allows; null without.")
    hold_min: float | None = Field(description="For which that test holds its load before.")
    percent: float | None = Field(description="Measured above predicted; null above nothing.")
    deviations: float = Field(
        description="In standard deviations of both; of the record alone without a band."
    )


class FitRecord(Record):
    """The value of one input that makes the prediction meet the record; no measurement."""

    input: Input
    factor: float = Field(description="On its value in the prediction.")
    low: float | None = Field(description="Of the 95 % interval; null where it is not determined.")
    high: float | None
    chi2: float = Field(description="Of the figures at that value.")
    factors: list[float] = Field(description="Of the profile.")
    profile: list[float] = Field(description="chi2 there.")


class CalibrationRecord(Record):
    """Every input moved by itself, all others within their intervals."""

    figures: list[str] = Field(description="That were used; no permanent set.")
    unchanged: float = Field(description="chi2 of the prediction as it is, of the record alone.")
    fits: list[FitRecord] = Field(description="By least chi2.")
    alike: list[Input] = Field(description="Inputs that this record does not tell apart.")
    rig_mm_per_n: float | None = Field(
        description="Give of a rig that would explain the stiffness alone; null with a block, and "
        "where it would be negative."
    )
    rig_half_width: float | None


class AgainstRecord(Record):
    """The path that was computed, and both beside each other."""

    file: str
    sha256: str = Field(description="Of the results.json that holds it.")
    computed_at: str = Field(description="UTC, by the clock of its machine; empty if not known.")
    before_record: bool | None = Field(
        description="Whether that is before the record's file was last changed; null if not known."
    )
    study: str
    case: str
    figures: list[ComparedRecord]
    travel_mm: list[float] = Field(description="Of the predicted curve, unloading included.")
    load_n: list[float]
    band_travel_mm: list[float] = Field(description="Of its band; empty without one.")
    band_low_n: list[float]
    band_high_n: list[float]
    calibration: CalibrationRecord | None = Field(description="Null where no band was traced.")


def against_record(found: Reduction, prediction: Prediction) -> AgainstRecord:
    """Return record and prediction beside each other, as press.json holds them."""
    rows, curve, band = against(found, prediction), prediction.path.curve, prediction.path.band
    made = calibrated(rows, band, block=found.compliance_mm_per_n is not None)
    return AgainstRecord(
        file=prediction.file,
        sha256=prediction.sha256,
        computed_at=prediction.computed_at,
        before_record=_before(prediction.computed_at, found.ready.readings.changed_at),
        study=prediction.study,
        case=prediction.case,
        figures=[_compared(one) for one in rows],
        travel_mm=curve.deflection_mm or [],
        load_n=curve.load_n or [],
        band_travel_mm=band.deflection_mm if band else [],
        band_low_n=band.low_n if band else [],
        band_high_n=band.high_n if band else [],
        calibration=_calibration(made) if made else None,
    )


def _before(computed_at: str, changed_at: str) -> bool | None:
    if not computed_at or not changed_at:
        return None
    first, second = (datetime.fromisoformat(one) for one in (computed_at, changed_at))
    return first < second


def _compared(one: Compared) -> ComparedRecord:
    low, high = one.between or (None, None)
    return ComparedRecord(
        name=one.name,
        unit=one.unit,
        measured=one.measured.value,
        half_width=one.measured.half_width,
        predicted=one.predicted,
        predicted_low=low,
        predicted_high=high,
        limit=one.limit,
        hold_min=one.hold_min,
        percent=one.percent,
        deviations=one.deviations,
    )


def _calibration(made: Calibration) -> CalibrationRecord:
    rig = made.rig_mm_per_n
    return CalibrationRecord(
        figures=list(made.figures),
        unchanged=made.unchanged,
        fits=[_fit(one) for one in made.fits],
        alike=list(made.alike),
        rig_mm_per_n=rig.value if rig else None,
        rig_half_width=rig.half_width if rig else None,
    )


def _fit(one: Fit) -> FitRecord:
    low, high = one.between
    return FitRecord(
        input=one.input,
        factor=one.factor,
        low=low,
        high=high,
        chi2=one.chi2,
        factors=one.factors[::PROFILE_STEP].tolist(),
        profile=one.profile[::PROFILE_STEP].tolist(),
    )
