"""From the linear axial stress of a tube's sections to elastic-plastic strain.

Two things happen past yield. A local peak held by its surroundings follows Neuber's rule. A
section that yields through follows its moment: the arm of a bar is statically determinate and
sheds none. So the strain at a place is the larger of

(a) Neuber's strain of the linear stress there, and
(b) the linear strain there times the section's amplification: largest strain of the section
    under its axial force and two moments with plane sections and the metal's curve, over the
    largest linear one of the same force and moments.

Limits: monotonic load, round sections that stay round, no shear in the yield condition; strain
beyond some 5 % is a figure of the curve's own extrapolation.

Source: plane sections on a stress-strain curve, textbook; (a) as `stress_strain.neuber_strain`.
"""

import numpy as np

from fea.stress_strain import Curve, neuber_strain, stress_at, tangent_modulus_mpa
from geometry.arrays import Flags, Floats
from geometry.errors import SolveError

MOST_ROUNDS, HALVINGS, MOST_RISE = 100, 30, 0.9
BALANCE = 1e-9
"""Largest imbalance of a section's force and moments, next to them."""

NEARLY_ELASTIC = 0.7
"""Linear stress over proof stress up to which a section is taken as elastic: for n of 8 and more
the plastic strain there is below 2 % of the elastic one."""


def elastic_plastic_strain(
    curve: Curve, stress_mpa: Floats, front_mm: Floats, top_mm: Floats, area_mm2: Floats
) -> Floats:
    """Return the axial elastic-plastic strain (S, k) of sections.

    Args:
        curve: The metal's.
        stress_mpa: (S, k) linear axial stress, mean through the wall.
        front_mm: (S, k) place in the section.
        top_mm: (S, k) likewise.
        area_mm2: (S, k) part of the section that each place stands for.

    Raises:
        SolveError: A section does not balance.
    """
    places = np.stack([np.ones_like(front_mm), front_mm, top_mm], axis=-1)
    loads = np.einsum("sk,sk,ska->sa", stress_mpa, area_mm2, places)
    gram = np.einsum("sk,ska,skb->sab", area_mm2, places, places)
    linear = np.linalg.solve(gram, loads[..., None])[..., 0] / curve.youngs_modulus_mpa
    largest = np.abs(np.einsum("ska,sa->sk", places, linear)).max(axis=1)
    grown = np.ones(len(stress_mpa))
    plastic: Flags = curve.youngs_modulus_mpa * largest > NEARLY_ELASTIC * curve.proof_stress_mpa
    if plastic.any():
        motion = _balanced(
            curve, places[plastic], area_mm2[plastic], loads[plastic], linear[plastic]
        )
        strain = np.abs(np.einsum("ska,sa->sk", places[plastic], motion)).max(axis=1)
        grown[plastic] = np.maximum(strain / largest[plastic], 1.0)
    local = neuber_strain(curve, stress_mpa)
    through = grown[:, None] * stress_mpa / curve.youngs_modulus_mpa
    return np.where(np.abs(local) > np.abs(through), local, through)


def _balanced(
    curve: Curve, places: Floats, area_mm2: Floats, loads: Floats, start: Floats
) -> Floats:
    """Return mean strain and two curvatures (S, 3) at which sections carry `loads` (S, 3).

    Newton from the linear answer: the curve is concave, so that a step falls short rather than
    beyond. A step that does go too far is halved.
    """
    size = np.einsum("sk,ska->sa", area_mm2 * curve.proof_stress_mpa, np.abs(places))
    motion, rest = start, _rest(curve, places, area_mm2, loads, start)
    for _ in range(MOST_ROUNDS):
        if np.all(np.abs(rest) <= BALANCE * size):
            return motion
        strain = np.einsum("ska,sa->sk", places, motion)
        slope = tangent_modulus_mpa(curve, stress_at(curve, strain))
        tangent = np.einsum("sk,sk,ska,skb->sab", slope, area_mm2, places, places, optimize=True)
        step = np.linalg.solve(tangent, rest[..., None])[..., 0]
        motion, rest = _stepped(curve, places, area_mm2, loads, (motion, step, rest))
    msg = (
        "a section's elastic-plastic strains do not balance its force and moments: it is loaded "
        "far beyond yield; lower the load"
    )
    raise SolveError(msg)


def _stepped(
    curve: Curve,
    places: Floats,
    area_mm2: Floats,
    loads: Floats,
    at: tuple[Floats, Floats, Floats],
) -> tuple[Floats, Floats]:
    """Return motion and imbalance after a step, shortened where it went too far."""
    motion, step, rest = at
    # the sections' potential is convex and falls along the step at this rate; a step that ends
    # where it rises nearly as fast went too far
    fall = (rest * step).sum(axis=1)
    length = np.ones((len(motion), 1))
    for _ in range(HALVINGS):
        after = _rest(curve, places, area_mm2, loads, motion + length * step)
        beyond = (after * step).sum(axis=1) < -MOST_RISE * fall
        if not beyond.any():
            break
        length[beyond] /= 2
    return motion + length * step, after


def _rest(curve: Curve, places: Floats, area_mm2: Floats, loads: Floats, motion: Floats) -> Floats:
    stress = stress_at(curve, np.einsum("ska,sa->sk", places, motion))
    return np.asarray(loads - np.einsum("sk,sk,ska->sa", stress, area_mm2, places, optimize=True))
