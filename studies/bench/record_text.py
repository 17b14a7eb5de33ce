"""A stored press record in words, for its page and beside others."""

from collections.abc import Iterator
from typing import NamedTuple

from studies.bench.interval import Measured
from studies.bench.record import PressRecord, ValueRecord
from studies.bench.text import digits

NMM_PER_NM = 1000


class Row(NamedTuple):
    """A figure: name, value, half width, unit, and its terms, the largest first."""

    name: str
    value: str
    width: str
    unit: str
    terms: str


class Found(NamedTuple):
    """A figure as it is stored: by itself and of any record, with what it is divided by.

    That of an unloading has the load that it began from.
    """

    name: str
    alike: str
    value: ValueRecord | None
    unit: str
    scale: float = 1.0
    from_n: float | None = None


def stored_figures(record: PressRecord) -> Iterator[Found]:
    """Yield every figure of a record."""
    yield Found("Stiffness", "Stiffness", record.stiffness_n_per_mm, "N/mm")
    for one in record.offset_loads:
        name = f"Offset load, {one.shift_mm:g} mm"
        yield Found(name, name, one.load_n, "N")
    peak = "Peak load" if record.load_fell else "Largest load"
    yield Found(peak, "Largest load", record.max_load_n, "N")
    if record.drop_n:
        yield Found("Drop after the peak", "Drop after the peak", record.drop_n, "N")
    for number, loop in enumerate(record.unloadings, start=1):
        after, alike = f"from {loop.from_n:.0f} N", f"of unloading {number}"
        left, loss = loop.permanent_set_mm, loop.hysteresis_nmm
        yield Found(
            f"Permanent set {after}", f"Permanent set {alike}", left, "mm", 1.0, loop.from_n
        )
        yield Found(
            f"Hysteresis {after}", f"Hysteresis {alike}", loss, "N·m", NMM_PER_NM, loop.from_n
        )
    name = "Energy to the end of loading"
    yield Found(name, name, record.energy_nmm, "N·m", NMM_PER_NM)


def figure_rows(record: PressRecord) -> list[Row]:
    """Return the figures of a record in words."""
    return [_row(one) for one in stored_figures(record)]


def record_sentence(record: PressRecord) -> str:
    """Return stiffness and peak in a sentence."""
    stiffness, peak = (
        digits(measured_of(one)) for one in (record.stiffness_n_per_mm, record.max_load_n)
    )
    name = "peak" if record.load_fell else "largest load"
    return f"Stiffness {stiffness[0]} ± {stiffness[1]} N/mm, {name} {peak[0]} ± {peak[1]} N."


def measured_of(stored: ValueRecord) -> Measured:
    """Return a value as it was before it was stored."""
    return Measured(stored.value, {name: one / 2 for name, one in stored.terms.items()})


def _row(one: Found) -> Row:
    if one.value is None:
        return Row(one.name, "–", "", one.unit, "")
    value, width = digits(measured_of(one.value), one.scale)
    terms = sorted(one.value.terms.items(), key=lambda term: -term[1])
    shown = ", ".join(f"{name} {_short(term / one.scale)}" for name, term in terms if term > 0)
    return Row(one.name, value, f"± {width}", one.unit, shown)


def _short(value: float) -> str:
    """Return a number with two digits, without a power of ten where it is large."""
    return f"{value:.0f}" if value >= 10 else f"{value:.2g}"
