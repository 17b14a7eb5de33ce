"""A stress-strain curve past yield that a user gives: points of it, or the slope of a straight one.

Their limits, and their conversion to the measures of the mechanics: Kirchhoff stress
(force over the undeformed area times the stretch) against logarithmic strain. Engineering stress S
and strain e are converted without assuming constant volume, stress = S (1 + e) and
strain = ln(1 + e), up to the highest point: what follows describes a neck and not the metal.

Source: the definitions of the strains and stresses, written out.
"""

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from geometry.arrays import Floats
from geometry.errors import Problem
from geometry.limits import Range, number_problem
from geometry.material import CurveKind

PROOF_OFFSET = 0.002
"""Plastic strain at the proof stress."""

OFF_PROOF = 0.05
"""Share by which the stress there may differ from the proof stress: strips of one tube do."""

SLACK = 5e-5
"""Strain that counts as rounding: half a step of the fourth decimal in which strains are given."""

STEEPEST = 0.5
"""Largest slope past yield over Young's modulus; beyond it yield is not distinct."""

STRAIN = Range(
    0,
    1,
    "",
    "give the total strain as a number, 0.0072 and not 0.72 %, or leave it out",
    above=True,
)
STRESS = Range(0, 1e5, "MPa", "give the stress in MPa, or leave the point out", above=True)


def true_log_curve(strain: Floats, stress_mpa: Floats, kind: CurveKind) -> tuple[Floats, Floats]:
    """Return logarithmic strain and Kirchhoff stress in MPa, both (j,), of k points of a curve.

    `strain` (k,) and `stress_mpa` (k,) are of the measure `kind`. Engineering points after the
    first highest one are left out. True stress is taken for the Kirchhoff stress, from which it
    differs by the elastic change of volume.

    Source: module docstring.
    """
    if kind == "true":
        return strain, stress_mpa
    keep = slice(0, int(np.argmax(stress_mpa)) + 1)
    return np.log1p(strain[keep]), (stress_mpa * (1 + strain))[keep]


def yield_index(plastic: Floats) -> int:
    """Return the index of the last elastic point, 0 where plastic strain (k,) begins beyond.

    Points whose plastic strain alternates within rounding count as elastic, too.
    """
    beyond = np.flatnonzero(plastic > SLACK)
    rounded = plastic[: int(beyond[0]) if beyond.size else len(plastic)]
    elastic = np.flatnonzero(rounded <= 0)
    falls = np.flatnonzero(np.diff(rounded) <= 0) + 1
    return int(max([0, *elastic, *falls]))


def curve_problems(given: Mapping[str, Any]) -> Iterator[Problem]:
    """Yield what is wrong with the curve among the values of a material.

    Args:
        given: `stress_strain`, pairs of total strain and stress in MPa, or `tangent_modulus_mpa`,
            neither or both; `curve`; `youngs_modulus_mpa` and `proof_stress_mpa` where possible.
    """
    points, slope = given.get("stress_strain"), given.get("tangent_modulus_mpa")
    E, F = given.get("youngs_modulus_mpa"), given.get("proof_stress_mpa")
    if points is not None and slope is not None:
        sentence = "is given beside stress_strain, and a metal has one curve; keep one of the two"
        yield Problem("tangent_modulus_mpa", sentence)
    elif points is not None:
        wrong = tuple(_no_points(points))
        yield from wrong
        if not wrong and E and F:
            yield from _impossible(np.array(points, float), E, F, given.get("curve", "engineering"))
    elif slope is not None and E and slope > STEEPEST * E:
        yield Problem(
            "tangent_modulus_mpa",
            f"is {slope:g} MPa but must be at most {STEEPEST:g} of Young's modulus, "
            f"{STEEPEST * E:g} MPa; give the slope of stress over total strain past yield",
        )


def _no_points(points: Any) -> Iterator[Problem]:
    if not isinstance(points, list | tuple) or len(points) < 2:
        yield Problem("stress_strain", "must have at least 2 points; give [strain, stress] of each")
        return
    for index, point in enumerate(points):
        if not isinstance(point, list | tuple) or len(point) != 2:
            yield Problem(f"stress_strain[{index}]", "is no pair; give [strain, stress]")
            continue
        for place, limits in enumerate((STRAIN, STRESS)):
            field = f"stress_strain[{index}][{place}]"
            if problem := number_problem(field, point[place], limits):
                yield problem


def _impossible(points: Floats, E: float, F: float, kind: CurveKind) -> Iterator[Problem]:
    """Yield the first thing that no metal does; what follows from it is not repeated."""
    strain, stress = points.T
    for found in (
        _disorder(strain, stress, kind),
        _left_of_elastic(strain, stress, E),
        _too_steep(strain, stress, E, kind),
        _off_proof(strain, stress, E, F, kind),
    ):
        if problem := next(found, None):
            yield problem
            return


def _disorder(strain: Floats, stress: Floats, kind: CurveKind) -> Iterator[Problem]:
    for i in np.flatnonzero(np.diff(strain) <= 0) + 1:
        sentence = (
            f"is {strain[i]:g}, not above the {strain[i - 1]:g} of the point before; "
            "sort the points by strain"
        )
        yield Problem(f"stress_strain[{i}][0]", sentence)
    end = int(np.argmax(stress)) if kind == "engineering" else len(stress)
    for i in np.flatnonzero(np.diff(stress[: end + 1]) < 0) + 1:
        neck = " before the highest one" if kind == "engineering" else ""
        sentence = (
            f"is {stress[i]:g} MPa, below the {stress[i - 1]:g} MPa of the point before, but "
            f"stress must not fall{neck}; smooth the points"
        )
        yield Problem(f"stress_strain[{i}][1]", sentence)


def _left_of_elastic(strain: Floats, stress: Floats, E: float) -> Iterator[Problem]:
    for i in np.flatnonzero(strain < stress / E - SLACK):
        sentence = (
            f"is {strain[i]:g} at {stress[i]:g} MPa, but the elastic strain alone is "
            f"{stress[i] / E:.4g}; give total strain, or correct youngs_modulus_mpa"
        )
        yield Problem(f"stress_strain[{i}][0]", sentence)


def _too_steep(strain: Floats, stress: Floats, E: float, kind: CurveKind) -> Iterator[Problem]:
    log_strain, kirchhoff = true_log_curve(strain, stress, kind)
    plastic = log_strain - kirchhoff / E
    start = yield_index(plastic)
    for i in np.flatnonzero(np.diff(plastic[start:]) <= 0) + start + 1:
        slope = (stress[i] - stress[i - 1]) / (strain[i] - strain[i - 1])
        sentence = (
            f"rises past yield by {slope:.4g} MPa per strain from the point before, which must be "
            f"less than Young's modulus of {E:g} MPa; leave one of the two out, or smooth them"
        )
        yield Problem(f"stress_strain[{i}]", sentence)


def _off_proof(
    strain: Floats, stress: Floats, E: float, F: float, kind: CurveKind
) -> Iterator[Problem]:
    """Judge the stress where the points cross a line at 0.2 % beside the elastic one."""
    last = int(np.argmax(stress)) if kind == "engineering" else len(stress) - 1
    offset = strain[: last + 1] - stress[: last + 1] / E
    if offset[0] > PROOF_OFFSET + SLACK:
        sentence = (
            f"has a plastic strain of {offset[0]:.3g}, beyond the {PROOF_OFFSET:g} of the proof "
            "stress; begin at or below yield, with strains as numbers, 0.0072 and not 0.72 %"
        )
        yield Problem("stress_strain[0]", sentence)
    if offset[-1] < PROOF_OFFSET:
        sentence = (
            f"is the last that counts and has a plastic strain of {offset[-1]:.3g}, short of the "
            f"{PROOF_OFFSET:g} of the proof stress; give points further past yield"
        )
        yield Problem(f"stress_strain[{last}]", sentence)
    start = yield_index(offset)
    found = float(np.interp(PROOF_OFFSET, offset[start:], stress[start : last + 1]))
    if abs(found / F - 1) > OFF_PROOF:
        sentence = (
            f"crosses the 0.2 % line at {found:.4g} MPa, {100 * (found / F - 1):+.1f} % from the "
            f"proof stress of {F:g} MPa, and the limit is {100 * OFF_PROOF:g} %; correct "
            "proof_stress_mpa, or the points"
        )
        yield Problem("stress_strain", sentence)
