"""R. L. Moore, M. Holt, "Beam and torsion tests of aluminum-alloy 61S-T tubing", NACA TN 867, 1942.

Read is the abstract: tubes of what is now 6061-T6, loads on the neutral axis at the third points of
the span; the modulus of failure, largest moment over the elastic section modulus, falls about
linearly with D/t and is practically independent of the span. Its rows are not read, so no level is
compared with them. Found are 1.4 % off a straight line at most from D/t 14 to 40 (3.2 % with D/t
10, whose tube would tear first), and 1.6 % between spans.

Here the loads are rings half a diameter long, and the moment is that of the middle in the deformed
shape. The level of even bending, between couples, is compared with `support.ring_model`, a section
that shares nothing with the solid.
"""

from functools import cache
from math import pi

import numpy as np
import pytest

from support.free_tubes import Passed, couples, largest_moment, third_point
from support.ring_model import Tube, moments

OD_MM = 40.0
"""Of all tubes: the modulus of failure does not depend on the size."""

RATIOS = (14.0, 18.0, 22.0, 26.0, 31.0, 35.0, 40.0)
THICK = 10.0
"""D/t whose largest moment would come at more strain than the metal's elongation of 10 %."""

SHORT, LONG = 8.0, 16.0
"""Spans in diameters."""

STRAIGHT, BY_SPAN = 0.03, 0.02
"""What "about" and "practically" are taken for."""

EVEN = 0.01
"""Of a coarse mesh, and ends under rings of load."""


def section_modulus_mm3(ratio: float) -> float:
    """Return I over the outer radius."""
    inner = OD_MM * (1 - 2 / ratio)
    return pi * (OD_MM**4 - inner**4) / (32 * OD_MM)


@cache
def passed(ratio: float, span: float) -> Passed:
    """Return the largest moment of a tube on a span of so many diameters."""
    table = third_point(OD_MM, OD_MM / ratio, span * OD_MM)
    return largest_moment(table, 3 * OD_MM * span / SHORT)


def modulus_mpa(ratio: float, span: float = SHORT) -> float:
    """Return the modulus of failure."""
    found = passed(ratio, span)
    assert found.fell
    return found.moment_nmm / section_modulus_mm3(ratio)


@pytest.mark.slow
@pytest.mark.parametrize("ratio", RATIOS)
def test_the_moment_passes_its_largest(ratio: float) -> None:
    """Each tube has a limit, by flattening or ripples, in its middle third, before it tears."""
    found = passed(ratio, SHORT)
    assert found.fell
    assert abs(found.reading.strain.s_mm) < SHORT * OD_MM / 6
    assert found.reading.strain.value < 0.10


@pytest.mark.slow
def test_it_falls_linearly_with_diameter_over_wall() -> None:
    """Every tube within 3 % of one straight line, which falls."""
    found = np.array([modulus_mpa(ratio) for ratio in RATIOS])
    line = np.polyfit(RATIOS, found, 1)
    assert line[0] < 0
    assert found / np.polyval(line, RATIOS) == pytest.approx(1.0, abs=STRAIGHT)
    # a straight line and no constant: that would be off by more
    assert found / found.mean() != pytest.approx(1.0, abs=STRAIGHT)


@pytest.mark.slow
def test_the_thickest_tube_would_tear_first() -> None:
    """So it is not among the others; its moment is 5.5 % above their line."""
    assert passed(THICK, SHORT).reading.strain.value > 0.10
    line = np.polyfit(RATIOS, [modulus_mpa(ratio) for ratio in RATIOS], 1)
    assert 1.0 < modulus_mpa(THICK) / np.polyval(line, THICK) < 1.06


@pytest.mark.slow
@pytest.mark.parametrize("ratio", [14.0, 22.0, 40.0])
def test_it_does_not_depend_on_the_span(ratio: float) -> None:
    """Spans in the ratio of 1 to 2; the shorter is held a little by the rings of its loads."""
    short, long = modulus_mpa(ratio), modulus_mpa(ratio, LONG)
    assert long == pytest.approx(short, rel=BY_SPAN)


@pytest.mark.slow
@pytest.mark.parametrize("ratio", [22.0, 35.0])
def test_couples_reach_the_limit_of_a_section_that_flattens(ratio: float) -> None:
    """An independent section in even bending, of the same true curve: 1 %, found are 0.1 %."""
    wall_mm = OD_MM / ratio
    radius_mm = (OD_MM - wall_mm) / 2
    curvatures = np.linspace(0, 1.5, 19)[1:] * wall_mm / (4 * radius_mm**2)
    metal = (68300.0, 0.33, 241.0, 34.0)
    section = max(one for one, _ in moments(Tube(radius_mm, wall_mm, *metal), curvatures.tolist()))
    table = couples(OD_MM, wall_mm, 6 * OD_MM)
    table["bar"]["material"] = {"like": "al-6061-t6", "curve": "true"}
    found = largest_moment(table, 0.6)
    assert found.fell
    assert found.moment_nmm == pytest.approx(section, rel=EVEN)
