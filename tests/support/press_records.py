"""Invented press records with known truth, written apart from the reduction.

A bar with a straight slope and a power law past it, in a fixture that first beds in (toe), under a
ram with seals, read by a gauge that errs by its whole class, by a logger or by hand. The truth is
the bar's own curve.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]

OFFSET_MM = 1.0


@dataclass(frozen=True)
class Truth:
    """The bar's own slope, offset load, largest force and permanent set."""

    slope_n_per_mm: float
    offset_n: float | None
    peak_n: float
    set_mm: float


@dataclass(frozen=True)
class PressRecord:
    """Files of a record, and what describes the rig."""

    text: str
    encoding: str
    block: str | None
    truth: Truth
    options: dict[str, float | tuple[float, float]]
    by_hand: bool
    slips: int


@dataclass(frozen=True)
class _Gauge:
    """Errors at places of its scale, and its step, in its own unit."""

    full: float
    places: Numbers
    errors: Numbers
    step: float

    def read(self, true: Numbers) -> Numbers:
        wrong = true + np.interp(true, self.places, self.errors)
        return np.clip(np.round(wrong / self.step) * self.step, -self.full, self.full)


def press_record(seed: int) -> PressRecord:
    """Return the record of a seed."""
    rng = np.random.default_rng(seed)
    by_hand = bool(rng.random() < 0.4)
    bar = _bar(rng)
    low, high = sorted(rng.uniform(0, 4.5, 2))
    seals = rng.uniform(low, high) / 100
    area = np.pi * rng.uniform(25, 60) ** 2 / 4
    class_percent = float(np.exp(rng.uniform(np.log(0.25), np.log(2.5))))
    full_bar = _full_scale(rng, bar[3] / area * 10)
    gauge = _gauge(rng, full_bar, class_percent, by_hand)
    travel_step = float(rng.choice([0.01, 0.02, 0.05, 0.1] if by_hand else [0.001, 0.005, 0.01]))
    give = rng.uniform(2e-6, 2e-5) if rng.random() < 0.5 else 0.0
    force, travel, up = _path(rng, bar, by_hand)
    slipped, slips = _slips(rng, force, bar[3], up)
    travel = travel + _toe(rng, force, bar[3]) + slipped + give * force
    pressure = np.where(up, force * (1 + seals), force * (1 - seals)) / area * 10
    noise = rng.uniform(0.1, 0.5)
    pressure = pressure + noise * gauge.step * rng.standard_normal(len(force))
    travel = travel + noise * travel_step * rng.standard_normal(len(force))
    read = gauge.read(pressure)
    shown = np.round(travel / travel_step) * travel_step
    read, shown = _spoilt(rng, read, shown, full_bar, by_hand)
    options: dict[str, float | tuple[float, float]] = {
        "area_mm2": float(area),
        "gauge_class_percent": class_percent,
        "full_scale": full_bar,
        "resolution": gauge.step,
        "travel_resolution_mm": travel_step,
        "friction_percent": (low, high),
    }
    text, encoding = _written(rng, read, shown)
    block = _block(rng, give, gauge, area, seals, travel_step) if give else None
    return PressRecord(text, encoding, block, _truth(bar), options, by_hand, slips)


def _bar(rng: np.random.Generator) -> tuple[float, float, float, float, float]:
    """Return slope, exponent, plastic travel at the peak, the peak, and the fall's share."""
    slope = float(np.exp(rng.uniform(np.log(40), np.log(900))))
    peak = float(np.exp(rng.uniform(np.log(1500), np.log(9000))))
    plastic = rng.uniform(3.0, 15.0)
    fall = rng.uniform(0.05, 0.3) if rng.random() < 0.5 else 0.0
    return slope, rng.uniform(6, 16), plastic, peak, fall


def _own_travel(bar: tuple[float, ...], force: Numbers) -> Numbers:
    slope, exponent, plastic, peak, _ = bar
    return np.asarray(force / slope + plastic * (force / peak) ** exponent)


def _path(
    rng: np.random.Generator, bar: tuple[float, ...], by_hand: bool
) -> tuple[Numbers, Numbers, NDArray[np.bool_]]:
    """Return force, travel and whether the ram goes out, at each reading."""
    slope, _, plastic, peak, fall = bar
    fine = np.linspace(0, peak, 20001)
    out = _own_travel(bar, fine)
    if fall:
        more = np.linspace(0, 0.4 * plastic, 400)[1:]
        out = np.append(out, out[-1] + more)
        fine = np.append(fine, peak * (1 - fall * np.sin(np.pi / 2 * more / more[-1]) ** 2))
    top, last = fine[-1], out[-1]
    count = int(rng.integers(18, 40) if by_hand else rng.integers(150, 900))
    if by_hand:
        # even steps of force up to the knee, of travel past it
        mixed = fine / peak + np.maximum(out - peak / slope, 0) / out[-1] * 1.5
        mixed = np.maximum.accumulate(mixed)
        at = np.sort(np.linspace(0, mixed[-1], count) + 0.1 * mixed[-1] / count * rng.random(count))
        places = np.interp(at, mixed, out)
        places[-1] = last
    else:
        places = np.linspace(0, last, count)
    force_out = np.interp(places, out, fine)
    back = np.linspace(top, 0.02 * top, max(count // 3, 9))[1:]
    home = last - (top - back) / slope
    up = np.append(np.ones(count, dtype=bool), np.zeros(len(back), dtype=bool))
    return np.append(force_out, back), np.append(places, home), up


def _toe(rng: np.random.Generator, force: Numbers, peak: float) -> Numbers:
    """Return what the fixture beds in by under each force; it opens again."""
    size, at = rng.uniform(0.05, 1.0), rng.uniform(0.01, 0.035) * peak
    return np.asarray(size * (1 - np.exp(-force / at)))


def _slips(
    rng: np.random.Generator, force: Numbers, peak: float, up: NDArray[np.bool_]
) -> tuple[Numbers, int]:
    """Return the travel lost at each reading; slips come below 0.65 of the peak."""
    count = int(rng.random() < 0.3) + int(rng.random() < 0.1)
    travel = np.zeros(len(force))
    for _ in range(count):
        at = int(np.argmax(force > rng.uniform(0.05, 0.65) * peak))
        travel[at:] += rng.uniform(0.1, 0.6)
    return travel, count


def _full_scale(rng: np.random.Generator, peak: float) -> float:
    """Return the full scale of a gauge that the peak fills by 0.4 to 0.95."""
    return float(np.ceil(peak * 1.05 / rng.uniform(0.4, 0.95)))


def _gauge(rng: np.random.Generator, full: float, percent: float, by_hand: bool) -> _Gauge:
    """Return a gauge whose errors at five places are drawn from its whole class, apart."""
    places = np.linspace(0, full, 5)
    errors = rng.uniform(-1, 1, 5) * percent / 100 * full
    step = full / rng.choice([100, 200, 400]) if by_hand else full / rng.choice([1000, 4000])
    return _Gauge(full, places, errors, float(step))


def _spoilt(
    rng: np.random.Generator, read: Numbers, shown: Numbers, full: float, by_hand: bool
) -> tuple[Numbers, Numbers]:
    """Return the readings with spikes, lost rows and repeated ones."""
    if by_hand:
        return read, shown
    read, shown = read.copy(), shown.copy()
    for at in rng.integers(5, len(read) - 5, rng.integers(0, 4)):
        read[at] = min(read[at] + rng.uniform(0.2, 0.5) * full, full)
    read[rng.integers(1, len(read) - 1, rng.integers(0, 4))] = np.nan
    order = np.sort(np.append(np.arange(len(read)), rng.integers(0, len(read), rng.integers(0, 5))))
    return read[order], shown[order]


def _written(rng: np.random.Generator, read: Numbers, shown: Numbers) -> tuple[str, str]:
    """Return the text of a file, in one of the ways people write it, and its encoding."""
    separator, comma = ((";", True), ("\t", True), (",", False), (";", False))[rng.integers(4)]
    heads = (
        ("Punkt", "Druck [bar]", "Weg [mm]"),
        ("point", "pressure (bar)", "travel (mm)"),
        ("t/s", "p/bar", "u/mm"),
    )[rng.integers(3)]
    rows = [separator.join(heads)]
    for i, (p, u) in enumerate(zip(read, shown, strict=True)):
        cells = [str(i), "" if np.isnan(p) else f"{p:.10g}", f"{u:.6f}"]
        rows.append(separator.join(c.replace(".", ",") if comma else c for c in cells))
    return "\n".join(rows) + "\n", ("utf-8", "utf-8-sig", "utf-16", "latin-1")[rng.integers(4)]


def _block(
    rng: np.random.Generator,
    give: float,
    gauge: _Gauge,
    area: float,
    seals: float,
    travel_step: float,
) -> str:
    force = np.linspace(0, 0.9 * gauge.full * area / 10 / (1 + seals), 60)
    read = gauge.read(force * (1 + seals) / area * 10)
    bedded = 0.05 * (1 - np.exp(-force / (0.02 * force[-1])))
    travel = give * force + bedded + 0.3 * travel_step * rng.standard_normal(len(force))
    return _written(rng, read, np.round(travel / travel_step) * travel_step)[0]


def _truth(bar: tuple[float, ...]) -> Truth:
    """Return the truth; of no offset load where the curve ends before."""
    slope, _, plastic, peak, fall = bar
    force = np.linspace(0, peak, 200001)
    behind = _own_travel(bar, force) - force / slope - OFFSET_MM
    offset = float(np.interp(0, behind, force)) if behind[-1] > 0 else None
    # past the peak the bar goes out by another 0.4 of its plastic travel
    top = peak * (1 - fall)
    last = float(_own_travel(bar, np.array([peak]))[0]) + (0.4 * plastic if fall else 0.0)
    return Truth(slope, offset, peak, last - top / slope)


def written_to(record: PressRecord, folder: Path) -> tuple[Path, Path | None]:
    """Write a record's files, its own and the block's."""
    path = folder / "record.csv"
    path.write_bytes(record.text.encode(record.encoding))
    if record.block is None:
        return path, None
    block = folder / "block.csv"
    block.write_text(record.block, encoding="utf-8")
    return path, block
