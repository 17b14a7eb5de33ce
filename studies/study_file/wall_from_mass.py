"""The wall that gives a bar its mass.

All walls, or those of a named stretch, are scaled by one factor q, the outside being known; the
mass then is that of the map, bends and tapers included, so its root is exact. The interval is of
first order: u(q) dm/dq = root of the sum of squares of what scale, density, length and diameters
leave of the mass.

Limits: a mean, not the thinnest place. Paint and plugs count as metal. A weld, a knurl or a wall
that lies off the middle of the tube is not seen.

Source: law of propagation of uncertainty, textbook; for a straight tube it is
u(t)/t = (D - t)/(D - 2 t) times the root of the sum of squares of the parts, the diameter's
D/(D - t) u(D)/D; derived, and a test.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot

from geometry.errors import refuse
from geometry.properties import mass_g
from geometry.specimen import Specimen
from studies.study_file.changes import Change
from studies.study_file.study import Study
from studies.study_file.variants import variant_of

LEAST, MOST = 0.4, 1.8
"""Factors on the wall between which it is looked for."""

DIGITS = 5
"""Of the factor in the text of the study as measured."""

STEP = 1e-3
"""Relative, of a difference quotient."""


@dataclass(frozen=True)
class WallFromMass:
    """The factor on the walls of the file that gives the mass of the specimen.

    Attributes:
        factor: On the walls.
        within: Half of the interval that holds it in 95 of 100.
        mass_g: Computed with the walls of the file.
        parts: (name, half width of the factor that it leaves), largest first.
    """

    factor: float
    within: float
    mass_g: float
    parts: tuple[tuple[str, float], ...]


def wall_from_mass(study: Study, specimen: Specimen) -> WallFromMass:
    """Return the walls that give the specimen's mass.

    Raises:
        InputError: No wall within a half of that of the file gives it.
    """
    from scipy.optimize import brentq

    low, high = (_mass_g(study, factor) for factor in (LEAST, MOST))
    if not low < specimen.mass_g < high:
        sentence = (
            f"is {specimen.mass_g:g} g, but the bar has {low:.0f} to {high:.0f} g with {LEAST:g} "
            f"to {MOST:g} times the walls of the file; check scale, density and walls"
        )
        raise refuse("specimen.mass_g", sentence)
    factor = float(brentq(lambda q: _mass_g(study, q) - specimen.mass_g, LEAST, MOST, xtol=1e-9))
    ahead, behind = (_mass_g(study, factor * (1 + sign * STEP)) for sign in (1, -1))
    slope = (ahead - behind) / (2 * STEP * factor)
    parts = sorted(
        ((name, off_g / slope) for name, off_g in _off_g(study, specimen, factor)),
        key=lambda part: -part[1],
    )
    within = hypot(*(part for _, part in parts))
    return WallFromMass(factor, within, mass_g(study.bar), tuple(parts))


def with_measured_walls(study: Study) -> Study:
    """Return the study with the walls that give the specimen's mass.

    Raises:
        InputError: No specimen was weighed, or no wall gives its mass.
    """
    factor = wall_from_mass(study, weighed(study)).factor
    return with_factor(study, round(factor, DIGITS))


def weighed(study: Study) -> Specimen:
    """Return the specimen of a study.

    Raises:
        InputError: None was weighed.
    """
    if study.specimen is None:
        sentence = "needs the mass of a specimen; give a table [specimen] with id and mass_g"
        raise refuse("--as-measured", sentence)
    return study.specimen


def with_factor(study: Study, factor: float) -> Study:
    """Return the study with the walls that are to give the mass times a factor."""
    return variant_of(study, [*_walls(study, factor)])


def _off_g(study: Study, specimen: Specimen, factor: float) -> Iterator[tuple[str, float]]:
    """Yield what each input leaves of the mass, g."""
    bar = study.bar
    length_mm = bar.line.right_end_mm - bar.line.left_end_mm
    yield "scale", specimen.mass_within_g
    yield "density", specimen.mass_g * specimen.density_within_percent / 100
    yield "length", specimen.mass_g * specimen.length_within_mm / length_mm
    wider = [*_walls(study, factor), *_diameters(study, specimen.od_within_mm)]
    yield "diameters", abs(mass_g(variant_of(study, wider).bar) - specimen.mass_g)


def _mass_g(study: Study, factor: float) -> float:
    return mass_g(with_factor(study, factor).bar)


def _walls(study: Study, factor: float) -> Iterator[Change]:
    """Yield the changes that scale the walls which are to give the mass."""
    if study.specimen and study.specimen.walls:
        yield Change(study.specimen.walls, "factor", factor)
        return
    yield from (Change(f"{path}.wall_mm", "factor", factor) for path in station_paths(study))


def _diameters(study: Study, wider_mm: float) -> Iterator[Change]:
    yield from (Change(f"{path}.od_mm", "shift", wider_mm) for path in station_paths(study))


def station_paths(study: Study) -> Iterator[str]:
    """Yield the paths of all stations, also of a left half of its own."""
    yield "bar.stations.*"
    if study.table["bar"].get("left", {}).get("stations"):
        yield "bar.left.stations.*"
