"""What `barwright press` prints of a prediction beside the record, and of its calibration."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from studies.bench.against_text import (
    alike_in_words,
    apart_in_words,
    between_in_words,
    chi2_in_words,
    fit_in_words,
    limits_in_words,
    made_in_words,
    rig_in_words,
)
from studies.commands.lines import labelled
from studies.commands.output import printable, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from studies.bench.against_record import AgainstRecord, CalibrationRecord


def against_lines(found: "AgainstRecord") -> "Iterator[RenderableType]":
    """Yield what was measured beside what was predicted, and which input would explain it."""
    yield ""
    heads = "measured", "95 %", "predicted", "95 %", "unit", "apart", ""
    rows = table("Against the prediction", "", *heads, words=1)
    for one in found.figures:
        rows.add_row(one.name, *between_in_words(one), one.unit, *apart_in_words(one))
    yield rows
    yield "\n".join(_words(found))
    if found.calibration:
        yield from _calibration(found.calibration)


def _words(found: "AgainstRecord") -> Iterator[str]:
    source = f"{found.case}, {found.file}, SHA-256 {found.sha256[:12]}..."
    yield from labelled("Prediction", printable(source))
    yield from labelled("Made", made_in_words(found))
    for limit in limits_in_words(found):
        yield from labelled("Limit", limit)
    with_band = any(one.predicted_low is not None for one in found.figures)
    of = "both together" if with_band else "the record alone; `collapse --band` adds the other"
    yield from labelled("Apart", f"measured above predicted; in standard deviations of {of}")


def _calibration(found: "CalibrationRecord") -> "Iterator[RenderableType]":
    yield ""
    rows = table("Calibration: one input fitted by itself", "", "factor", "95 %", "chi2", words=1)
    for one in found.fits:
        rows.add_row(one.input, *fit_in_words(one), chi2_in_words(one.chi2))
    yield rows
    lines = [*labelled("Fitted to", "; ".join(found.figures))]
    lines += labelled("Alike", alike_in_words(found))
    if words := rig_in_words(found):
        lines += labelled("Rig", words)
    lines += labelled("Note", "a fit and no measurement; the other inputs keep their intervals")
    yield "\n".join(lines)
