"""The records of the two coupons that are shipped, made apart from everything that reads them.

The curves are felupe's (`coupon_aluminium.csv`, `coupon_titanium.csv`: rise of the rollers against
the force of the ram, elastic-plastic, see `tests/oracle/test_coupons.py`): 300 mm of tube, 24 mm
wide, held 40 mm in a block, pushed on two rollers 260 mm apart. Each is then read as in a workshop:
rollers bed in, the press gives way by a little that its record does not say, seals rub, a gauge
errs within its class, and someone writes down its divisions.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.random import Generator
from scipy.interpolate import PchipInterpolator

from geometry.arrays import Floats

HERE = Path(__file__).parent

BORE_MM, FULL_BAR, CLASS_PERCENT, STEP_BAR, TRAVEL_STEP_MM = 30.0, 100.0, 0.6, 0.2, 0.01
SEALS = 0.02
GIVE_MM_PER_N = 1.6e-5
"""Of the press: nothing in the record says so."""

TOE_MM, TOE_N = 0.18, 220.0


@dataclass(frozen=True)
class Coupon:
    """What a specimen is in truth; the study files say something else, as a catalogue does."""

    name: str
    wall_mm: float
    youngs_modulus_mpa: float
    poisson_ratio: float
    proof_stress_mpa: float
    slope_mpa: float
    density_kg_m3: float
    seed: int

    @property
    def mass_g(self) -> float:
        """Return the mass of 300 mm."""
        area = np.pi * (24.0 - self.wall_mm) * self.wall_mm
        return float(area * 300.0 * self.density_kg_m3 * 1e-6)


ALUMINIUM = Coupon("aluminium", 1.52, 68900.0, 0.33, 262.0, 900.0, 2713.0, 11)
TITANIUM = Coupon("titanium", 0.95, 105000.0, 0.32, 590.0, 1500.0, 4480.0, 23)


def curve_of(coupon: Coupon) -> tuple[Floats, Floats]:
    """Return rise (n,) and force (n,) by felupe, up and back."""
    table = np.loadtxt(HERE / f"coupon_{coupon.name}.csv", delimiter=",", skiprows=1)
    return table[:, 0], table[:, 1]


def record_of(coupon: Coupon) -> str:
    """Return the record as it was written down."""
    rng = np.random.default_rng(coupon.seed)
    rise, force = curve_of(coupon)
    if coupon is TITANIUM:
        rise, force = _between(rise, force)
    up = np.append(True, np.diff(rise) > 0)
    travel = rise + TOE_MM * (1 - np.exp(-force / TOE_N)) + GIVE_MM_PER_N * force
    area = np.pi * BORE_MM**2 / 4
    true = force * np.where(up, 1 + SEALS, 1 - SEALS) / area * 10
    bar = np.round((true + _error(rng, true)) / STEP_BAR) * STEP_BAR
    noise = 0.4 * TRAVEL_STEP_MM * rng.standard_normal(len(travel))
    shown = np.round((travel + noise) / TRAVEL_STEP_MM) * TRAVEL_STEP_MM
    shown[0] = bar[0] = 0.0
    return _by_hand(bar, shown) if coupon is ALUMINIUM else _typed(bar, shown)


def _between(rise: Floats, force: Floats) -> tuple[Floats, Floats]:
    """Return the curve at four times as many places: this one was written by a logger."""
    along = np.arange(len(rise))
    places = np.arange(0.0, len(rise) - 1 + 1e-9, 0.25)
    return PchipInterpolator(along, rise)(places), PchipInterpolator(along, force)(places)


def _error(rng: Generator, true: Floats) -> Floats:
    """Return what the gauge errs by: drawn within its class at eleven places of its scale."""
    places = np.linspace(0, FULL_BAR, 11)
    most = CLASS_PERCENT / 100 * FULL_BAR
    errors: Floats = np.interp(true, places, rng.uniform(-most, most, 11))
    return errors


def _by_hand(bar: Floats, travel: Floats) -> str:
    """Return a table with decimal commas, a line twice, a gap and a remark."""
    lines = ["Prøve HC-1;;", "Nr;Trykk (bar);Vandring (mm)"]
    for number, (pressure, way) in enumerate(zip(bar, travel, strict=True), start=1):
        lines.append(f"{number};{pressure:.1f};{way:.2f}".replace(".", ","))
        if number == 7:
            lines.append(lines[-1])
        if number == 12:
            lines.append("12b;;snudde pumpen")
    return "\n".join(lines) + "\n"


def _typed(bar: Floats, travel: Floats) -> str:
    """Return a table of a spreadsheet in other units: psi and inch, travel counted downwards."""
    rows = (
        "travel in\tgauge bar",
        *(f"{-way / 25.4:.4f}\t{pressure:.1f}" for pressure, way in zip(bar, travel, strict=True)),
    )
    return "\r\n".join(rows) + "\r\n"
