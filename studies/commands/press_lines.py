"""What `barwright press` prints: a table of figures with their intervals, and what they rest on."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from studies.bench.text import QUALITY_WORDS, cautions, digits
from studies.commands.lines import labelled, wrapped
from studies.commands.output import printable, table

if TYPE_CHECKING:
    from rich.console import RenderableType

    from studies.bench.interval import Measured
    from studies.bench.reduction import Reduction

NMM_PER_NM = 1000


def press_lines(found: "Reduction") -> "Iterator[RenderableType]":
    """Yield head, table, the slope's window with its data quality, and cautions."""
    yield "\n".join(_head(found))
    rows = table("Results", "", "value", "95 %", "unit", "largest term", words=1)
    for name, measured, unit, scale in figures(found):
        if measured:
            value, width = digits(measured, scale)
            rows.add_row(name, value, f"± {width}", unit, measured.largest)
        else:
            rows.add_row(name, "-", "", unit, "")
    yield rows
    yield "\n".join(_slope(found))
    told = list(cautions(found))
    if told:
        yield "\n".join(["Cautions", *(line for one in told for line in wrapped(one, 2, 4))])


def figures(found: "Reduction") -> "Iterator[tuple[str, Measured | None, str, float]]":
    """Yield name, value, unit and what the value is divided by, of each figure."""
    yield "Stiffness", found.line.slope, "N/mm", 1
    for one in found.offsets:
        yield f"Offset load, {one.shift_mm:g} mm", one.load_n, "N", 1
    yield "Peak load" if found.fell else "Largest load (no peak)", found.peak_n, "N", 1
    if found.drop_n:
        yield "Drop after the peak", found.drop_n, "N", 1
    for loop in found.unloadings:
        yield f"Permanent set from {loop.from_n:.0f} N", loop.set_mm, "mm", 1
        yield "   hysteresis of the loop", loop.hysteresis_nmm, "N·m", NMM_PER_NM
    yield "Energy to the end of loading", found.energy_nmm, "N·m", NMM_PER_NM


def _head(found: "Reduction") -> Iterator[str]:
    ready, readings = found.ready, found.ready.readings
    yield printable(f"{readings.name}: press record, SHA-256 {readings.sha256[:12]}...")
    area = f", ram {found.rig.area_mm2:.0f} mm²" if readings.unit_n and found.rig.area_mm2 else ""
    yield from labelled("Force", f"{readings.force_head}, in {readings.force_unit}{area}")
    yield from labelled("Travel", f"{readings.travel_head}, in {readings.travel_unit}")
    loads = sum(branch.loading for branch in ready.branches)
    count = len(ready.points.force_n)
    yield from labelled("Points", f"{count} kept; loadings {loads}")
    yield ""


def _slope(found: "Reduction") -> Iterator[str]:
    part, peak = found.straight, found.ready.peak_n
    ends = [float(part.force_n[i]) for i in (0, -1)]
    low, high = (round(one) for one in ends)
    shares = [round(100 * one / peak) for one in ends]
    yield from labelled(
        "Slope",
        f"{len(part.lines)} points, lines {part.lines[0]} to {part.lines[-1]}, {low} to "
        f"{high} N ({shares[0]} to {shares[1]} % of the largest load)",
    )
    quality = found.window.quality
    words = (f"{words} {getattr(quality, name):.2g}" for name, words in QUALITY_WORDS.items())
    yield from labelled("Data quality", f"{'; '.join(words)} (each at most 1)")
    yield from labelled("Gauge", f"{found.divisions_at_peak:.0f} divisions at the largest load")
    if found.compliance_mm_per_n:
        value, width = digits(found.compliance_mm_per_n, 1e-3)
        yield from labelled("Rig", f"gives {value} ± {width} mm/kN, taken out")
    yield ""
