"""The friction that a step takes as known, in rounds, until it is that of the pressure at its end.

The first round takes that of the pressure where the step begins, in the ratio of the ram's force at
its end to that before, as far as it is known. Two rounds tell by what ratio the next ones will
shrink, mostly about the friction's share of the bar's stiffness. A round may end before it has
converged, for the next one moves its end anyway; the last one may not.

Source: Aitken's extrapolation, textbook; `contact`.
"""

from dataclasses import replace

import numpy as np

from fea.collapse.contact import Contact, rubbing
from fea.collapse.equilibrium import Equations, Point
from geometry.arrays import Floats

SETTLED = 1e-4
"""Share of all friction by which a step's may differ from that of the pressure at its end."""

ROUGH, SHRINK = 2e-4, 0.05
"""Imbalance at which the first round may end: a tenth of what the next one's friction makes of it,
measured. That of later ones is less by the share that the one before missed, and as it shrinks."""

MOST_RATIO = 0.6
"""Of two rounds, from which on the next ones are not trusted to shrink likewise."""


def rubs(equations: Equations) -> bool:
    """Return whether there is friction at supports."""
    return equations.contact is not None and bool(equations.contact.friction.any())


def rubbed(equations: Equations, point: Point) -> Equations:
    """Return equations with the friction of the pressure at a point.

    Source: Coulomb.
    """
    contact = equations.contact
    if not contact:
        return equations
    return replace(equations, contact=rubbing(contact, point.displacement))


def rubbed_for(equations: Equations, start: Point, factor: float) -> Equations:
    """Return equations with the friction that a step from `start` to a factor begins with.

    Source: module docstring.
    """
    begun = rubbed(equations, start)
    if not (equations.bed and begun.contact):
        return begun
    end, before = (ram_n(equations, one) for one in (factor, start.factor))
    share = end / before if min(end, before) > 0 else 1.0
    return _with(begun, begun.contact, share * begun.contact.most_n)


def stuck(equations: Equations, point: Point) -> Equations:
    """Return equations in which no point that touches at a point of the path may slide.

    After a reversal all stick at first, although they are at their friction's limit.

    Source: Coulomb.
    """
    rubbing = rubbed(equations, point)
    if not rubbing.contact:
        return equations
    touching = rubbing.contact.most_n > 0
    return _with(rubbing, rubbing.contact, np.where(touching, np.inf, 0.0))


def missed_n(equations: Equations, point: Point) -> Floats:
    """Return (P,) the friction of the pressure at a point less that which is taken as known, N.

    Source: definition.
    """
    found = rubbed(equations, point).contact
    return found.most_n - equations.contact.most_n if found and equations.contact else np.zeros(0)


def is_settled(equations: Equations, missed: Floats) -> bool:
    """Return whether `missed` (P,), N, from `missed_n`, is little.

    Source: judgement, `SETTLED`.
    """
    contact = equations.contact
    return not contact or bool(np.abs(missed).sum() <= SETTLED * contact.most_n.sum())


def enough_at(equations: Equations, tolerance: float, missed: Floats | None = None) -> float:
    """Return the imbalance, at least a tolerance, at which the next round of friction may begin.

    Args:
        equations: With the friction of the round before.
        tolerance: At which a step ends.
        missed: (P,) from `missed_n`, at the end of that round; None before the first.

    Source: judgement, `ROUGH`.
    """
    if not (rubs(equations) and equations.contact):
        return tolerance
    if missed is not None and is_settled(equations, missed):
        return tolerance
    if missed is None:
        return max(ROUGH, tolerance)
    known = float(equations.contact.most_n.sum())
    share = min(float(np.abs(missed).sum()) / known, 1.0) if known else 1.0
    return max(ROUGH * SHRINK * share, tolerance)


def next_round(equations: Equations, missed: Floats, earlier: Floats) -> Equations:
    """Return equations with the friction of the next round, the same where it is settled.

    Args:
        equations: With that of this round.
        missed: (P,) from `missed_n`, at its end.
        earlier: That of the round before, empty before the second.

    Source: module docstring.
    """
    contact, more = equations.contact, 1.0
    if not contact or is_settled(equations, missed):
        return equations
    if earlier.any():
        ratio = float(missed @ earlier) / float(earlier @ earlier)
        more = 1 / (1 - min(max(ratio, 0.0), MOST_RATIO))
    return _with(equations, contact, np.maximum(contact.most_n + more * missed, 0.0))


def _with(equations: Equations, contact: Contact, most_n: Floats) -> Equations:
    return replace(equations, contact=replace(contact, most_n=most_n))


def ram_n(equations: Equations, factor: float) -> float:
    """Return the force of the ram on its bed at a factor of the load, N; its seat's included.

    Source: definition.
    """
    bed = equations.bar
    return float(equations.constant[bed] + factor * equations.load[bed])
