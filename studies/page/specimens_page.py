"""specimens.html: press records of several specimens over each other, also by mass."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from studies.bench.record import PressRecord
from studies.bench.specimens import SpecimensRecord, SpecimenValueRecord
from studies.bench.text import digits_within
from studies.page.assets import sheet
from studies.page.bench_chart import BenchChart, Content, Curve, charts
from studies.page.chart import significant
from studies.page.filling import environment

ACROSS = "travel from the zero, mm"


@dataclass(frozen=True)
class Cell:
    """A figure of a specimen in words: value, over its mass, against the first."""

    value: str
    per_gram: str
    apart: str


def specimens_html(found: SpecimensRecord, records: Sequence[PressRecord]) -> str:
    """Return the page of specimens; `records` are theirs, in the same order."""
    rows = [(one.name, one.unit, [cell_of(value) for value in one.values]) for one in found.figures]
    return (
        environment()
        .get_template("specimens.html")
        .render(
            style=sheet("bench.css"),
            found=found,
            rows=rows,
            forces=_charts(found, records, by_mass=False),
            by_mass=_charts(found, records, by_mass=True),
        )
    )


def cell_of(one: SpecimenValueRecord | None) -> Cell:
    """Return a figure of a specimen in words, empty where its record has none."""
    if one is None:
        return Cell("\u2013", "", "")
    value, width = digits_within(one.value, one.half_width)
    per_gram = "" if one.per_gram is None else significant(one.per_gram, 3)
    apart = ""
    if one.percent is not None and one.deviations is not None:
        apart = f"{one.percent:+.0f} %, {abs(one.deviations):.1f} sd".replace("-", "\u2212")
    return Cell(f"{value} \u00b1 {width}", per_gram, apart)


def _charts(
    found: SpecimensRecord, records: Sequence[PressRecord], *, by_mass: bool
) -> tuple[BenchChart, BenchChart] | None:
    """Return force, or force over mass, over travel; None where a mass is not known."""
    curves = []
    for one, record in zip(found.specimens, records, strict=True):
        if by_mass and not one.mass_g:
            return None
        over = one.mass_g or 1.0 if by_mass else 1.0
        travel, force = np.array(record.curve.travel_mm), np.array(record.curve.force_n) / over
        curves.append(Curve(one.id, f"s-{one.letter}", travel, force, one.letter))
    title = "Force over mass, N/g" if by_mass else "Force, N"
    return charts(Content(title, ACROSS, tuple(curves)))
