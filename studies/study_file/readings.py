"""What the readings of a specimen say of its section, place by place.

Walls in a bend are divided by what bending alone does there, where the study models that: what is
left is the tube's own. A mean wall is also half of what outer diameter and bore differ by.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, radians
from typing import TypeVar

import numpy as np

from geometry.arrays import Floats
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.bend_effects import wall_factor, weights
from geometry.out_of_square import Side
from geometry.round_fit import RoundFit, round_fit
from geometry.specimen import (
    BoreReading,
    DiameterReading,
    Specimen,
    WallReading,
)
from studies.study_file.study import Study

Reading = TypeVar("Reading", DiameterReading, BoreReading, WallReading)

LEAST_WITHIN_MM = 1e-4
"""Of a reading: one without any interval would outweigh all others."""

SEEN = 0.002
"""Share of a wall, from which on what bending does to it is told."""

IN_BEND = 0.5
"""Least weight of a bend's effects at a place, to be called in the bend."""


@dataclass(frozen=True)
class OvalPlace:
    """Diameters at a place.

    Attributes:
        side: Which half.
        at_mm: Distance from the clamp centre.
        fit: Of the diameters, twice round.
        bend_percent: Ovality with its smallest diameter in the plane of the bend, None where there
            is no bend.
    """

    side: Side
    at_mm: float
    fit: RoundFit
    bend_percent: float | None

    @property
    def percent(self) -> tuple[float, float, float | None]:
        """Return the ovality with the ends of its interval: largest less smallest over mean."""
        fit = self.fit
        high = None if fit.high is None else 200 * fit.high / fit.mean
        return 200 * fit.amplitude / fit.mean, 200 * fit.low / fit.mean, high


@dataclass(frozen=True)
class WallPlace:
    """Walls at a place.

    Attributes:
        side: Which half.
        at_mm: Distance from the clamp centre.
        fit: Of the walls, once round; the mean's interval holds what all walls err by together.
        by_bore: Whether it is of outer diameter and bore, which say nothing of eccentricity.
        nominal_mm: Wall of the study.
        in_bend: Whether what bending does was taken out of the readings.
    """

    side: Side
    at_mm: float
    fit: RoundFit
    by_bore: bool
    nominal_mm: float
    in_bend: bool = False

    @property
    def s_mm(self) -> float:
        """Return the signed place."""
        return self.at_mm if self.side == "right" else -self.at_mm

    @property
    def eccentricity_mm(self) -> float:
        """Return that which is told from none."""
        return self.fit.amplitude if self.fit.low > 0 else 0.0

    @property
    def thinnest_mm(self) -> tuple[float, float]:
        """Return the thinnest wall and half of its interval."""
        fit = self.fit
        return fit.mean - fit.amplitude, hypot(fit.mean_within, fit.amplitude - fit.low)


@dataclass(frozen=True)
class Readings:
    """All places of a specimen.

    Attributes:
        ovals: Those with diameters.
        walls: Those with walls.
        untold: Places whose angles do not tell a mean, in words.
    """

    ovals: tuple[OvalPlace, ...]
    walls: tuple[WallPlace, ...]
    untold: tuple[str, ...]


def readings_of(study: Study, specimen: Specimen) -> Readings:
    """Return what the readings of a specimen say."""
    ovals = {place: _oval(study.bar, specimen, rows) for place, rows in _by(specimen.diameters)}
    walls = {place: _wall(study.bar, specimen, rows) for place, rows in _by(specimen.wall_readings)}
    untold = [
        f"{_words(place)}: diameters that do not tell the ovality; read two across each other"
        for place, one in ovals.items()
        if one is None
    ]
    untold += [
        f"{_words(place)}: walls at angles that do not tell the mean; read three round the tube"
        for place, one in walls.items()
        if one is None
    ]
    bores = (_of_bore(study.bar, specimen, rows) for place, rows in _by(specimen.bores))
    by_bore = [one for one in bores if walls.get((one.side, one.at_mm)) is None]
    found = [*(one for one in walls.values() if one), *by_bore]
    return Readings(
        tuple(one for one in ovals.values() if one),
        tuple(sorted(found, key=lambda one: (one.side != "right", one.at_mm))),
        tuple(untold),
    )


def _by(
    rows: Iterable[Reading],
) -> list[tuple[tuple[Side, float], list[Reading]]]:
    """Return the readings of each place, the right half first, outwards."""
    found: dict[tuple[Side, float], list[Reading]] = {}
    for row in rows:
        found.setdefault((row.side, row.at_mm), []).append(row)
    return sorted(found.items(), key=lambda item: (item[0][0] != "right", item[0][1]))


def _words(place: tuple[Side, float]) -> str:
    return f"{place[0]} {place[1]:g} mm"


def _s(row: DiameterReading | BoreReading | WallReading) -> float:
    return row.at_mm if row.side == "right" else -row.at_mm


def _oval(bar: Bar, specimen: Specimen, rows: Sequence[DiameterReading]) -> OvalPlace | None:
    within = [max(specimen.od_within_mm, LEAST_WITHIN_MM)] * len(rows)
    theta = [radians(row.theta_deg) for row in rows]
    fit = round_fit(theta, [row.od_mm for row in rows], within, 2)
    if fit is None:
        return None
    return OvalPlace(rows[0].side, rows[0].at_mm, fit, _bend_percent(bar, _s(rows[0]), fit))


def _bend_percent(bar: Bar, s_mm: float, fit: RoundFit) -> float | None:
    """Return the ovality in the sense of the bend at a place, None where there is none."""
    shares = weights(bar.zones, np.array(s_mm))
    if not len(shares) or shares.max() < IN_BEND:
        return None
    bend = int(shares.argmax())
    along = fit.amplitude * cos(2 * (fit.phase_rad - float(bar.zones.extrados_rad[bend])))
    return float(-200 * along / fit.mean / shares[bend])


def _wall(bar: Bar, specimen: Specimen, rows: Sequence[WallReading]) -> WallPlace | None:
    theta, s = np.radians([row.theta_deg for row in rows]), np.array(_s(rows[0]))
    nominal, change = float(nominal_wall_mm(bar, s)), _bend_change(bar, s, theta)
    within = [
        max(specimen.wall_within_mm if row.within_mm is None else row.within_mm, LEAST_WITHIN_MM)
        for row in rows
    ]
    read = np.array([row.wall_mm for row in rows])
    fit = round_fit(theta.tolist(), (read / change).tolist(), (within / change).tolist(), 1)
    if fit is None:
        return None
    together = fit.mean * specimen.wall_scale_within_percent / 100
    fit = replace(fit, mean_within=hypot(fit.mean_within, together))
    place, bent = (rows[0].side, rows[0].at_mm), bool(np.abs(change - 1).max() > SEEN)
    return WallPlace(*place, fit, by_bore=False, nominal_mm=nominal, in_bend=bent)


def _bend_change(bar: Bar, s_mm: Floats, theta_rad: Floats) -> Floats:
    """Return (k,) wall over that of the tube before it was bent, at k angles."""
    if not bar.spec.effects.wall_change:
        return np.ones_like(theta_rad)
    mean_radius = (nominal_od_mm(bar, s_mm) - nominal_wall_mm(bar, s_mm)) / 2
    return wall_factor(bar.zones, s_mm, theta_rad, mean_radius)


def _of_bore(bar: Bar, specimen: Specimen, rows: Sequence[BoreReading]) -> WallPlace:
    """Return the mean wall of a bore and the outer diameter, read there or that of the file."""
    place = rows[0].side, rows[0].at_mm
    there = [row.od_mm for row in specimen.diameters if (row.side, row.at_mm) == place]
    s = np.array(_s(rows[0]))
    od = float(np.mean(there)) if there else float(nominal_od_mm(bar, s))
    wall = (od - float(np.mean([row.bore_mm for row in rows]))) / 2
    within = hypot(
        specimen.od_within_mm / max(len(there), 1) ** 0.5,
        specimen.bore_within_mm / len(rows) ** 0.5,
    )
    fit = RoundFit(wall, within / 2, 0.0, 0.0, None, 0.0, len(rows))
    return WallPlace(*place, fit, by_bore=True, nominal_mm=float(nominal_wall_mm(bar, s)))
