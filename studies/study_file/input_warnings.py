"""Warnings about the inputs of a study, in sentences; nothing here stops a run."""

import numpy as np

from fea.stability.stress_strain import curve_of
from geometry.bar import Bar, nominal_od_mm, nominal_wall_mm
from geometry.centreline import Arc, arcs
from geometry.material import has_own_curve
from geometry.properties import mass_g
from geometry.tube_bending import (
    MAX_OVALITY_PERCENT,
    MIN_RADIUS_PER_OD_TITANIUM,
    outer_strain_percent,
)

MAX_MASS_DIFFERENCE = 0.03
"""Share by which a measured mass may differ from the computed one without a warning."""


def input_warnings(bar: Bar, *, ovality_given: bool) -> tuple[str, ...]:
    """Return the warnings about a bar, one sentence each."""
    found = [*_mass(bar), *_ovality(bar, given=ovality_given), *_curve(bar)]
    # the right half first: it speaks for a mirrored left one
    bends = arcs(bar.line)[::-1]
    return tuple(dict.fromkeys([*found, *_radii(bar, bends), *_strains(bar, bends)]))


def explaining_wall_mm(bar: Bar, share: float) -> tuple[float, float | None]:
    """Return (mean wall, mean wall that would make the bar `share` times as heavy), mm.

    Means over the developed length; the area of a tube is pi t (D - t). The second is None
    where even a solid rod would not be heavy enough.

    Source: derived, textbook geometry.
    """
    s = np.linspace(bar.line.left_end_mm, bar.line.right_end_mm, 2001)
    D, t = float(nominal_od_mm(bar, s).mean()), float(nominal_wall_mm(bar, s).mean())
    inside = D * D - 4 * share * t * (D - t)
    return t, (D - inside**0.5) / 2 if inside > 0 else None


def _mass(bar: Bar) -> list[str]:
    measured = bar.spec.measured_mass_g
    if measured is None:
        return []
    computed = mass_g(bar)
    share = measured / computed
    if abs(share - 1) <= MAX_MASS_DIFFERENCE:
        return []
    return [
        f"bar.mass_g: {measured:g} g measured, {computed:.1f} g computed, "
        f"{100 * (share - 1):+.1f} %; {_explanation(bar, share)}"
    ]


def _explanation(bar: Bar, share: float) -> str:
    wall, other = explaining_wall_mm(bar, share)
    if other is None:
        return "no wall of this bar would explain it, so check the scale, its unit and its load"
    return f"a mean wall of {other:.2f} mm in place of {wall:.2f} mm would explain it"


def _ovality(bar: Bar, *, given: bool) -> list[str]:
    if not arcs(bar.line):
        return []
    if not given:
        return [
            "bar.bend_effects.ovality_percent: not given, bends taken as round; "
            "measure 100 (largest - smallest diameter)/nominal diameter"
        ]
    ovality = bar.spec.effects.ovality_percent
    if ovality <= MAX_OVALITY_PERCENT:
        return []
    return [
        f"bar.bend_effects.ovality_percent: {ovality:g} %, above the "
        f"{MAX_OVALITY_PERCENT:g} % that piping rules allow in a bend; check the tooling"
    ]


def _curve(bar: Bar) -> list[str]:
    material = bar.spec.material
    if not has_own_curve(material):
        return []
    key = "stress_strain" if material.stress_strain else "tangent_modulus_mpa"
    n = f"n = {curve_of(material).exponent_n:.4g}"
    known = n if material.hardening else f"{n}, an estimate"
    return [
        f"bar.material.{key}: only the equilibrium path follows this curve; the linear run "
        f"(wrinkling, strain past yield) uses Ramberg-Osgood with {known}"
    ]


def _radii(bar: Bar, bends: tuple[Arc, ...]) -> list[str]:
    if not bar.spec.material.id.startswith("ti-"):
        return []
    low, high = MIN_RADIUS_PER_OD_TITANIUM
    found = []
    for arc in bends:
        per_od = arc.radius_mm / _largest_od_mm(bar, arc)
        if per_od < low - 1e-9:
            found.append(
                f"bend radius {per_od:.2f} x outer diameter at {_place(arc)}; limit of titanium "
                f"{low:g} to {high:g} x, as shops name it"
            )
    return found


def _strains(bar: Bar, bends: tuple[Arc, ...]) -> list[str]:
    """Return one warning for the sharpest bend that strains the outer fibre too far."""
    elongation = bar.spec.material.elongation_percent
    strains = {arc: outer_strain_percent(arc.radius_mm, _largest_od_mm(bar, arc)) for arc in bends}
    if elongation is None or not strains:
        return []
    sharpest = max(strains, key=lambda arc: round(strains[arc], 6))
    if strains[sharpest] <= elongation:
        return []
    count = sum(strain > elongation for strain in strains.values())
    return [
        f"bending strain, outer fibre, {strains[sharpest]:.0f} % in {count} "
        f"{'bend' if count == 1 else 'bends'} ({_place(sharpest)}); elongation of "
        f"{bar.spec.material.id} {elongation:g} %; bend a softer temper or run a trial"
    ]


def _largest_od_mm(bar: Bar, arc: Arc) -> float:
    return float(nominal_od_mm(bar, np.linspace(arc.s_from_mm, arc.s_to_mm, 17)).max())


def _place(arc: Arc) -> str:
    side = "right" if arc.s_from_mm + arc.s_to_mm > 0 else "left"
    from_mm, to_mm = sorted((abs(arc.s_from_mm), abs(arc.s_to_mm)))
    return f"{side} {from_mm:.0f} to {to_mm:.0f} mm, radius {arc.radius_mm:g} mm"
