"""What `barwright press --json` prints and press.json holds.

Forces in N, lengths in mm, energies in N mm. A key never changes its meaning without a new
`format_version`.
"""

from dataclasses import asdict, dataclass
from typing import Any, Literal

from pydantic import Field

from studies.bench.against import Prediction
from studies.bench.against_record import AgainstRecord, against_record
from studies.bench.interval import COVERAGE, Measured
from studies.bench.reduction import Reduction
from studies.bench.text import cautions
from studies.bench.unloading import Unloaded
from studies.records.base import Record, finite


class ValueRecord(Record):
    """A value with its interval."""

    value: float
    half_width: float = Field(description="Of the 95 % interval, in the value's unit.")
    terms: dict[str, float] = Field(
        description="Each source of error by itself, as half of its own 95 % interval."
    )


class OffsetLoadRecord(Record):
    """Where the curve crosses its slope shifted by some travel; null where the record ends."""

    shift_mm: float
    load_n: ValueRecord | None
    travel_mm: float | None = Field(description="From the zero.")


class UnloadingRecord(Record):
    """An unloading, its line and what it leaves."""

    from_n: float
    from_mm: float = Field(description="From the zero.")
    from_line: int = Field(description="Of the file.")
    stiffness_n_per_mm: ValueRecord | None
    permanent_set_mm: ValueRecord | None = Field(
        description="Of its line at no force, from the zero; null where too few points lie on it."
    )
    hysteresis_nmm: ValueRecord | None = Field(description="Work of this loop that stays.")


class SlipRecord(Record):
    """A jump of the travel."""

    line: int = Field(description="Of the file, of the point after it.")
    travel_mm: float
    force_n: float
    corrected: bool = Field(description="Whether it is taken from all later travel.")


class WindowRecord(Record):
    """The part of the loading whose slope is the stiffness."""

    first_line: int
    last_line: int
    points: int
    from_n: float
    to_n: float
    intercept_n: float = Field(description="Of its line at the travel that the file has as 0.")
    data_quality: dict[str, float] = Field(description="Each should be at most 1 (ASTM E3076).")


class SourceFileRecord(Record):
    """The file, and how it was read."""

    file: str
    sha256: str = Field(description="Of the file's bytes.")
    block_file: str | None
    block_sha256: str | None
    force_column: str
    travel_column: str
    force_unit: str
    travel_unit: str
    points: int = Field(description="That are kept.")
    rows_missing: int
    points_repeated: int
    spike_lines: list[int]
    signs_changed: list[str]
    changed_at: str = Field(description="When the file was last changed, UTC.")
    read_at: str = Field(description="When it was first reduced in this folder, UTC.")


class CurveRecord(Record):
    """Travel and force of every point that is kept, slips and the rig's own give taken out."""

    travel_mm: list[float] = Field(description="From the zero.")
    force_n: list[float]


class SpecimenRecord(Record):
    """The bar that was pressed, as it was named."""

    id: str | None
    mass_g: float | None = Field(description="As given, else that of the prediction.")


class PressRecord(Record):
    """A reduced record of a press."""

    format: Literal["barwright-press"] = "barwright-press"
    format_version: Literal[2] = 2
    barwright_version: str
    record: SourceFileRecord
    specimen: SpecimenRecord
    rig: dict[str, Any] = Field(description="As it was given; null where it was not.")
    friction_percent: tuple[float, float] = Field(description="Band of the seals that was used.")
    force_division_n: float
    travel_division_mm: float
    divisions_at_peak: float
    rig_compliance_mm_per_n: ValueRecord | None
    stiffness_n_per_mm: ValueRecord
    zero_mm: ValueRecord = Field(description="Travel of the file at which the line has no force.")
    window: WindowRecord
    offset_loads: list[OffsetLoadRecord]
    max_load_n: ValueRecord
    max_load_travel_mm: float = Field(description="From the zero.")
    load_fell: bool = Field(description="Whether the load fell after it; else no peak was met.")
    drop_n: ValueRecord | None
    energy_nmm: ValueRecord = Field(description="Work up to the end of the loading.")
    unloadings: list[UnloadingRecord]
    slips: list[SlipRecord]
    curve: CurveRecord
    least_slip_mm: float = Field(description="Smaller slips are not told from set.")
    cautions: list[str]
    against: AgainstRecord | None = Field(default=None, description="Null without --against.")


@dataclass(frozen=True)
class Told:
    """What is known of a record beside its file.

    Attributes:
        version: Of barwright.
        specimen_id: Mark of the bar, None where it was not given.
        mass_g: Of it, likewise.
        read_at: When it was first reduced in its folder, UTC.
    """

    version: str
    specimen_id: str | None = None
    mass_g: float | None = None
    read_at: str = ""


def press_record(
    reduction: Reduction, told: Told, prediction: Prediction | None = None
) -> PressRecord:
    """Return the record of a reduction."""
    found, ready = reduction, reduction.ready
    mass_g = told.mass_g or (prediction.mass_g if prediction else None)
    return PressRecord(
        barwright_version=told.version,
        record=_file(found, told.read_at),
        specimen=SpecimenRecord(id=told.specimen_id, mass_g=mass_g),
        rig=finite(asdict(found.rig)),
        friction_percent=(100 * ready.readings.friction[0], 100 * ready.readings.friction[1]),
        force_division_n=ready.divisions.force_n,
        travel_division_mm=ready.divisions.travel_mm,
        divisions_at_peak=found.divisions_at_peak,
        rig_compliance_mm_per_n=_value(found.compliance_mm_per_n),
        stiffness_n_per_mm=_known(found.line.slope),
        zero_mm=_known(found.line.zero),
        window=_window(found),
        offset_loads=[
            OffsetLoadRecord(
                shift_mm=one.shift_mm, load_n=_value(one.load_n), travel_mm=one.travel_mm
            )
            for one in found.offsets
        ],
        max_load_n=_known(found.peak_n),
        max_load_travel_mm=found.peak_mm,
        load_fell=found.fell,
        drop_n=_value(found.drop_n),
        energy_nmm=_known(found.energy_nmm),
        unloadings=[_unloading(one) for one in found.unloadings],
        slips=[
            SlipRecord(
                line=one.line,
                travel_mm=one.travel_mm,
                force_n=one.force_n,
                corrected=one.corrected,
            )
            for one in found.slips.found
        ],
        least_slip_mm=found.slips.least_mm,
        curve=_curve(found),
        cautions=list(cautions(found)),
        against=against_record(found, prediction) if prediction else None,
    )


def _curve(found: Reduction) -> CurveRecord:
    points = found.ready.points
    travel = points.travel_mm - found.line.zero.value
    return CurveRecord(travel_mm=travel.round(4).tolist(), force_n=points.force_n.round(3).tolist())


def _file(found: Reduction, read_at: str) -> SourceFileRecord:
    ready, readings, block = found.ready, found.ready.readings, found.block
    return SourceFileRecord(
        file=readings.name,
        sha256=readings.sha256,
        block_file=block.name if block else None,
        block_sha256=block.sha256 if block else None,
        force_column=readings.force_head,
        travel_column=readings.travel_head,
        force_unit=readings.force_unit,
        travel_unit=readings.travel_unit,
        points=len(ready.points.force_n),
        rows_missing=readings.missing,
        points_repeated=ready.repeats,
        spike_lines=list(ready.spikes),
        signs_changed=list(readings.flipped),
        changed_at=readings.changed_at,
        read_at=read_at,
    )


def _window(found: Reduction) -> WindowRecord:
    part = found.straight
    return WindowRecord(
        first_line=int(part.lines[0]),
        last_line=int(part.lines[-1]),
        points=len(part.lines),
        from_n=float(part.force_n[0]),
        to_n=float(part.force_n[-1]),
        intercept_n=-found.line.zero.value * found.line.slope.value,
        data_quality=finite(asdict(found.window.quality)),
    )


def _unloading(one: Unloaded) -> UnloadingRecord:
    return UnloadingRecord(
        from_n=one.from_n,
        from_mm=one.from_mm,
        from_line=one.line,
        stiffness_n_per_mm=_value(one.fitted.slope) if one.fitted else None,
        permanent_set_mm=_value(one.set_mm),
        hysteresis_nmm=_value(one.hysteresis_nmm),
    )


def _value(found: Measured | None) -> ValueRecord | None:
    return _known(found) if found else None


def _known(found: Measured) -> ValueRecord:
    return ValueRecord(
        value=found.value,
        half_width=found.half_width,
        terms={name: COVERAGE * term for name, term in found.terms.items()},
    )
