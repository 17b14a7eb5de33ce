"""A material's flow curve and its statement: points given, a slope given, or Ramberg-Osgood.

Points come first, then a slope, then the exponent of the catalogue, given or estimated. A bilinear
curve yields at the proof stress itself, so its own 0.2 % stress lies a little above: by 0.002 times
its slope over plastic strain. One curve serves tension and compression.

The stress of an engineering curve is constant beyond its uniform strain: for points beyond the
highest one, else from the tensile strength or the elongation at fracture on, whichever comes first.
An engineering curve without slope is highest where it begins and constant from there on, by
Considere's condition. A straight line may never reach the tensile strength; where the elongation is
not known 8 % is taken for it, as for exponents that are estimated.
"""

from math import inf

import numpy as np

from fea.collapse.flow_curve import (
    FlowCurve,
    PowerCurve,
    TableCurve,
    constant_beyond,
    points,
    table_curve,
)
from fea.stability.stress_strain import ELONGATION, curve_of, curve_source, stress_at
from geometry.material import Material

PIECES = 64
"""Of a straight engineering line, which is a little curved when it is converted."""

SHORTEST_RISE = 1e-9
"""Growth of the strain along such a line below which its pieces could not be distinguished."""

LAST_STRAIN = 1.0
"""Logarithmic strain up to which a straight true line is defined; no path reaches it."""

End = tuple[float, str]
"""Where the stress of a curve becomes constant, and why in words."""


def flow_curve_of(material: Material) -> FlowCurve:
    """Return a material's flow curve, as the module says.

    Raises:
        InputError: Impossible points or slope.
    """
    E, kind = material.youngs_modulus_mpa, material.curve
    if material.stress_strain:
        strain, stress = np.array(material.stress_strain).T
        return table_curve(E, strain, stress, kind)
    if material.tangent_modulus_mpa is not None:
        return _bilinear(material, material.tangent_modulus_mpa)
    curve = curve_of(material, "tension")
    last = _last_stress(material)[0] if kind == "engineering" else inf
    return PowerCurve(E, curve.proof_stress_mpa, curve.exponent_n, kind, last)


def curve_statement(material: Material) -> str:
    """Return one sentence on how a material's curve was read and where its stress is constant.

    Raises:
        InputError: As `flow_curve_of`.
    """
    return (
        f"Past yield the metal follows {_data(material)}, {_reading(material)}; "
        f"{_constant_part(material)}; one curve serves tension and compression."
    )


def _bilinear(material: Material, slope_mpa: float) -> TableCurve:
    E, F, kind = material.youngs_modulus_mpa, material.proof_stress_mpa, material.curve
    first, last = F / E, _last_strain(material, slope_mpa)[0]
    # a rise too short for its pieces to differ is none
    pieces = PIECES if last > first * (1 + SHORTEST_RISE) else 0
    strain = np.linspace(first, last, pieces + 1)
    return table_curve(E, strain, F + slope_mpa * (strain - first), kind)


def _last_strain(material: Material, slope_mpa: float) -> End:
    """Return the total strain, of the curve's kind, beyond which a bilinear curve is constant."""
    F, U = material.proof_stress_mpa, material.ultimate_stress_mpa
    first = F / material.youngs_modulus_mpa
    if material.curve == "true":
        return LAST_STRAIN, "the end of the line"
    if slope_mpa == 0:
        return first, "perfectly plastic"
    known = material.elongation_percent
    ends = [(first + (U - F) / slope_mpa, _at_strength(material))]
    ends += [(known / 100, _at_elongation(known))] if known else [(ELONGATION, _UNKNOWN)]
    return max(min(ends), (first, "at the proof stress"))


def _last_stress(material: Material) -> End:
    """Return the engineering stress beyond which a Ramberg-Osgood curve is constant."""
    ends = [(material.ultimate_stress_mpa, _at_strength(material))]
    if known := material.elongation_percent:
        stress = float(stress_at(curve_of(material, "tension"), known / 100))
        ends.append((stress, _at_elongation(known)))
    return max(min(ends), (material.proof_stress_mpa, "at the proof stress"))


def _data(material: Material) -> str:
    if material.stress_strain:
        return f"the {len(material.stress_strain)} points given for it"
    if material.tangent_modulus_mpa is not None:
        return (
            f"a straight line of {material.tangent_modulus_mpa:g} MPa per total strain from its "
            f"proof stress of {material.proof_stress_mpa:g} MPa on"
        )
    n = f"Ramberg-Osgood with n = {curve_of(material, 'tension').exponent_n:.4g}"
    estimate = "" if material.hardening else f" ({curve_source(material).reference})"
    return f"{n}{estimate}"


def _reading(material: Material) -> str:
    if material.curve == "true":
        return (
            "read as true stress against logarithmic strain, the true stress taken as the "
            "Kirchhoff stress, from which it differs by the elastic change of volume"
        )
    return (
        "read as engineering stress and strain and converted to Kirchhoff stress against "
        "logarithmic strain without assuming constant volume"
    )


def _constant_part(material: Material) -> str:
    curve = flow_curve_of(material)
    strain = constant_beyond(curve, material.youngs_modulus_mpa)
    if strain == inf:
        return "it continues without limit"
    stress = points(curve)[1][-1]
    return (
        f"beyond a logarithmic strain of {strain:.4g}, {_why(material)}, its stress is constant at "
        f"{stress:.4g} MPa"
    )


def _why(material: Material) -> str:
    if material.stress_strain:
        return "its last point" if material.curve == "true" else "its highest point"
    if material.tangent_modulus_mpa is not None:
        return _last_strain(material, material.tangent_modulus_mpa)[1]
    return _last_stress(material)[1]


_UNKNOWN = f"at an elongation of {100 * ELONGATION:g} %, taken since none is known"


def _at_strength(material: Material) -> str:
    return f"where it reaches the tensile strength of {material.ultimate_stress_mpa:g} MPa"


def _at_elongation(percent: float) -> str:
    return f"at the elongation at fracture of {percent:g} %"
